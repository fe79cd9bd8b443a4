"""Makes the shipped table of portions again: what pieces, sizes and cups of the composition's foods weigh.

    python -m bot.foodtable.build_portions usda_portions.csv

The file's columns are data, description, amount, portion, gram_weight: portion weights of USDA FoodData
Central (survey foods 2021-2023 and SR Legacy; public domain). Kept are foods whose description stands in the
installed composition data, without brands, and of their portions those in units that people say. A line of
`portions.txt.gz` is: description | grams taken when no amount was said, least, most | unit size grams, ...
"""

import argparse
import csv
import gzip
import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from statistics import median

from bot.foodtable.composition import load_composition
from bot.foodtable.portions import FILE
from bot.foodtable.search import is_branded
from bot.foodtable.words import plain_word, split_words

UNSAID = "Quantity not specified"

_UNITS = {
    "cup": "cup",
    "tablespoon": "tbsp",
    "tbsp": "tbsp",
    "teaspoon": "tsp",
    "tsp": "tsp",
    "slice": "slice",
    "can": "can",
    "bottle": "bottle",
    "bag": "sachet",
    "packet": "sachet",
    "package": "sachet",
    "pouch": "sachet",
    "box": "sachet",
    "container": "pot",
    "bowl": "bowl",
    "glass": "glass",
    "scoop": "scoop",
    "bar": "bar",
    "fillet": "fillet",
    "stick": "stick",
    "loaf": "loaf",
    "clove": "clove",
    "jar": "jar",
    "handful": "handful",
    "strip": "piece",
}
_SIZES = {
    "small": "small",
    "miniature": "small",
    "mini": "small",
    "bite": "small",
    "medium": "",
    "regular": "",
    "large": "large",
    "thick": "large",
    "thin": "small",
}
# One of it, whatever the food is called.
_PIECE_WORDS = """
piece item link patty steak chop wing drumstick thigh breast leg egg nut chip cracker fruit half roll cookie
doughnut muffin pancake waffle sandwich hamburger cheeseburger taco burrito spear floweret kernel bean
meatball nugget fry cupcake biscuit cone sub submarine wedge berry pretzel olive shrimp date
"""
_PIECES = frozenset(map(plain_word, _PIECE_WORDS.split()))
# Portions that say what is left of something else, or how wide it is: no amount that anybody says.
_LEFT_OUT = re.compile(
    r"guideline|yield|inch|\bdry\b|in shell|with shell|raw|refuse|recipe|100 calorie|\boz\b|\blb\b|quart|"
    r"gallon|"
    r"crust not eaten|whole fish|\bwhole (?:chicken|bird)|senior|extra.large|sharing|king|fun|amount|melted|"
    r"unthawed|powder|squeeze|topping",
    re.IGNORECASE,
)
_FLUID_OUNCE = re.compile(r"^(?:\d+ )?fl oz\b")
_NO_BRANDS = frozenset({"NFS", "NS", "French", "English", "Belgian", "NLEA"})
_LEAST_SHARE, _MOST_SHARE = 0.75, 1.35
"""The narrowest range of an amount that nobody said, as shares of it; no source."""
_FARTHEST = 0.4
"""The least share of it that the range reaches down to; no source."""
_PEOPLE_WORDS = """
American Australian Alaska Chinese European French German Greek Hawaiian Indian Irish Italian Japanese Korean
Mexican New Northern Spanish Swiss Zealand Atlantic Pacific Asian Navajo Danish Polish Vienna
"""
_NO_MAKERS = _NO_BRANDS | set(_PEOPLE_WORDS.split())


def read_rows(path: Path) -> Mapping[str, list[tuple[str, float]]]:
    """Return the portions (words, grams of one) by the food's description."""
    foods: dict[str, list[tuple[str, float]]] = {}
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            amount = float(row["amount"] or 1)
            if amount > 0 and float(row["gram_weight"]) > 0:
                grams = float(row["gram_weight"]) / amount
                foods.setdefault(row["description"], []).append((row["portion"], grams))
    return foods


