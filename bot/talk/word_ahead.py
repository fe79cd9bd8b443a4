"""What the clock brings due and takes long to word: looked up and worded while others can write."""

from collections import defaultdict
from datetime import datetime

from bot.answers.evening import close_day
from bot.answers.week import review_due
from bot.language.texts import speaking
from bot.model.messages import Outgoing
from bot.reminders.evenings import EVENING, REVIEW
from bot.reminders.quiet_hours import quiet_of
from bot.reminders.rules import in_quiet
from bot.store import Transaction

AT_ONCE = 4
"""So many a tick: those of more people come with the next ones, a few seconds later."""


def word_ahead(tx: Transaction, now: datetime, serves: str) -> dict[str, dict[str, Outgoing | None]]:
    """Return by person and kind what is due of reviews and evening lines, None where it is nothing."""
    ready: dict[str, dict[str, Outgoing | None]] = defaultdict(dict)
    for reminder in tx.reminders.due_of((REVIEW, EVENING), now, serves, AT_ONCE):
        person = tx.people.get(reminder.person)
        if person is None:
            continue
        if in_quiet(now, quiet_of(person), person.zone):  # it is put off, and worded when it is said
            ready[person.id][reminder.kind] = None
            continue
        with speaking(*person.spoken):
            if reminder.kind == REVIEW:
                said = review_due(tx, person, reminder.due_at, now)
            else:
                said = close_day(tx, person, now)
        ready[person.id][reminder.kind] = said
    return ready
