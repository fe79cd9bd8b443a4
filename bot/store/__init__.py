"""Keeps everything: the log, readings, reminders, and the messages in and out. The only home of SQLAlchemy.

with store.begin() as tx:     # or store.read()
    tx.log.add(...)
"""

from bot.store.lock import lock_single
from bot.store.records import (
    SPOKEN,
    Act,
    Asked,
    Card,
    Change,
    Import,
    InboxRow,
    Logged,
    OpenFile,
    Pending,
    Person,
    Photo,
    Reminder,
    Rule,
    Share,
    Shift,
    Step,
    StoredReadings,
    StoredTrial,
    Switch,
    Topic,
    Word,
)
from bot.store.store import Store, open_store
from bot.store.transaction import Transaction

__all__ = [
    "SPOKEN",
    "Act",
    "Asked",
    "Card",
    "Change",
    "Import",
    "InboxRow",
    "Logged",
    "OpenFile",
    "Pending",
    "Person",
    "Photo",
    "Reminder",
    "Rule",
    "Share",
    "Shift",
    "Step",
    "Store",
    "StoredReadings",
    "StoredTrial",
    "Switch",
    "Topic",
    "Transaction",
    "Word",
    "lock_single",
    "open_store",
]
