"""Cues: phrases that vote for what some words may be. The lists are TOML files beside their readers. Pure."""

import tomllib
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from importlib.resources import files

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
    """What the cues in some words say: votes for each sort, their names, and which words were cues."""

    lexicon: "Lexicon"
    votes: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    names: set[str] = field(default_factory=set)
    used: set[int] = field(default_factory=set)
    subjects: list[tuple[int, int]] = field(default_factory=list)

    def see(self, name: str) -> None:
        """Count a cue that something else than its phrases shows."""
        self.add(self.lexicon.cues[name])

    def see_pairs(self) -> None:
        """Count what two cues say together ("lever+slot")."""
        for first, second, cue in self.lexicon.pairs:
            if first in self.names and second in self.names:
                self.add(cue)

    def add(self, cue: Cue) -> None:
        """Count a cue's votes, once however often it is said."""
        if cue.name not in self.names:
            self.names.add(cue.name)
            for sort, vote in cue.votes.items():
                self.votes[sort] += vote

    def best(self, sorts: Collection[str]) -> tuple[str, float]:
        """Return which of the sorts has most votes, and how many."""
        sort = max(sorts, key=lambda each: self.votes[each])
        return sort, self.votes[sort]


class Lexicon:
    """The cues of one TOML file: a table each, with phrases, votes and perhaps `subject`.

    "*" in a phrase stands for up to three words; a table named "a+b" has the votes of a and b said together.
    """

    def __init__(self, package: str, sorts: Collection[str], name: str = "cues.toml") -> None:
        self.cues: dict[str, Cue] = {}
        self._starts: dict[str, list[tuple[tuple[str, ...], Cue]]] = defaultdict(list)
        for cue_name, table in tomllib.loads(
            files(package).joinpath(name).read_text(encoding="utf-8")
        ).items():
            cue = Cue(cue_name, table.get("votes", {}), table.get("subject", False))
            self.cues[cue_name] = cue
            unknown = [sort for sort in cue.votes if sort not in sorts]
            if unknown:
                raise ValueError(f"{name}: [{cue_name}] votes for {unknown}, which are no sorts")
            for phrase in table.get("phrases", "").split(","):
                if parts := tuple(phrase.split()):
                    self._starts[parts[0]].append((parts, cue))
        self.pairs: list[tuple[str, str, Cue]] = []
        for key, cue in self.cues.items():
            first, both, second = key.partition("+")
            if both:
                self.pairs.append((first, second, cue))

    def find(self, words: Sequence[str], *, longest: bool = True) -> Found:
        """Return what the cues in words say; longest: of phrases inside each other the longest alone."""
        matches: list[tuple[frozenset[int], Cue]] = []
        found = Found(self)
        for i, word in enumerate(words):
            behind = words[i + 1] if i + 1 < len(words) else ""
            for phrase, cue in self._starts.get(word, ()):
                if len(phrase) > 1 and phrase[1] not in (behind, "*"):
                    continue  # of most phrases only the first word stands there
                end, at = _match(words, i, phrase)
                if end:
                    matches.append((at, cue))
                    if cue.subject:
                        found.subjects.append((i, end))
        for at, cue in matches:
            found.used |= at
            if not longest or not any(at < other for other, _ in matches):
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
