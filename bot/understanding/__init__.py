"""Free text -> log entries and questions, by rules: no network, no model, no clock.

A message is cut into tokens; times, meal names and amounts are folded into pieces; clauses between separators
are classified by ordered rules; foods are grouped into meals; last, everything gets its instant.
"""

from importlib import import_module
from typing import TYPE_CHECKING

from bot.understanding.context import Context

if TYPE_CHECKING:
    from bot.understanding.phrasing import word_entry
    from bot.understanding.reading import understand

__all__ = ["Context", "understand", "word_entry"]
_HOMES = {"understand": "bot.understanding.reading", "word_entry": "bot.understanding.phrasing"}


def __getattr__(name: str) -> object:
    """Load what reads text when it is first asked for: a command that only analyses needs none of it."""
    if name not in _HOMES:
        raise AttributeError(name)
    return getattr(import_module(_HOMES[name]), name)
