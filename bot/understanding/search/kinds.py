"""A learned score: how likely words change what was noted rather than note something new.

A logistic regression over the tags of the elements in a row, the words that are no food, and how fresh the
last entry is. Its weights are in kinds.npz, made by `python -m tests.talks.train_kinds`. It is one cost among
others and decides nothing by itself.
"""

from collections.abc import Iterator, Sequence
from datetime import timedelta
from functools import cache
from importlib.resources import files

import numpy as np

from bot.understanding.context import Context
from bot.understanding.corrections.elements import Element

LONGEST = 3
_AGES_MIN = (5, 20, 60, 240, 1440)


def features(elements: Sequence[Element], text: str, context: Context) -> Iterator[str]:
    """Yield what the score is made of: runs of tags, plain words, freshness."""
    tags = "^" + "".join(e.tag for e in elements if e.tag != "T") + "$"
    for n in range(1, LONGEST + 1):
        for i in range(len(tags) - n + 1):
            yield f"t:{tags[i : i + n]}"
    food = [(e.start, e.end) for e in elements if e.tag in "PKF"]
    position = 0
    for word in text.lower().split():
        start = text.lower().find(word, position)
        position = start + len(word)
        if not any(a <= start < b for a, b in food) and word.strip(".,!?:;'").isalpha():
            yield f"w:{word.strip('.,!?:;')}"
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
def _weights() -> tuple[dict[str, float], float]:
    with (files(__package__) / "kinds.npz").open("rb") as file:
        held = np.load(file)
        names, values = held["names"], held["values"]
    table = {str(name): float(value) for name, value in zip(names, values, strict=True)}
    return table, table.pop("")


def log_odds(elements: Sequence[Element], text: str, context: Context) -> float:
    """Return the log-odds that words change something, above 0 where that is likelier than a new note."""
    table, bias = _weights()
    return bias + sum(table.get(name, 0.0) for name in set(features(elements, text, context)))
