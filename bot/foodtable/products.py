"""Packaged products of the food data, looked up only when somebody asks for one by name.

They are labels of one country (USDA FoodData Central, branded foods, public domain), 380,000 of them and in
the words of their makers, so that no note is ever matched against them unasked.
"""

import csv
import math
import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rapidfuzz import fuzz

from bot.foodtable.composition import find_data_file, read_amounts, read_header
from bot.model.entries import Nutrients

_MARK = b",branded_food,"
_WORD = re.compile(rb"[A-Z0-9]+")
_LEAST_CHARS = 3
"""Of the rarest word: a shorter one is in too many names."""
_ALL_NAMES = 400_000
_MOST_LINES = 20_000
"""A word in more names than this is not looked for by itself."""
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
    """Return the products that have all of the words in their names, those with the shortest names first.

    Reads the whole data file (66 MB), which takes some tenths of a second.
    """
    wanted = _words_of(words)
    longest = max(wanted, key=len, default=b"")
    if len(longest) < _LEAST_CHARS:
        return ()
    data = find_data_file().read_bytes()
    in_capitals = data.upper()  # of ASCII only, so that every place stays where it is
    named: dict[bytes, int] = {}
    for name, place in _lines_with(data, in_capitals, longest):
        if set(wanted) <= set(_WORD.findall(name)):
            named.setdefault(name, place)
    return _read_all(data, [named[name] for name in sorted(named, key=lambda n: (len(n), n))], most)


def near_products(words: str, most: int = 3) -> tuple[Product, ...]:
    """Return the products whose names hold most of what was said, rare words counting more, likest first."""
    wanted = [word for word in dict.fromkeys(map(_stem, _words_of(words))) if len(word) >= _LEAST_CHARS]
    if not wanted:
        return ()
    data = find_data_file().read_bytes()
    in_capitals = data.upper()
    counts = {word: in_capitals.count(word) for word in wanted}
    # A word that is in no name is misspelt, or of a maker that is not among them: the others must do.
    weights = {word: math.log(_ALL_NAMES / count) for word, count in counts.items() if count}
    said = b" ".join(_words_of(words)).decode()
    whole = sum(weights.values())
    ranked: dict[bytes, tuple[float, int]] = {}
    for word in sorted(weights, key=counts.__getitem__)[:2]:
        if counts[word] > _MOST_LINES:
            continue
        for name, place in _lines_with(data, in_capitals, word):
            held = set(map(_stem, _WORD.findall(name)))
            share = sum(weight for w, weight in weights.items() if w in held) / whole
            if share >= _COVERED and name not in ranked:
                likeness = fuzz.token_sort_ratio(said, name.decode("ascii", "ignore").replace(",", " "))
                ranked[name] = share + likeness / 100, place
    best = sorted(ranked.values(), reverse=True)
    return _read_all(data, [place for _, place in best], most)


def product_at(place: int) -> Product | None:
    """Return the product that begins at that place of the data, None where none does."""
    data = find_data_file().read_bytes()
    begins = 0 < place < len(data) and data[place - 1 : place] == b"\n"
    return _read(data, place, read_header(data)) if begins else None


def _words_of(text: str) -> list[bytes]:
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore")  # as the names are written
    return _WORD.findall(plain.upper())


def _stem(word: bytes) -> bytes:
    return word.removesuffix(b"S") if len(word) > _LEAST_CHARS else word


def _lines_with(data: bytes, in_capitals: bytes, word: bytes) -> Iterator[tuple[bytes, int]]:
    """Yield the name and place of every product whose name holds these letters."""
    at = in_capitals.find(word)
    while at >= 0:
        start = data.rfind(b"\n", 0, at) + 1
        end = _end_of_line(data, at)
        mark = data.find(_MARK, start, end)
        if mark > at:
            yield in_capitals[start:mark], start
        at = in_capitals.find(word, end)


def _read_all(data: bytes, places: Sequence[int], most: int) -> tuple[Product, ...]:
    columns = read_header(data)
    found = (_read(data, place, columns) for place in places)
    known = (product for product in found if product is not None)
    return tuple(product for product, _ in zip(known, range(most), strict=False))


def _read(data: bytes, place: int, columns: list[str]) -> Product | None:
    line = data[place : _end_of_line(data, place)]
    row = next(csv.reader([line.decode("utf-8").rstrip("\r")]))
    if _MARK not in line or len(row) != len(columns):
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


def _end_of_line(data: bytes, at: int) -> int:
    end = data.find(b"\n", at)
    return len(data) if end < 0 else end
