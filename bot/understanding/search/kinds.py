"""Learned scores: how likely words change what was noted, or say nothing to note, rather than note anew.

Two logistic regressions over the tags of the elements in a row, the words that are no food, and how fresh the
last entry is. Their weights are in kinds.npz, made by `python -m tests.talks.train_kinds`. They are costs
among others and decide nothing by themselves.
"""

from collections.abc import Iterator, Sequence
from datetime import timedelta
from functools import cache
from importlib.resources import files
from typing import Literal

import numpy as np

from bot.understanding.context import Context
from bot.understanding.corrections.element import Element

Score = Literal["change", "other"]
LONGEST = 3
_AGES_MIN = (5, 20, 60, 240, 1440)


def features(elements: Sequence[Element], text: str, context: Context) -> Iterator[str]:
    """Yield what the score is made of: runs of tags, plain words, freshness."""
    tags = "^" + "".join(e.tag for e in elements if e.tag != "T") + "$"
    for n in range(1, LONGEST + 1):
        for i in range(len(tags) - n + 1):
            yield f"t:{tags[i : i + n]}"
    food = [(e.start, e.end) for e in elements if e.tag in "PKF"]
    position, before = 0, "^"
    for word in text.lower().split():
        start = text.lower().find(word, position)
        position = start + len(word)
        plain = word.strip('.,!?:;()"')
        if not any(a <= start < b for a, b in food) and plain.replace("'", "").isalpha():
            yield f"w:{plain}"
            yield f"b:{before} {plain}"
            before = plain
        else:
            before = "#"
    if context.noted:
        last = context.noted[-1]
        age = (context.now - last.touched_at) / timedelta(minutes=1)
        yield f"a:{sum(age > limit for limit in _AGES_MIN)}"
        on_last = [any(i == last.id for i, _ in e.on) for e in elements if e.tag in "PK"]
        if on_last:
            yield "p:last" if all(on_last) else "p:older"
        foods = [e.tag for e in elements if e.tag in "PKF"]
        if foods and set(foods) == {"P"}:
            yield "p:all"


@cache
def _weights() -> dict[str, dict[str, float]]:
    with (files(__package__) / "kinds.npz").open("rb") as file:
        held = np.load(file)
        names, values = held["names"], held["values"]
    tables: dict[str, dict[str, float]] = {"change": {}, "other": {}}
    for name, value in zip(names, values, strict=True):
        score, _, feature = str(name).partition("|")
        tables[score][feature] = float(value)
    return tables


def log_odds(score: Score, elements: Sequence[Element], text: str, context: Context) -> float:
    """Return the log-odds against a new note: that words change something, or have nothing to note."""
    table = _weights()[score]
    return table[""] + sum(table.get(name, 0.0) for name in set(features(elements, text, context)))
