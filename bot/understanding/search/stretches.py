"""A message cut into stretches that may each be read by itself: sentences, and their ends behind a comma."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from bot.understanding.corrections.cues import cues
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import Token

_DOES = "|".join("|".join(words) for words, tag in cues().items() if tag in "rwva" and len(words) == 1)
_REQUEST = re.compile(
    r"(?:(?:hey|hi|ok|and|so|sorry|oh|also|please|pls)\W+){0,2}(?:can|could|would|will) (?:you|u|ya) "
    rf"(?:[a-z]+ )?(?P<what>(?:{_DOES})\b.*)",
    re.IGNORECASE | re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class Stretch:
    """Some tokens in a row and their text; asked: a question mark stands behind them."""

    tokens: tuple[Token, ...]
    text: str

    @property
    def asked(self) -> bool:
        """It ends with a question mark, and is no request."""
        return self.tokens[-1].text == "?" and not self.request

    @property
    def request(self) -> str:
        """What the bot is asked to do: "change the rice" of "would you please change the rice?"; or ""."""
        match = _REQUEST.match(self.text)
        return "" if match is None else match["what"].rstrip("? ")

    @property
    def has_words(self) -> bool:
        """It is more than marks."""
        return any(t.kind != "mark" for t in self.tokens)


def sentences(tokens: Sequence[Token], text: str) -> Iterator[Stretch]:
    """Yield the sentences of a message."""
    sentence: list[Token] = []
    for token, following in zip_longest(tokens, tokens[1:]):
        sentence.append(token)
        if token.text in TAGS.strong and (following is None or following.text not in TAGS.strong):
            yield stretch_of(sentence, text)
            sentence = []
    if sentence:
        yield stretch_of(sentence, text)


def cuts(stretch: Stretch, text: str) -> Iterator[tuple[Stretch, Stretch]]:
    """Yield the ways to part a sentence at one of its commas, the last first."""
    tokens = stretch.tokens
    for k in range(len(tokens) - 2, 0, -1):
        if tokens[k].text in (",", ":", "-") or (tokens[k].text in ("but", "and") and k > 1):
            behind = (
                tokens[k + 1 :]
                if tokens[k].kind == "mark" or tokens[k].text in ("but", "and")
                else tokens[k:]
            )
            yield stretch_of(tokens[:k], text), stretch_of(behind, text)


def join(stretches: Sequence[Stretch], text: str) -> str:
    """Return the words from the first stretch to the last."""
    return text[stretches[0].tokens[0].start : stretches[-1].tokens[-1].end]


def stretch_of(tokens: Sequence[Token], text: str) -> Stretch:
    """Return some tokens in a row as a stretch."""
    return Stretch(tuple(tokens), text[tokens[0].start : tokens[-1].end])
