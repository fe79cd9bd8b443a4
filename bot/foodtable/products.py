"""Packaged products of the food data, looked up only when somebody asks for one by name.

They are labels of one country (USDA FoodData Central, branded foods, public domain), 380,000 of them and in
the words of their makers, so that no note is ever matched against them unasked.
"""

import csv
import math
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import BinaryIO

from rapidfuzz import fuzz

from bot.foodtable.composition import find_data_file, read_amounts, read_header
from bot.foodtable.product_names import MARK, names_with, read_names
from bot.model.entries import Nutrients

_WORD = re.compile(rb"[A-Z0-9]+")
_LEAST_CHARS = 3
"""Of the rarest word: a shorter one is in too many names."""
_ALL_NAMES = 400_000
_MOST_LINES = 20_000
"""So many lines are looked at, those with the rarest words first."""
_COVERED = 0.45
"""How much of what was said a name must hold to be near it, rare words counting more; no source."""
_SERVED = re.compile(r"(?P<count>\d+(?:[./]\d+)?) ?(?P<unit>[a-z]+)?", re.IGNORECASE)
_NO_COUNT = frozenset({"onz", "oza", "oz", "g", "grm", "gr", "ml", "mlt", "mg", "fl", "lb", "pt", "qt", "l"})


@dataclass(frozen=True, slots=True)
class Product:
    """One packaged product: what a portion of `grams` of it holds; `place` is where it stands in the data.

    count, unit: what the label calls that portion ("7 pieces", "0.5 cup"); unit "" where it only weighs it
    """

    place: int
    name: str
    grams: float
    nutrients: Nutrients
    count: float = 1.0
    unit: str = ""


def find_products(words: str, most: int = 3) -> tuple[Product, ...]:
    """Return the products that have all of the words in their names, those with the shortest names first."""
    wanted = _words_of(words)
    longest = max(wanted, key=len, default=b"")
    if len(longest) < _LEAST_CHARS:
        return ()
    found = {
        name: place
        for name, place in names_with(read_names(), longest)
        if set(wanted) <= set(_WORD.findall(name))
    }
    return _read_all([found[name] for name in sorted(found, key=lambda n: (len(n), n))], most)


def near_products(words: str, most: int = 3) -> tuple[Product, ...]:
    """Return the products whose names hold most of what was said, rare words counting more, likest first."""
    wanted = [word for word in dict.fromkeys(map(_stem, _words_of(words))) if len(word) >= _LEAST_CHARS]
    if not wanted:
        return ()
    names = read_names()
    counts = {word: names.count(word) for word in wanted}
    # A word that is in no name is misspelt, or of a maker that is not among them: the others must do.
    weights = {word: math.log(_ALL_NAMES / count) for word, count in counts.items() if count}
    said = b" ".join(_words_of(words)).decode()
    if weights:  # the last word says what sort of food it is: no rarer word counts for more
        last = next(word for word in reversed(wanted) if word in weights)
        weights[last] = max(weights.values())
    whole = sum(weights.values())
    ranked: dict[bytes, tuple[float, int]] = {}
    left = _MOST_LINES
    for word in sorted(weights, key=counts.__getitem__):
        left -= counts[word]
        if left < 0:
            break
        for name, place in names_with(names, word):
            # Letters are quick to find; only a name that holds enough of them is cut into its words.
            if sum(weight for w, weight in weights.items() if w in name) < _COVERED * whole:
                continue
            held = set(map(_stem, _WORD.findall(name)))
            share = sum(weight for w, weight in weights.items() if w in held) / whole
            if share >= _COVERED and name not in ranked:
                likeness = fuzz.token_sort_ratio(said, name.decode("ascii", "ignore").replace(",", " "))
                ranked[name] = share + likeness / 100, place
    best = sorted(ranked.values(), reverse=True)
    return _read_all([place for _, place in best], most)


def product_at(place: int) -> Product | None:
    """Return the product that begins at that place of the data, None where none does."""
    with find_data_file().open("rb") as data:
        columns = _read_columns(data)
        if place <= 0 or data.seek(place - 1) != place - 1 or data.read(1) != b"\n":
            return None
        return _read(data.readline(), place, columns)


def _words_of(text: str) -> list[bytes]:
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore")  # as the names are written
    return _WORD.findall(plain.upper())


def _stem(word: bytes) -> bytes:
    return word.removesuffix(b"S") if len(word) > _LEAST_CHARS else word


def _read_columns(data: BinaryIO) -> list[str]:
    return read_header(data.readline())


def _read_all(places: Sequence[int], most: int) -> tuple[Product, ...]:
    found: list[Product] = []
    with find_data_file().open("rb") as data:
        columns = _read_columns(data)
        for place in places:
            if len(found) == most:
                break
            data.seek(place)
            product = _read(data.readline(), place, columns)
            found += [] if product is None else [product]
    return tuple(found)


def _read(line: bytes, place: int, columns: list[str]) -> Product | None:
    row = next(csv.reader([line.decode("utf-8").rstrip("\r\n")]), [])
    if MARK not in line or len(row) != len(columns):
        return None
    amounts, portion = read_amounts(row, columns), row[columns.index("portion_gram_weight")]
    if amounts is None:
        return None
    grams = float(portion or 100.0)
    if grams <= 0:
        return None
    name = row[columns.index("foodName")].capitalize()
    count, unit = _read_served(row[columns.index("portion_unit_name")])
    return Product(place, name, grams, Nutrients(*amounts).scaled(grams / 100), count, unit)


def _read_served(text: str) -> tuple[float, str]:
    """Read "7 PIECES" and "1/2 cup (30g)"; a bare weight counts as one portion."""
    found = _SERVED.match(text.strip())
    unit = (found["unit"] or "").lower() if found else ""
    if found is None or not unit or unit in _NO_COUNT:
        return 1.0, ""
    top, _, bottom = found["count"].partition("/")
    count = float(top) / float(bottom or 1) if float(bottom or 1) else 0.0
    return (count, unit.removesuffix("s")) if count > 0 else (1.0, "")
