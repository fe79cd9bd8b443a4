"""What one turn is about."""

from dataclasses import dataclass

from bot.model.messages import Incoming
from bot.store import Person, Transaction


@dataclass(frozen=True, slots=True)
class Heard:
    """The message that entries come from, and for whom they are stored."""

    tx: Transaction
    person: Person
    incoming: Incoming
