"""How much one person may send: a bucket of messages and one of files for each, refilled steadily.

It is asked before anything is stored, so that a flood of messages costs next to nothing.
"""

from collections.abc import Callable
from dataclasses import dataclass

from bot.language.texts import later
from bot.model.clock import steady_s
from bot.web.buckets import Buckets

_DAY_MIN = 24 * 60
_SAY_AGAIN_S = 600
MESSAGES = later(
    "That's too many messages at once. What came before is safe; please send the rest in a minute."
)
FILES = later("That's too many files for one day. What came before is safe; please send this one tomorrow.")


@dataclass(frozen=True)
class Most:
    """What one person may send; 0 for any number.

    messages: a minute, and twice as many at once; files: a day, photos among them
    """

    messages: int = 0
    files: int = 0


NO_LIMIT = Most()


class Limits:
    """Keeps count, in memory: a restart forgets it. `now_s`: as of `Buckets`."""

    def __init__(self, most: Most, now_s: Callable[[], float] = steady_s) -> None:
        self._most, self._now_s = most, now_s
        self._messages = Buckets(2 * most.messages, most.messages, now_s)
        self._files = Buckets(most.files, most.files / _DAY_MIN, now_s)
        self._told: dict[tuple[str, str], float] = {}

    def refusal(self, person: str, *, file: bool) -> str | None:
        """Count one more message of a person; return what speaks against taking it."""
        if self._most.messages and self._messages.take(person):
            return MESSAGES
        if file and self._most.files and self._files.take(person):
            return FILES
        return None

    def is_news(self, person: str, refusal: str) -> bool:
        """Tell whether a refusal is to be said: it is not said again for a while."""
        now_s, told_s = self._now_s(), self._told.get((person, refusal))
        if told_s is not None and now_s - told_s < _SAY_AGAIN_S:
            return False
        self._told[person, refusal] = now_s
        return True
