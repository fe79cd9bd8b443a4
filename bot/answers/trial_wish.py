"""What somebody wants tested: “porridge with and without a walk”, “white rice against lentils”. Pure."""

import re
from dataclasses import dataclass

from bot.answers.levers import find_lever
from bot.answers.sides import find_sides

TESTED = (
    "walk after", "chores after", "exercise after", "walk before", "exercise before",
    "vegetables first", "vinegar", "cinnamon", "lemon juice",
)  # fmt: skip
"""The levers that can be drawn by lot from one serving to the next."""
_SLOTS = "breakfast|lunch|dinner|supper|snack"
_AT = re.compile(rf"\b(?:at|for|with my|as my|my|after|before|at my) ({_SLOTS})s?\b|^({_SLOTS})s?\b")
_FOR = re.compile(rf"\s+(?:at|for) (?:{_SLOTS})s?\b")
_TEST = re.compile(
    r"^(?:(?:please|pls|hey|ok|okay|so|well|can|could|shall|should|would|may|we|you|i'd|i'll|i|us|me|let's|lets"
    r"|let|want|wanna|like|it|need|to|now|just|also|know|see|wonder|learn|put|run|set|up|start|do|make|plan|begin|try|testing|tests?"
    r"|trial|find out|prove|check|properly|fair|proper|blind|an?|the|my|trials?|experiments?|comparison|of"
    r"|with|on|between|for|about|whether|if|how|does|do|is)\b[\s:]*)+"
)
_TAIL = re.compile(
    r"\s+(?:please|pls|properly|in a test|to the test|for me|me|for (?:\w+ )?(?:days|weeks)|by lot"
    r"|and compare|matters?|helps?(?: me)?|works?|makes? (?:a|any) difference|does anything|is better"
    r"|afterwards|after it|at all|(?:at|for) home)$"
)
_MARKS = re.compile(r"\s+to the test\b|\b(?:really|actually|truly)\b")
_ASIDE = re.compile(
    r"(?<=\w) (?:can|could|shall|let's|please) (?:(?:we|you|i) )?(?:test|try|check) (?:it|this|that)\b"
)
MOST_WORDS = 5
_SWITCH = re.compile(
    r"^(?P<base>.+?)[\s:]+(?P<what>\S.*?) (?:or|against|vs\.?|versus|and) (?:no|not) (?:a )?(?P=what)$"
)
_BOTH = re.compile(r"^(?:with )?(?:and|or) without (?P<what>.+)$")
_NOT = re.compile(r"^(?P<what>.+?) (?:and|or|against|vs\.?|versus) (?:no|not|without) (?P=what)$")
_GOES_WITH = re.compile(r"^(?P<what>.+?) (?P<when>after|before|with|on|in) (?P<base>.+)$")
_LEVER_FOODS = ("lemon",)
_NAMES = {"walk": "a walk", "walking": "a walk", "stroll": "a walk", "walks": "a walk"}


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to be tested: a base with and without `what`, or the base `against` another food.

    base: "" where none was named; lever: what `what` is, as in `analysis.habits`, "" for a food
    slot: the meal that was named, "" for none
    """

    base: str
    what: str = ""
    lever: str = ""
    against: str = ""
    slot: str = ""


def read_wish(said: str) -> Wish | None:
    """Return what words want tested, None where they name nothing.

    >>> read_wish("test porridge with and without a walk")
    Wish(base='porridge', what='a walk', lever='walk after', against='', slot='')
    >>> read_wish("let's test white rice against lentils at lunch")
    Wish(base='white rice', what='', lever='', against='lentils', slot='lunch')
    """
    text = re.sub(r"\s+", " ", said[:200].lower().replace("’", "'").replace(",", " ")).strip(" ?!.")
    text = " ".join(_MARKS.sub(" ", _ASIDE.split(text)[0] or text).split())
    at = _AT.search(text)
    slot = "" if at is None else (at[1] or at[2]).replace("supper", "dinner")
    text = _TEST.sub("", text)
    while (shorter := _TAIL.sub("", text)) != text:
        text = shorter
    text = _FOR.sub("", text).strip()
    wish = _switched(text, slot) or _of_two(text, slot) or _goes_with(text, slot)
    named = () if wish is None else (wish.base, wish.what, wish.against)
    return None if any(len(words.split()) > MOST_WORDS for words in named) else wish


def _switched(text: str, slot: str) -> Wish | None:
    both = _BOTH.match(text) or _NOT.match(text)
    if both is not None:
        return _with_and_without("", both["what"], slot)
    switch = _SWITCH.match(text)
    return None if switch is None else _with_and_without(switch["base"], switch["what"], slot)


def _of_two(text: str, slot: str) -> Wish | None:
    for first, second in find_sides(text):
        if first.words == second.words:
            return _with_and_without(first.words, first.what, slot)
        goes_with = _GOES_WITH.match(text)
        if goes_with is not None and _lever(goes_with["what"], goes_with["when"]):
            return None  # “vinegar with rice” is not vinegar against rice
        if second.words not in _LEVER_FOODS and _lever(second.words, ""):
            return _with_and_without(first.words, second.words, slot)  # “rice with vegetables first”
        return Wish(first.words, against=second.words, slot=slot)
    return None


def _goes_with(text: str, slot: str) -> Wish | None:
    found = _GOES_WITH.match(text)
    if found is not None:
        lever = _lever(found["what"], found["when"])
        base = re.sub(r"^(?:my|the|a|an)\s+", "", found["base"])
        base = "" if base in ("meals", "meal", "eating", "food", "it") else base
        what = _bare(found["what"])
        return Wish(base, what, lever, slot=slot) if lever or found["when"] in ("with", "on", "in") else None
    lever = _lever(text, "")
    return Wish("", _bare(text), lever, slot=slot) if lever else None


def _with_and_without(base: str, what: str, slot: str) -> Wish:
    what = re.sub(rf" (?:after|before) (?:it|that|{_SLOTS}|eating|the meal)$", "", what)
    return Wish(re.sub(r"^(?:my|the)\s+", "", base), _bare(what), _lever(what, ""), slot=slot)


def _lever(what: str, when: str) -> str:
    """Return the lever that words mean, "" for a food."""
    return find_lever(what, f"{what} {when}")


def _bare(what: str) -> str:
    what = re.sub(r"^(?:my|the|some)\s+", "", what.strip())
    return _NAMES.get(what, what)