def read_unit(portion: str, description: str) -> tuple[str, str] | None:
    """Return the unit and size that the words of a portion mean, None for one that nobody says."""
    text = re.sub(r"\([^)]*\)", "", portion).strip()
    if _FLUID_OUNCE.match(text):
        return "floz", ""
    named = [w for w in re.findall(r"[A-Z][\w'-]*", text) if w not in _NO_BRANDS]
    if named or _LEFT_OUT.search(portion) or "drink" in portion:
        return None
    words = [plain_word(word) for word in split_words(text) if not word.isdigit()]
    if "pizza" in words:
        if words[:1] in (["piece"], ["slice"]):
            return ("slice", "") if "medium" in words or "nf" in words else None
        return "whole", "small" if "personal" in words or "small" in words else _size_of(words)
    head = next(
        (w for w in words if w not in _SIZES and w not in ("very", "or", "size", "single", "serving")), ""
    )
    unit = _UNITS.get(head)
    if unit is None and (head in _PIECES or head in map(plain_word, split_words(description)) or not head):
        unit = "piece"
    return None if unit is None else (unit, _size_of(words))


def _names_maker(description: str) -> bool:
    """Tell whether a word within a description is a name: "Cookies, Sunny Oatmeal"."""
    words = re.findall(r"[A-Za-z]+", description)[1:]
    return any(word[0].isupper() and word not in _NO_MAKERS for word in words)


def _size_of(words: Iterable[str]) -> str:
    return next((_SIZES[word] for word in words if word in _SIZES), "")


def gather(portions: list[tuple[str, float]], description: str) -> dict[tuple[str, str], float]:
    """Return one weight for each unit and size; plain words ("1 cup") count before "1 cup, mashed"."""
    found: dict[tuple[str, str], list[tuple[bool, float]]] = {}
    for portion, grams in portions:
        key = read_unit(portion, description)
        if key is not None:
            found.setdefault(key, []).append((bool(re.search(r"[,(]", portion)), grams))
    chosen = {}
    for key, weights in found.items():
        plain = [grams for other, grams in weights if not other] or [grams for _, grams in weights]
        chosen[key] = median(plain)
    # A drink's sizes are those of its cups, which only the shop knows; of a spread nobody counts pieces.
    poured = not chosen.keys().isdisjoint({("floz", ""), ("tbsp", "")})
    return {key: grams for key, grams in chosen.items() if not (poured and key[0] == "piece")}


def unsaid(
    portions: list[tuple[str, float]], measures: Mapping[tuple[str, str], float]
) -> tuple[float, float, float] | None:
    """Return what is taken when no amount was said, and the spread of that food's sizes; None if unknown."""
    usual = next((grams for portion, grams in portions if portion == UNSAID), None)
    if usual is None:
        return None
    shares = [
        g / measures[unit, ""] for (unit, size), g in measures.items() if size and (unit, "") in measures
    ]
    others = [
        g / usual for (unit, _), g in measures.items() if unit in ("cup", "bowl", "sachet", "bag", "pot")
    ]
    low, high = min(shares or others, default=1.0), max(shares or others, default=1.0)
    least, most = min(max(low, _FARTHEST), _LEAST_SHARE), max(min(high, 1 / _FARTHEST), _MOST_SHARE)
    return usual, usual * least, usual * most


def write_lines(foods: Mapping[str, list[tuple[str, float]]]) -> Iterator[str]:
    """Yield the lines of the table, foods in the order of their descriptions."""
    composition = load_composition()
    for description, portions in sorted(foods.items()):
        if description not in composition or is_branded(description) or _names_maker(description):
            continue
        measures = gather(portions, description)
        taken = unsaid(portions, measures)
        if not measures and taken is None:
            continue
        first = " ".join(f"{grams:.4g}" for grams in taken) if taken else ""
        rest = ",".join(f"{unit} {size} {grams:.4g}" for (unit, size), grams in sorted(measures.items()))
        yield f"{description}|{first}|{rest}"


def main() -> None:
    """Write the table beside this module."""
    parser = argparse.ArgumentParser(prog="python -m bot.foodtable.build_portions")
    parser.add_argument("file", type=Path, help="usda_portions.csv")
    lines = list(write_lines(read_rows(parser.parse_args().file)))
    text = "\n".join(lines) + "\n"
    packed = gzip.compress(text.encode(), compresslevel=9, mtime=0)
    (Path(__file__).parent / FILE).write_bytes(packed)
    print(f"{len(lines)} foods, {len(packed) / 1024:.0f} kB")


if __name__ == "__main__":
    main()
