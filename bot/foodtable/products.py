"""Packaged products of the food data, looked up only when somebody asks for one by name.

They are labels of one country (USDA FoodData Central, branded foods, public domain), 380,000 of them and in
the words of their makers, so that no note is ever matched against them unasked.
"""

import csv
import re
import unicodedata
from dataclasses import dataclass

from bot.foodtable.composition import find_data_file, read_amounts, read_header
from bot.model.entries import Nutrients

_MARK = b",branded_food,"
_WORD = re.compile(rb"[A-Z0-9]+")
_LEAST_CHARS = 3
"""Of the longest word: a shorter one is in too many names."""


@dataclass(frozen=True, slots=True)
class Product:
    """One packaged product: what a portion of `grams` of it holds; `place` is where it stands in the data."""

    place: int
    name: str
    grams: float
    nutrients: Nutrients


def find_products(words: str, most: int = 3) -> tuple[Product, ...]:
    """Return the products that have all of the words in their names, those with the shortest names first.

    Reads the whole data file (66 MB), which takes some tenths of a second.
    """
    plain = unicodedata.normalize("NFKD", words).encode("ascii", "ignore")  # as the names are written
    wanted = _WORD.findall(plain.upper())
    longest = max(wanted, key=len, default=b"")
    if len(longest) < _LEAST_CHARS:
        return ()
    data = find_data_file().read_bytes()
    in_capitals = data.upper()  # of ASCII only, so that every place stays where it is
    named: dict[bytes, int] = {}
    at = in_capitals.find(longest)
    while at >= 0:
        start = data.rfind(b"\n", 0, at) + 1
        end = _end_of_line(data, at)
        mark = data.find(_MARK, start, end)
        name = in_capitals[start:mark] if mark > at else b""
        if name and set(wanted) <= set(_WORD.findall(name)):
            named.setdefault(name, start)
        at = in_capitals.find(longest, end)
    columns = read_header(data)
    ranked = sorted(named, key=lambda name: (len(name), name))
    found = (_read(data, named[name], columns) for name in ranked)
    return tuple(
        product for product, _ in zip((p for p in found if p is not None), range(most), strict=False)
    )


def product_at(place: int) -> Product | None:
    """Return the product that begins at that place of the data, None where none does."""
    data = find_data_file().read_bytes()
    begins = 0 < place < len(data) and data[place - 1 : place] == b"\n"
    return _read(data, place, read_header(data)) if begins else None


def _read(data: bytes, place: int, columns: list[str]) -> Product | None:
    line = data[place : _end_of_line(data, place)]
    row = next(csv.reader([line.decode("utf-8").rstrip("\r")]))
    if _MARK not in line or len(row) != len(columns):
        return None
    amounts, portion = read_amounts(row, columns), row[columns.index("portion_gram_weight")]
    if amounts is None:
        return None
    grams = float(portion or 100.0)
    name = row[columns.index("foodName")].capitalize()
    return Product(place, name, grams, Nutrients(*amounts).scaled(grams / 100)) if grams > 0 else None


def _end_of_line(data: bytes, at: int) -> int:
    end = data.find(b"\n", at)
    return len(data) if end < 0 else end
