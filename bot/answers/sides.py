"""“Compare porridge with and without a walk”: the two sides a question names, and the meals of each.

Pure. A side is the words of a food or a meal's name, and what must have gone with it or not: movement, an
extra such as vinegar, or another food on the plate.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

from analysis.kept import once
from bot.foodtable.spelling import find_near
from bot.model.entries import Meal

MOVES_FROM_MIN, MOVES_TO_MIN = -30.0, 120.0
"""Movement counts for a meal when it begins this long around the first bite (as in the words of a curve)."""
MOST_CHARACTERS = 200
"""A question is not longer; what matches back and forth must not be."""
LEAST_LETTERS = 5
"""Shorter words are too near to too many others to be put right."""
_JUDGED = r"(?:better|worse|healthier|flatter|steadier|more even)"
_OPENING = re.compile(
    r"^(?:(?:please|pls|hey|can you|could you|can we|show me|tell me|let's|lets|how (?:do|does|did))\s+)*"
    r"(?:compare|comparing|comparison of|(?:the )?difference between"
    r"|(?:which|what)(?: one)?(?: is|'s| are| was)? " + _JUDGED + r"(?: for me)?)?\s*"
)
_ENDING = re.compile(
    rf"\s+(?:which(?: one)?(?: is|'s| are| was)? {_JUDGED}(?: for me)?|please|compare|compared"
    r"|(?:for|over|in|of) the (?:last|past) .*|this (?:week|month)"
    r"|last (?:week|month)|since .*|for me|on average)$"
)
_SWITCH = re.compile(
    r"^(?P<base>.+?)\s+(?:with and without|with or without|with/without|w/ and w/o)\s+(?P<what>.+)$"
)
_SWITCH_TWICE = re.compile(
    r"^(?P<base>.+?)\s+with\s+(?P<what>.+?)\s+(?:and|or|against|vs\.?|versus)\s+(?:(?P=base)\s+)?without"
    r"(?:\s+.*)?$"
)
_BETTER = re.compile(
    r"^(?:is|are|was|were)\s+(?P<a>.+?)\s+(?:any\s+)?(?:better|worse|flatter|steadier|healthier|more even)"
    r"\s+than\s+(?P<b>.+)$"
)
_STRONG = re.compile(r"\s+(?:against|versus|vs\.?|compared (?:to|with)|or)\s+")
_WEAK = re.compile(r"\s+(?:and|with|to)\s+")
_LITTLE = frozenset(
    ["a", "an", "the", "my", "some", "any", "of", "in", "on", "for", "and", "with", "after", "before", "it"]
)
_MOVES = {
    "walk": "walk", "walks": "walk", "walking": "walk", "walked": "walk", "run": "run", "running": "run",
    "cycle": "cycl", "cycling": "cycl", "ride": "cycl", "bike": "cycl", "swim": "swim", "swimming": "swim",
    "squats": "squat", "stairs": "stair", "exercise": "", "moving": "", "movement": "", "activity": "",
}  # fmt: skip
"""Words for movement, and the beginning of how it is noted ("" = any)."""


@dataclass(frozen=True, slots=True)
class Side:
    """One side: its words, and what must (`present`) or must not have gone with it; `what` "" = anything."""

    words: str
    what: str = ""
    present: bool = True

    @property
    def label(self) -> str:
        """The side in the person's words: porridge without a walk."""
        return (
            self.words
            if not self.what
            else f"{self.words} {'with' if self.present else 'without'} {self.what}"
        )


