"""The everyday names: which words people use for which food, and what one of it weighs.

They are kept in plain files under `everyday/`, one food a line, made to be edited by hand; README.md there
explains the columns.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources import files
from itertools import product

from bot.foodtable.words import make_key

UNITS = frozenset(
    {
        "g",
        "kg",
        "oz",
        "lb",
        "ml",
        "dl",
        "cl",
        "l",
        "floz",
        "pint",
        "cup",
        "tbsp",
        "tsp",
        "dsp",
        "piece",
        "slice",
        "bowl",
        "plate",
        "glass",
        "mug",
        "tin",
        "jar",
        "handful",
        "scoop",
        "stick",
        "clove",
        "fillet",
        "portion",
        "rasher",
        "pot",
        "bottle",
        "can",
        "bar",
        "sachet",
        "whole",
        "loaf",
        "inch",
        "spoon",
        "wrap",
        "roll",
    }
)
SIZES = frozenset({"small", "medium", "large", "thin", "thick", "heaped", "level"})

USDA = "USDA weights"
PRACTICE = "typical portion"

# Words in the data files for what the parser knows by another name.
_SAME_UNIT = {"box": "sachet", "bag": "sachet", "packet": "sachet", "pat": "piece", "square": "piece"}

_FIGURE = re.compile(r"(?P<mark>~?)(?P<grams>[\d.]+)(?: \((?P<low>[\d.]+)-(?P<high>[\d.]+)\))?")
_CHOICE = re.compile(r"\(([^()]*)\)")


@dataclass(frozen=True, slots=True)
class Weight:
    """Grams of ONE of something, the range it may have, and where the figure comes from."""

    grams: float
    low: float
    high: float
    source: str


@dataclass(frozen=True, slots=True)
class Everyday:
    """One food as people speak of it; `measures` is by (unit, size), size "" when none is meant.

    why: why its portion is far from the survey's, "" where it is not
    """

    name: str
    also: tuple[str, ...]
    food: str
    measures: Mapping[tuple[str, str], Weight]
    portion: Weight
    density: float | None
    assumed: str
    why: str = ""


def read_everyday() -> list[Everyday]:
    """Return all everyday foods; a line that does not make sense raises ValueError naming it."""
    entries = []
    for line in _read_lines():
        try:
            entries.append(_read_entry(line))
        except ValueError as error:
            raise ValueError(f"everyday food not understood: {line!r}: {error}") from error
    return entries


def _read_lines() -> Iterator[str]:
    folder = files("bot.foodtable") / "everyday"
    for file in sorted(folder.iterdir(), key=lambda f: f.name):
        if file.name.endswith(".txt"):
            lines = file.read_text(encoding="utf-8").splitlines()
            yield from (line for line in lines if line.strip() and not line.startswith("#"))


def _read_entry(line: str) -> Everyday:
    columns = [column.strip() for column in line.split("|")]
    if len(columns) == 5:
        columns.append("")
    name, also, food, measures, portion, assumed = columns
    density, weights = read_measures(measures)
    portion, _, why = portion.partition("[")
    return Everyday(
        name=name,
        also=tuple(alias for part in _split_names(also) for alias in _spell_out(part)),
        food=food,
        measures=weights,
        portion=read_weight(f"~{portion.strip()}"),
        density=density,
        assumed=assumed,
        why=why.strip(" ]"),
    )


def _split_names(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]


def _spell_out(name: str) -> Iterator[str]:
    """Yield every name that "(a/b/) c" stands for."""
    pieces = _CHOICE.split(name)
    choices = [piece.split("/") if i % 2 else [piece] for i, piece in enumerate(pieces)]
    return (" ".join("".join(chosen).split()) for chosen in product(*choices))


def read_measures(text: str) -> tuple[float | None, dict[tuple[str, str], Weight]]:
    """Read "slice 32 (25-45), thin slice 25, density 1.03" into (density, weights by unit and size)."""
    density = None
    weights: dict[tuple[str, str], Weight] = {}
    for part in _split_names(text):
        words = part.rstrip("~0123456789.-() ")
        weight = read_weight(part[len(words) :].strip())
        if words == "density":
            density = weight.grams
            continue
        first, _, rest = words.partition(" ")
        size, unit = (first, rest or "piece") if first in SIZES else ("", words)
        unit = _SAME_UNIT.get(unit, unit)
        if unit not in UNITS:
            raise ValueError(f"no such unit: {unit!r}")
        weights.setdefault((unit, size), weight)
    return density, weights


def read_weight(text: str) -> Weight:
    """Read "32 (25-45)"; "~" before the figure says that it is common practice."""
    found = _FIGURE.fullmatch(text)
    if found is None:
        raise ValueError(f"no figure: {text!r}")
    grams = float(found["grams"])
    low, high = (float(found[end] or grams) for end in ("low", "high"))
    if not 0 < low <= grams <= high:
        raise ValueError(f"range does not hold the figure: {text!r}")
    return Weight(grams, low, high, PRACTICE if found["mark"] else USDA)


@dataclass(frozen=True, slots=True)
class Named:
    """An everyday food under one of its names."""

    name: str
    entry: Everyday


def key_names(entries: list[Everyday]) -> dict[str, Named]:
    """Return foods by the key of every name; a food's own name wins over another's alias."""
    keys: dict[str, Named] = {}
    for entry in entries:
        keys.setdefault(make_key(entry.name), Named(entry.name, entry))
    for entry in entries:
        for alias in entry.also:
            keys.setdefault(make_key(alias), Named(alias, entry))
    keys.pop("", None)
    return keys
