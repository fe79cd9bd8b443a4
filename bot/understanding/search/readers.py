"""What each reader makes of a stretch of words, read once however often it is asked for."""

from collections.abc import Callable
from functools import cached_property
from math import inf
from typing import TypeVar

from bot.understanding.candidates import Candidate
from bot.understanding.context import Context
from bot.understanding.corrections.edits import MOST_ALONE, OF_CHANGE, read_edits
from bot.understanding.corrections.element import Element
from bot.understanding.corrections.elements import read_elements
from bot.understanding.corrections.known_foods import Plates
from bot.understanding.notes.notes import Notes, read_notes
from bot.understanding.questions.questions import read_asked
from bot.understanding.search.kinds import Score, log_odds
from bot.understanding.settings.read_told import read_told

T = TypeVar("T")


class Readers:
    """The readers of one message, against the diary as it is before one of its stretches."""

    def __init__(self, context: Context, before: "Readers | None" = None) -> None:
        self.context = context
        self._notes: dict[str, Notes] = {}
        self._elements: dict[str, list[Element]] = {}
        self._edits: dict[str, tuple[float, Candidate | None]] = {}
        # What is asked or told does not hang on the diary.
        self._asked: dict[str, Candidate | None] = {} if before is None else before._asked
        self._told: dict[str, Candidate | None] = {} if before is None else before._told

    def behind(self, context: Context) -> "Readers":
        """Return the readers for what stands behind a change that left the diary so."""
        return Readers(context, self)

    def note(self, text: str) -> Notes:
        """Read words as something new."""
        return _once(self._notes, text, lambda: read_notes(text, self.context))

    def asked(self, text: str) -> Candidate | None:
        """Read words as a question."""
        return _once(self._asked, text, lambda: read_asked(text, self.context))

    def told(self, text: str) -> Candidate | None:
        """Read words as settings or facts."""
        return _once(self._told, text, lambda: read_told(text, self.context))

    def edits(self, text: str, most: float = inf) -> Candidate | None:
        """Read words as changes of the diary; most: what costs more need not be found."""
        if not self.context.noted and not self._may_change_alone(text):
            return None
        tried, found = self._edits.get(text, (-inf, None))
        if found is None and tried < most:
            found = read_edits(text, self.context, self.elements(text), most)
            self._edits[text] = most, found
        return found

    def log_odds(self, score: Score, text: str) -> float:
        """Return a learned score of words; that they change something is 0 where nothing can be changed."""
        if score == "change" and not self.context.noted:
            return 0.0
        return log_odds(score, self.elements(text), text, self.context)

    def elements(self, text: str) -> list[Element]:
        """Return words as elements."""
        return _once(self._elements, text, lambda: read_elements(text, self.context, self._plates))

    @cached_property
    def _plates(self) -> Plates:
        return Plates(self.context)

    def _may_change_alone(self, text: str) -> bool:
        """Tell whether words may be a change though nothing is noted: only some openings say so."""
        elements = self.elements(text)
        opening = {e.tag for e in elements[:2]}
        begins = bool(opening & set(OF_CHANGE)) or (bool(elements) and elements[0].tag == "b")
        return begins and len(elements) <= MOST_ALONE


def _once(held: dict[str, T], text: str, read: Callable[[], T]) -> T:
    if text not in held:
        held[text] = read()
    return held[text]
