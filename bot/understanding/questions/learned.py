"""Learned scores of a question: whether words ask something, and which sort of question they are.

Two logistic regressions over words, pairs of words, runs of letters (for spellings never seen) and the cues
in the words. Their weights are in asking.npz, made by `python -m tests.corpus.train_questions`. Pure.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

LETTERS = (4, 5)
"""How long the runs of letters are."""


def asking_features(words: Sequence[str], cues: Collection[str]) -> set[str]:
    """Return what tells a question from a note: words, pairs of them, and cues."""
    return set(_of_words(words)) | {f"q:{cue}" for cue in cues}


def sort_features(words: Sequence[str], cues: Collection[str]) -> set[str]:
    """Return what tells the sorts of question apart; foods and the like are tags in `words` ("#food")."""
    letters = (f"<{word}>" for word in words if word[0] != "#")
    runs = {f"c:{w[k : k + n]}" for w in letters for n in LETTERS for k in range(len(w) - n + 1)}
    return asking_features(words, cues) | runs


def _of_words(words: Sequence[str]) -> Iterator[str]:
    for before, word in zip(("^", *words), (*words, "$"), strict=True):
        yield f"b:{before} {word}"
    yield from (f"w:{word}" for word in words)


@dataclass(frozen=True, slots=True)
class Weights:
    """The weights of the sorts, a row for each feature and a column for each sort, and those of asking."""

    sorts: tuple[str, ...]
    rows: dict[str, int]
    values: NDArray[np.float32]
    asking: dict[str, float]


@cache
def _weights() -> Weights:
    with (files(__package__) / "asking.npz").open("rb") as file:
        held = np.load(file)
        rows = {str(name): k for k, name in enumerate(held["names"])}
        asking = {str(n): float(w) for n, w in zip(held["asking_names"], held["asking_values"], strict=True)}
        return Weights(tuple(map(str, held["sorts"])), rows, held["values"].astype(np.float32), asking)


def log_odds_of_asking(features: Iterable[str]) -> float:
    """Return the log-odds that words with these features ask something of the bot."""
    table = _weights().asking
    return table[""] + sum(table.get(name, 0.0) for name in features)


def log_chances(features: Iterable[str]) -> dict[str, float]:
    """Return the log-probability of each sort of question for words with these features."""
    held = _weights()
    rows = [held.rows[""], *(held.rows[name] for name in features if name in held.rows)]
    scores = held.values[rows].sum(axis=0)
    scores -= scores.max()
    return dict(zip(held.sorts, (scores - np.log(np.exp(scores).sum())).tolist(), strict=True))
