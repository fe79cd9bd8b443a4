"""One stretch of a message as a change is read from it: what it is, and where it stands."""

from collections.abc import Sequence
from dataclasses import dataclass

from bot.understanding.pieces.pieces import Piece


@dataclass(frozen=True, slots=True)
class Element:
    """A stretch of a message: its tag, its place in the text, and what it stands for.

    said: its words; on: of P and K, the plates and places of the items that it may mean
    """

    tag: str
    start: int
    end: int
    said: str
    piece: Piece | None = None
    on: tuple[tuple[int, int], ...] = ()


def tags_of(elements: Sequence[Element]) -> str:
    """Return the shape of some elements: their tags in a row."""
    return "".join(element.tag for element in elements)
