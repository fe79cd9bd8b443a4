"""The shapes of changes: which operations a row of elements may mean, and what each costs."""

import re
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from bot.understanding.corrections.elements import Element

UNKNOWN_WORD = 1.0
"""What a word costs of which nothing is known."""
OPENED_SHARE = 0.35
"""What is left of a shape's cost where the words open like a correction."""
_POINTS = re.compile("R(?=[PKFMSLZGT])")


@dataclass(frozen=True, slots=True)
class Frame:
    """One operation that elements may mean: its name, its cost, and the elements of each part."""

    op: str
    cost: float
    parts: dict[str, tuple[Element, ...]]

    def first(self, name: str) -> Element | None:
        """Return the first element of a part, None where there is none."""
        return next(iter(self.parts.get(name, ())), None)

    def all(self, *names: str) -> tuple[Element, ...]:
        """Return the elements of some parts together."""
        return tuple(e for name in names for e in self.parts.get(name, ()))


@cache
def _shapes() -> tuple[tuple[str, re.Pattern[str], float], ...]:
    text = (files("bot.understanding.corrections.corrections") / "shapes.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    macros = data.pop("macros")
    found = []
    for op, shapes in data.items():
        for pattern, cost in shapes["patterns"]:
            for name, meaning in macros.items():
                pattern = pattern.replace("{" + name + "}", meaning)
            found.append((op, re.compile(pattern), float(cost)))
    return tuple(found)


def read_frames(elements: Sequence[Element], *, opened: bool) -> Iterator[Frame]:
    """Yield every operation that the elements as a whole may mean, with what it costs.

    opened: an opening such as "no, ..." stands before them
    """
    tags = "".join(e.tag for e in elements)
    opened = opened or "o" in tags
    kept = [e for e in elements if e.tag not in "ou"]
    unknown = tags.count("u")
    while kept and kept[0].tag == ",":
        kept = kept[1:]
    while kept and kept[-1].tag == ",":
        kept = kept[:-1]
    shape = "".join(e.tag for e in kept)
    pointing = {m.start() for m in _POINTS.finditer(shape)}
    kept = [
        e
        for k, e in enumerate(kept)
        if k not in pointing and not (e.tag == "," and k and kept[k - 1].tag == ",")
    ]
    shape = "".join(e.tag for e in kept)
    if not shape:
        return
    for op, pattern, cost in _shapes():
        match = pattern.fullmatch(shape)
        if match is not None:
            parts = {
                name: tuple(kept[match.start(name) : match.end(name)])
                for name in match.groupdict()
                if match.start(name) >= 0
            }
            yield Frame(op, cost * (OPENED_SHARE if opened else 1.0) + UNKNOWN_WORD * unknown, parts)
