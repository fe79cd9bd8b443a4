"""The shapes of changes: which operations a row of elements may mean, and what each costs."""

import re
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from bot.understanding.corrections.element import Element
from bot.understanding.words.lexicon import TAGS

UNKNOWN_WORD, MOST_UNKNOWN = 0.3, 2.0
"""What a word costs of which nothing is known, and all of them together at most."""
ASIDE = {",": 0.0, "R": 0.2, "t": 0.2, "b": 0.3, "e": 0.3, "x": 0.1, "P": 1.3, "K": 1.3, "F": 1.4, "A": 1.3}
ASIDE |= {"T": 0.9, "S": 0.9, "H": 1.2, "r": 1.0, "w": 0.8, "a": 0.8, "d": 0.7, "m": 0.8}
ASIDE |= {"c": 3.0, "l": 1.5, "s": 1.5}
ASIDE_OTHER = 0.5
OF_ANOTHER_MEAL = 1.5
"""A time beside the name of a meal is of that meal."""
TIME_TOLD = 3.0
"""A time right behind an opening is the right one of what is noted: "sorry, 6:15 and add carrots"."""
KIND_BEHIND = 1.5
"""A food behind an amount is of which kind it was: "the bread was 2 slices, rye"."""
SAYS_MORE = 2.0
"""A food that is to take the place of one that is not named, beside other words: "the cat ate my tuna"."""
MOST_ASIDE = 3.5
"""What it costs to leave an element aside that a shape does not use, and how much may be left at most."""
OPENED_SHARE = 0.35
"""What is left of a shape's cost where the words open like a correction."""


@dataclass(frozen=True, slots=True)
class Frame:
    """One operation that elements may mean: its name, its cost, and the elements of each part.

    aside: the elements that it leaves aside
    """

    op: str
    cost: float
    parts: dict[str, tuple[Element, ...]]
    aside: tuple[Element, ...] = ()

    @property
    def whole(self) -> bool:
        """Tell whether nothing of any weight is left aside."""
        return not any(ASIDE.get(e.tag, ASIDE_OTHER) for e in self.aside)

    def first(self, name: str) -> Element | None:
        """Return the first element of a part, None where there is none."""
        return next(iter(self.parts.get(name, ())), None)

    def all(self, *names: str) -> tuple[Element, ...]:
        """Return the elements of some parts together."""
        return tuple(e for name in names for e in self.parts.get(name, ()))


@cache
def _shapes() -> tuple[tuple[str, re.Pattern[str], float], ...]:
    text = (files(__package__) / "shapes.toml").read_text(encoding="utf-8")
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
    """Yield the operations that the elements may mean, each with what it costs.

    An operation may use only some elements in a row; the others cost what it costs to leave them aside.
    opened: an opening such as "no, ..." stands before them
    """
    kept, aside = _tidy(elements)
    opened = opened or any(e.tag == "o" for e in elements)
    shape = "".join(e.tag for e in kept)
    not_at = bool(kept) and not kept[0].said.lower().startswith("at ")  # "oh, at 6, also a coffee"
    weights = [ASIDE.get(tag, ASIDE_OTHER) for tag in shape]
    sums = [0.0]
    for weight in weights:
        sums.append(sums[-1] + weight)
    for op, pattern, cost in _shapes():
        for start in range(len(shape)):
            if start and sums[start] > MOST_ASIDE:
                break
            match = pattern.match(shape, start)
            if (
                match is None
                or match.end() == start
                or _parts_amount(shape, start, match.end())
                or _is_denied(op, shape, start)
                or (op == "remove" and match[0][:1] in "bn" and "n" in match[0] and (start or aside))
            ):
                continue
            rest = shape[:start] + shape[match.end() :]
            unused = sums[start] + sums[-1] - sums[match.end()]
            unused += OF_ANOTHER_MEAL * (op == "move" and "S" in rest)
            unused += TIME_TOLD * (op == "add" and opened and shape.startswith("T,a") and not_at)
            unused += SAYS_MORE * (op == "swap" and "(?P<other>" in pattern.pattern and unused + aside > 0)
            unused += KIND_BEHIND * (op == "amount" and shape[match.end() :] in (",F", ",K"))
            if (
                unused > MOST_ASIDE
                or (op == "undo" and _names_more(rest, aside))
                or (op == "keep" and ("T" in rest or "S" in rest))
                or ((rest or aside) and _is_bare_time(op, match))
            ):
                continue
            parts = {
                name: tuple(kept[match.start(name) : match.end(name)])
                for name in match.groupdict()
                if match.start(name) >= 0
            }
            beside = (*kept[:start], *kept[match.end() :])
            yield Frame(op, cost * (OPENED_SHARE if opened else 1.0) + unused + aside, parts, beside)


def _parts_amount(shape: str, start: int, end: int) -> bool:
    """Tell whether an operation would take an amount away from the food that stands right behind it."""
    return shape[end - 1] == "A" and end > start and shape[end : end + 1] in ("F", "K", "P")


def _is_denied(op: str, shape: str, start: int) -> bool:
    """Tell whether what would be added or measured stands behind a denial: "there was no jam", "not 1"."""
    if op == "amount" and shape[start] in "bR" and shape[:start].rstrip("x")[-1:] in ("P", "K"):
        return True  # "the rice in it was 150" is of no other food
    denials = {"add": "d", "amount": "nd"}.get(op, "")
    return start > 0 and shape[start - 1] in denials


def _names_more(shape: str, unknown: float) -> bool:
    """Tell whether a food, a meal or an unknown word is left aside: then not just the last entry is meant."""
    return unknown > 0 or any(tag in shape for tag in "PKFMS")


def _is_bare_time(op: str, match: re.Match[str]) -> bool:
    """Tell whether a move names nothing that is moved: among other words a time may be of anything."""
    return op == "move" and not any(tag in match[0] for tag in "bwnPKMZRGLSi")


def _tidy(elements: Sequence[Element]) -> tuple[list[Element], float]:
    """Return the elements that shapes are read from, and what it costs to leave out unknown words."""
    kept = [e for e in elements if e.tag not in "ou"]
    unknown = sum(e.tag == "u" for e in elements)
    found: list[Element] = []
    for k, element in enumerate(kept):
        following = kept[k + 1].tag if k + 1 < len(kept) else ","
        if element.tag == "R" and k and kept[k - 1].tag == "S" and element.said.lower() == "one":
            continue  # "the lunch one"
        if element.tag == "R" and following in "PKFMSLZGT" and element.said.lower() not in TAGS.stands_alone:
            continue  # "that kefir": it only points
        if element.tag == "," and (not found or found[-1].tag == ","):
            continue
        found.append(element)
    while found and found[-1].tag == ",":
        found.pop()
    return found, min(UNKNOWN_WORD * unknown, MOST_UNKNOWN)
