"""What one turn is about."""

from dataclasses import dataclass

from bot.model.messages import Incoming
from bot.store import Person, Transaction


@dataclass(frozen=True, slots=True)
class Heard:
    """The message (words, a file or a button), whose it is, and the transaction that it is handled in."""

    tx: Transaction
    person: Person
    incoming: Incoming
