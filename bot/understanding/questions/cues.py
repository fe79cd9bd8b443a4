"""Cues of questions: phrases that vote for what is asked, looked up in cues.toml. Pure."""

import tomllib
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files

from bot.understanding.questions.sorts import ABOUT, Sort

ASKS = "asks"
MOST_BETWEEN = 3
"""Words that a "*" in a phrase may stand for."""


@dataclass(frozen=True, slots=True)
class Cue:
    """Phrases that say the same: what they vote for, and whether they may be what is asked about."""

    name: str
    votes: Mapping[str, float]
    subject: bool = False


@dataclass(slots=True)
class Found:
    """What the cues in some words say: votes for each sort and for asking, and which words were cues."""

    votes: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    names: set[str] = field(default_factory=set)
    used: set[int] = field(default_factory=set)
    subjects: list[tuple[int, int]] = field(default_factory=list)

    def see(self, name: str) -> None:
        """Count a cue that something else than its phrases shows."""
        self.add(_lexicon()[0][name])

    def see_pairs(self) -> None:
        """Count what two cues say together ("lever+slot")."""
        for first, second, cue in _pairs():
            if first in self.names and second in self.names:
                self.add(cue)

    def add(self, cue: Cue) -> None:
        """Count a cue's votes, once however often it is said."""
        if cue.name not in self.names:
            self.names.add(cue.name)
            for sort, vote in cue.votes.items():
                self.votes[sort] += vote

    def best(self) -> tuple[Sort, float]:
        """Return the sort with most votes, and how many."""
        score = {sort: self.votes[sort] for sort in ABOUT}
        sort = max(score, key=lambda each: score[each])
        return sort, score[sort]


def find_cues(words: Sequence[str]) -> Found:
    """Return what the cues in words say; of a phrase inside a longer one the longer counts alone."""
    starts = _lexicon()[1]
    matches: list[tuple[frozenset[int], Cue]] = []
    found = Found()
    for i, word in enumerate(words):
        for phrase, cue in starts.get(word, ()):
            end, at = _match(words, i, phrase)
            if end:
                matches.append((at, cue))
                if cue.subject:
                    found.subjects.append((i, end))
    for at, cue in matches:
        found.used |= at
        if not any(at < other for other, _ in matches):
            found.add(cue)
    return found


def _match(words: Sequence[str], i: int, phrase: Sequence[str]) -> tuple[int, frozenset[int]]:
    """Return where a phrase that begins at `i` ends (0: it does not stand there), and which words it is."""
    if not phrase:
        return i, frozenset()
    if phrase[0] == "*":
        for k in range(i, min(i + MOST_BETWEEN, len(words)) + 1):
            if (found := _match(words, k, phrase[1:]))[0]:
                return found
        return 0, frozenset()
    if i >= len(words) or words[i] != phrase[0]:
        return 0, frozenset()
    end, at = _match(words, i + 1, phrase[1:])
    return end, at | {i}


@cache
def _lexicon() -> tuple[dict[str, Cue], dict[str, list[tuple[tuple[str, ...], Cue]]]]:
    """Read the lexicon: cues by name, and phrases by the word they begin with."""
    text = files(__package__).joinpath("cues.toml").read_text(encoding="utf-8")
    cues: dict[str, Cue] = {}
    starts: dict[str, list[tuple[tuple[str, ...], Cue]]] = defaultdict(list)
    for name, table in tomllib.loads(text).items():
        cues[name] = Cue(name, table["votes"], table.get("subject", False))
        unknown = [sort for sort in table["votes"] if sort != ASKS and sort not in ABOUT]
        if unknown:
            raise ValueError(f"cues.toml: [{name}] votes for {unknown}, which are no sorts")
        for phrase in table.get("phrases", "").split(","):
            if parts := tuple(phrase.split()):
                starts[parts[0]].append((parts, cues[name]))
    return cues, starts


@cache
def _pairs() -> list[tuple[str, str, Cue]]:
    pairs = [(*name.split("+"), cue) for name, cue in _lexicon()[0].items() if "+" in name]
    return [(first, second, cue) for first, second, cue in pairs]
