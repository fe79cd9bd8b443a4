"""Words in full: "what's" is "what is", "dont" is "do not"; for cues, which are written in full."""

import re
from collections.abc import Sequence

from bot.understanding.words.tokens import Token

_SHORT = {
    "whats": "what is", "wats": "what is", "wat": "what", "wot": "what", "hw": "how", "wich": "which",
    "whens": "when is",
    "wen": "when", "hows": "how is", "im": "i am", "ive": "i have", "i'm": "i am", "i've": "i have",
    "ur": "your",
    "doesnt": "does not", "doesn't": "does not", "don't": "do not", "dont": "do not",
    "won't": "will not", "wont": "will not",
    "isn't": "is not", "didn't": "did not", "didnt": "did not", "let's": "let us", "lets": "let us",
    "shld": "should", "u": "you",
    "cud": "could", "wht": "what", "avg": "average", "r": "are", "i'd": "i would", "can't": "can not",
    "i'll": "i will",
}  # fmt: skip
_IS = re.compile(r"^(what|how|when|where|who|that|it|which|why|there|here)'?s$")


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
