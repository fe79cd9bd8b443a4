"""Words in full: "what's" is "what is", "dont" is "do not"; for cues, which are written in full."""

import re
from collections.abc import Sequence
from functools import lru_cache

from bot.understanding.words.lexicon import meanings
from bot.understanding.words.tokens import Token

_SHORT: dict[str, str] = meanings("in_full")
_IS = re.compile(r"^(what|how|when|where|who|that|it|which|why|there|here)'?s$")


@lru_cache(maxsize=4096)
def full(word: str) -> str:
    """Return a word in full."""
    return _IS.sub(r"\1 is", _SHORT.get(word, word))


def in_full(tokens: Sequence[Token]) -> list[str]:
    """Return the words of a sentence in full: "what's" is "what is", "dont" is "do not"."""
    words: list[str] = []
    for token in tokens:
        if token.kind != "mark":
            words += full(token.text).split()
    return words
