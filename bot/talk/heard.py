"""What one turn is about."""

from collections.abc import Callable
from dataclasses import dataclass

from bot.foodtable import FoodTable, load_table
from bot.model.messages import Incoming
from bot.store import Person, Transaction


@dataclass(frozen=True, slots=True)
class Heard:
    """The message (words, a file or a button), whose it is, and the transaction that it is handled in.

    table: gives the food table, which is loaded when first needed
    """

    tx: Transaction
    person: Person
    incoming: Incoming
    table: Callable[[], FoodTable] = load_table
