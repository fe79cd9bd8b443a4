"""Words as people type them -> one plain form, so that "Boiled Eggs" and "boiled egg" are the same key."""

import re
import tomllib
import unicodedata
from collections.abc import Mapping, Sequence
from functools import lru_cache
from importlib.resources import files

# A food phrase longer than this is not one; the caps keep hostile input cheap.
MAX_CHARS = 120
MAX_WORDS = 10

_MARKS = re.compile("['’&]")
_WORD = re.compile(r"[a-z]+|\d+(?:\.\d+)?%?")
_PHRASES = (
    ("whole wheat", "wholemeal"),
    ("whole meal", "wholemeal"),
    ("whole grain", "wholegrain"),
    ("stir fried", "sauteed"),
)

FIRST_OF_PHRASES = frozenset(phrase.partition(" ")[0] for phrase, _ in _PHRASES)

# Spellings that no plural rule covers; both the table and the typed words pass through here.
_SPELLINGS = {
    "avo": "avocado",
    "bfast": "breakfast",
    "blueb": "blueberry",
    "brst": "breast",
    "brocc": "broccoli",
    "brocolli": "broccoli",
    "broc": "broccoli",
    "catsup": "ketchup",
    "caulif": "cauliflower",
    "chese": "cheese",
    "chz": "cheese",
    "chx": "chicken",
    "chkn": "chicken",
    "choc": "chocolate",
    "choccy": "chocolate",
    "cuke": "cucumber",
    "marg": "margarine",
    "nana": "banana",
    "omlette": "omelet",
    "omlet": "omelet",
    "omelett": "omelet",
    "mozz": "mozzarella",
    "parm": "parmesan",
    "pud": "pudding",
    "sammy": "sandwich",
    "sando": "sandwich",
    "sandwhich": "sandwich",
    "sarny": "sandwich",
    "spud": "potato",
    "strawb": "strawberry",
    "tater": "potato",
    "tom": "tomato",
    "chocolat": "chocolate",
    "tost": "toast",
    "expresso": "espresso",
    "vegetable": "veg",
    "vegg": "veg",
    "veggy": "veg",
    "yog": "yogurt",
    "chile": "chili",
    "chilis": "chili",
    "chilli": "chili",
    "doughnut": "donut",
    "hommus": "hummus",
    "houmous": "hummus",
    "houmus": "hummus",
    "hummous": "hummus",
    "humous": "hummus",
    "humus": "hummus",
    "joghurt": "yogurt",
    "yoghourt": "yogurt",
    "yoghurt": "yogurt",
    "yogourt": "yogurt",
    "kabob": "kebab",
    "lasagne": "lasagna",
    "kebap": "kebab",
    "kbab": "kebab",
    "chillie": "chili",
    "chillies": "chili",
    "chilly": "chili",
    "leave": "leaf",
    "loave": "loaf",
    "halve": "half",
    "omelette": "omelet",
    "tinned": "canned",
    "prawn": "shrimp",
    "courgette": "zucchini",
    "aubergine": "eggplant",
    "portabella": "portobello",
    "pilau": "pilaf",
    "pilav": "pilaf",
    "semiskimmed": "semi skimmed",
    "wholewheat": "wholemeal",
}


# Words in -s that are no plurals.
_SINGULAR = frozenset(
    {"chablis", "cassis", "pastis", "debris", "this", "swiss", "molasses", "gas", "asparagus"}
)


@lru_cache(maxsize=16384)
def plain_word(word: str) -> str:
    """Return one lower-case word as a key: singular by rule and in one spelling ("tomatoes" -> "tomato").

    The result need not be English ("molass"); it only has to be the same for every form of the word.
    """
    w = word
    if len(w) > 3 and not w.endswith(("ss", "us")) and w not in _SINGULAR:
        if w.endswith("ies") and len(w) > 4:
            w = w[:-3] + "y"
        elif w.endswith(("oes", "xes", "zes", "ches", "shes", "sses")):
            w = w[:-2]
        elif w.endswith("s"):
            w = w[:-1]
    if w.endswith("ie") and len(w) > 4:
        w = w[:-2] + "y"
    elif w.endswith("che"):
        w = w[:-1]
    return _SPELLINGS.get(w, w)


# Letters that no accent can be taken from.
_LETTERS = str.maketrans(
    {"ß": "ss", "ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "ı": "i", "đ": "d", "ð": "d", "þ": "th", "ə": "a"}
)


def split_words(text: str) -> list[str]:
    """Split text into plain lower-case words without accents; hyphens part words, apostrophes join them."""
    text = text.lower()
    if _MARKS.search(text):
        text = text.replace("'", "").replace("’", "").replace("&", " and ")
    if not text.isascii():
        text = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
        text = text.translate(_LETTERS)
    words = _WORD.findall(text)
    return ["and" if word == "n" else word for word in words] if "n" in words else words


@lru_cache(maxsize=8192)
def key_words(word: str) -> tuple[str, ...]:
    """Return the plain words of one word as typed (a hyphen parts it)."""
    return tuple(map(plain_word, split_words(word)))


def join_phrases(words: Sequence[str]) -> list[str]:
    """Return plain words with the pairs joined that mean one word ("whole", "wheat")."""
    if FIRST_OF_PHRASES.isdisjoint(words):
        return list(words)
    text = " ".join(words)
    for said, kept in _PHRASES:
        text = text.replace(said, kept)
    return text.split()


def make_key(text: str) -> str:
    """Return the form under which a food name is kept and looked up."""
    return " ".join(join_phrases([plain_word(word) for word in split_words(text)]))


def _read_word_lists() -> Mapping[str, frozenset[str]]:
    text = (files("bot.foodtable") / "words.toml").read_text(encoding="utf-8")
    return {name: frozenset(map(plain_word, words.split())) for name, words in tomllib.loads(text).items()}


WORDS = _read_word_lists()
"""The word lists of words.toml by name, each word in its plain form."""
