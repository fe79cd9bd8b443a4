"""Settings and facts about oneself, as a reading of a stretch that competes with the others."""

from collections.abc import Sequence
from functools import cache

from bot.model.entries import Fact, Setting
from bot.understanding.candidates import Candidate
from bot.understanding.context import Context
from bot.understanding.settings.facts import facts_in
from bot.understanding.settings.settings import Told, settings_in
from bot.understanding.words.cues import Lexicon
from bot.understanding.words.full_words import in_full
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import read_tokens

MOST_CHARACTERS = 400
ASKED = 2.5
"""A sentence that ends with a question mark, or begins "should I", is seldom one."""


def read_told(stretch: str, context: Context) -> Candidate | None:
    """Return the settings and facts that a stretch of words tells, None where it tells none."""
    text = " ".join(stretch.split())
    if not text or len(text) > MOST_CHARACTERS:
        return None
    words = in_full(read_tokens(text))
    told = Told(text.lower().replace("’", "'"), words, _lexicon().find(words, longest=False))
    found: list[tuple[Setting | Fact, float]] = list(settings_in(told))
    if not any(isinstance(each, Setting) and each.what == "erase" for each, _ in found):
        found += facts_in(told, context)  # "forget that I take ..." does not tell it once more
    if not found:
        return None
    cost = min(cost for _, cost in found) + ASKED * (text.endswith("?") or _asks(words))
    return Candidate(told=tuple(_with_words(each, text) for each, _ in found), cost=cost)


def _asks(words: Sequence[str]) -> bool:
    return len(words) > 1 and words[0] in TAGS.asking and words[1] in TAGS.of_oneself


def _with_words(told: Setting | Fact, text: str) -> Setting | Fact:
    return (
        Setting(told.what, told.value, text)
        if isinstance(told, Setting)
        else Fact(told.what, told.value, text)
    )


@cache
def _lexicon() -> Lexicon:
    return Lexicon(__package__ or "", ())
