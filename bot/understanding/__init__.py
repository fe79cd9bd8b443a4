"""Free text -> log entries and questions, by rules: no network, no model, no clock.

A message is cut into tokens; times, meal names and amounts are folded into pieces; clauses between separators
are classified by ordered rules; foods are grouped into meals; last, everything gets its instant.
"""

from bot.understanding.context import Context
from bot.understanding.phrasing import word_entry
from bot.understanding.reading import understand

__all__ = ["Context", "understand", "word_entry"]
