"""One way to read a stretch of a message, and what it costs to believe it."""

from collections.abc import Callable
from dataclasses import dataclass, field

from bot.model.entries import Choice, Entry, Fact, Setting


@dataclass(frozen=True, slots=True)
class Candidate:
    """A possible reading: what would be made of the words.

    cost: how odd it is, in natural-log units (3 is about one in twenty); the cheapest reading wins
    asks: short questions back; left_out: content words that it does not use
    finish: gives the entries with all that only a reading that was chosen needs; None where that is nothing
    """

    entries: tuple[Entry, ...] = ()
    told: tuple[Setting | Fact, ...] = ()
    cost: float = 0.0
    asks: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    choice: Choice | None = None
    finish: Callable[[], tuple[Entry, ...]] | None = field(default=None, compare=False)
