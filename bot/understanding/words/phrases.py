"""Phrases of the TOML lists: words that follow each other, "a|b" is either, "~" an article or nothing."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Generic, TypeVar

from bot.understanding.words.lexicon import TAGS

T = TypeVar("T")
Phrase = tuple[frozenset[str], ...]


def parse(phrases: str) -> Iterator[Phrase]:
    """Yield the phrases of a list with commas between them.

    >>> [[sorted(word) for word in phrase] for phrase in parse("up|down ~ stairs, on foot")]
    [[['down', 'up'], ['~'], ['stairs']], [['on'], ['foot']]]
    """
    for phrase in phrases.split(","):
        if phrase.strip():
            yield tuple(frozenset(word.split("|")) for word in phrase.split())


class Phrases(Generic[T]):
    """Phrases and what each stands for, found by the word that they begin with."""

    def __init__(self, phrases: Sequence[tuple[Phrase, T]]) -> None:
        self._by_first: dict[str, list[tuple[Phrase, T]]] = defaultdict(list)
        for phrase, value in phrases:
            for word in phrase[0]:
                self._by_first[word].append((phrase, value))
        self.words = (
            frozenset().union(*(word for phrase, _ in phrases for word in phrase)) - TAGS.article_phrases
        )

    def at(self, words: Sequence[str], i: int) -> T | None:
        """Return what the first phrase that stands at `i` stands for, None where none does."""
        if i >= len(words):
            return None
        return next(
            (v for phrase, v in self._by_first.get(words[i], ()) if _stands_at(phrase, words, i)), None
        )

    def within(self, words: Sequence[str]) -> T | None:
        """Return what the first phrase that stands anywhere stands for, None where none does."""
        return next((v for i in range(len(words)) if (v := self.at(words, i)) is not None), None)


def _stands_at(phrase: Phrase, words: Sequence[str], i: int) -> bool:
    for either in phrase:
        if either == TAGS.article_phrases:
            i += i < len(words) and words[i] in TAGS.articles
            continue
        if i >= len(words) or words[i] not in either:
            return False
        i += 1
    return True
