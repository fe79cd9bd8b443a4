"""What one turn is about."""

from collections.abc import Callable
from dataclasses import dataclass, field

from bot.foodtable import FoodTable, load_table
from bot.model.messages import Incoming
from bot.store import Person, Transaction
from bot.talk.answering import TurnAnswers
from bot.talk.reading_files import ReadFile, TurnReader


@dataclass(frozen=True, slots=True)
class Heard:
    """The message (words, a file or a button), whose it is, and the transaction that it is handled in.

    table: gives the food table, which is loaded when first needed; read: reads files of any size
    answers: answers questions
    """

    tx: Transaction
    person: Person
    incoming: Incoming
    table: Callable[[], FoodTable] = load_table
    read: ReadFile = field(default_factory=TurnReader)
    answers: TurnAnswers = field(default_factory=TurnAnswers)