def find_sides(said: str) -> list[tuple[Side, Side]]:
    """Return the pairs of sides that a question may mean, the likeliest first; none when it names none.

    “Ham and eggs and toast” may be parted in two places: which one is meant shows in what was eaten.
    """
    text = (
        re.sub(r"\s+", " ", said[:MOST_CHARACTERS].lower().replace("’", "'")).replace(",", "").strip(" ?!.")
    )
    text = _ENDING.sub("", _OPENING.sub("", text))
    better = _BETTER.match(text)
    if better is not None:
        return [(_side(better["a"]), _side(better["b"]))]
    switch = _SWITCH.match(text) or _SWITCH_TWICE.match(text)
    if switch is not None:
        base, what = _bare(switch["base"]), switch["what"]
        return [(Side(base, what), Side(base, what, present=False))] if base and _fold(what) else []
    moved = _side(text)
    if moved.words and moved.what and _fold(moved.what) <= _MOVES.keys():
        return [(Side(moved.words, moved.what), Side(moved.words, moved.what, present=False))]
    for parting in (_STRONG, _WEAK):
        pairs = [(_side(text[: m.start()]), _side(text[m.end() :])) for m in parting.finditer(text)]
        pairs = [pair for pair in pairs if pair[0].words and pair[1].words and pair[0] != pair[1]]
        if pairs:
            return pairs
    return []


def _side(text: str) -> Side:
    """Return a side; “porridge with a walk” is porridge that movement went with, not a food of that name."""
    for link, present in ((" without ", False), (" with ", True)):
        base, found, what = text.partition(link)
        if found and (not present or _moves_in(what)):
            return Side(_bare(base), what, present)
    return Side(_bare(text))


def _bare(text: str) -> str:
    words = text.split()
    while words and words[0] in _LITTLE:
        words = words[1:]
    return " ".join(words)


def _moves_in(text: str) -> list[str]:
    return [_MOVES[word] for word in text.split() if word in _MOVES]


def is_of(side: Side, meal: Meal, moves: Sequence[tuple[float, float, str]]) -> bool:
    """Tell whether a meal is of a side.

    moves: (start minute from the first bite, minutes, what) of the movement around it
    """
    if not names(side.words, meal):
        return False
    if not side.what:
        return True
    moved = _moves_in(side.what)
    if moved:
        around = [what for start, _, what in moves if MOVES_FROM_MIN <= start <= MOVES_TO_MIN]
        went = any(what.startswith(begin) for what, begin in product(around, moved))
    else:
        went = any(holds(name, side.what) for name in _names_of(meal))
    return went == side.present


def names(words: str, meal: Meal) -> bool:
    """Tell whether words name a meal: its slot, what the person calls it, a food, or how it was noted."""
    if _fold(words) == {meal.slot}:
        return True
    foods = _names_of(meal)
    return any(holds(name, words) for name in (meal.called, *foods, " ".join(foods), meal.said))


def amount_of(words: str, meal: Meal) -> float | None:
    """Return the grams of what words name on a plate; None where they name the plate, or nothing on it."""
    grams = [item.grams for item in meal.items if holds(f"{item.name} {item.said}", words)]
    return sum(grams) if grams and len(grams) < max(2, len(meal.items)) else None


def spell_side(side: Side, meals: Sequence[Meal]) -> Side:
    """Put right each word of a side that no meal has, where it is a slip away from one that some meal has.

    >>> porridge = Meal(None, "breakfast", (), said="porridge with a pear")
    >>> spell_side(Side("poridge"), [porridge]).words, spell_side(Side("toast"), [porridge]).words
    ('porridge', 'toast')
    """
    names = [name for meal in meals for name in (meal.called, *_names_of(meal), meal.said)]
    known = sorted({word for name in names for word in _fold(name)})

    def right(word: str) -> str:
        plain = _singular(word)
        if len(word) < LEAST_LETTERS or word in _LITTLE or plain in known:
            return word
        return find_near(plain, [name for name in known if name[0] == plain[0]], 1) or word

    return replace(side, words=" ".join(map(right, side.words.split())))


def _names_of(meal: Meal) -> list[str]:
    items = [f"{item.name} {item.said}" for item in meal.items]
    return items + [extra.name for extra in meal.extras]


def holds(name: str, words: str) -> bool:
    """Tell whether a name has all of the words that matter, the plural as the singular."""
    wanted = _fold(words)
    return bool(wanted) and wanted <= _fold(name)


@once
def _fold(words: str) -> frozenset[str]:
    """Return the words that matter, the plural as the singular."""
    kept = (word.strip(",;:") for word in words.lower().split())
    return frozenset(_singular(word) for word in kept if word and word not in _LITTLE)


def _singular(word: str) -> str:
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("oes", "ches", "shes", "sses")):
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word
