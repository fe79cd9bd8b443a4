"""Words in answer to a trial's plan, or on its days: agree, not now, 8 pairs, not today. Pure."""

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Literal

from bot.understanding.words.wordlists import word_set

if TYPE_CHECKING:  # loading numpy can wait for the first change
    from analysis.trials.protocol import Arm, Protocol

_YES = word_set(
    "yes yeah yep yup ok okay sure fine agree agreed deal go ahead start good great perfect absolutely do in"
)
_NO = word_set("no nope not never rather later nah")
_LITTLE = word_set(
    "i we it the test trial plan please thanks thank you to that this let's lets let us with is sounds for "
    "me i'm then and just now today here begin all right time another mind forget want"
)
_TESTS = r"(?:test|trial|plan|it)"
_THE = r"(?:the|that|this)"
_AGREES = re.compile(
    rf"(?:yes |ok |okay )?(?:i )?agreed?(?: (?:to|with) (?:{_THE} )?{_TESTS})?"
    rf"|(?:yes |ok |okay )?(?:let's |let us |please )?(?:do|start|begin) {_THE} (?:test|trial)(?: please)?"
)
_CHANGE = re.compile(
    r"(?:please |can we |let's |i want to |i'd like to )?(?:change|adjust|alter)"
    rf"(?: (?:something|that|(?:{_THE} )?{_TESTS}))?(?: please)?|something else|differently"
)
_NOT_TODAY = re.compile(
    r"(?:no |sorry |please )*not (?:today|this time)(?: (?:please|sorry|thanks|either))?"
    r"|(?:i )?(?:can't|cannot|won't|can not)(?: do it)? today|(?:maybe )?tomorrow(?: instead)?(?: please)?"
)
_MEAL = r"(?:it|that|this|(?:today's|yesterday's|tonight's|this morning's|my|the) [a-z ]+)"
_TURN = re.compile(
    r"(?:so |and )*which (?:one|way|arm|side|version|turn)(?: (?:is|comes))?"
    r"(?: (?:it|mine|due|next|up|now|today|tonight))+(?: (?:with|without|[a-z]+ or) .*)?"
    r"|(?:is it )?(?:a |the )?(?P<lever>[a-z]+) or no (?P=lever)(?: today| now)?"
    rf"|(?:did|does|do|will|has) {_MEAL} count(?:ed)?(?: (?:for|in) (?:the |my )?(?:test|trial))?"
)
_WORDS = ("six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen")
_PAIRS = rf"(?P<pairs>\d{{1,4}}|{'|'.join(_WORDS)}) pairs?"
_SLOT = r"(?:at|for|as|to) (?P<slot>breakfast|lunch|dinner|supper|snack)"
_GRAMS = r"(?P<grams>\d{1,4}) ?(?:g|gr|grams?)(?: of)? (?P<food>[a-z]+(?: [a-z]+)?)"
_LEAD = (
    r"(?:please|can|could|we|let's|i'd|i|would|like|want|to|make|it|that|do|have|take|use|with|only|just|rather"
    r"|better|but|change|say|only|at most|up to)"
)
_TAIL = r"(?:please|instead|each|for both|then|only)"
_CHANGES = tuple(
    re.compile(rf"(?P<lead>(?:{_LEAD} )*){piece}(?: {_TAIL})*") for piece in (_PAIRS, _SLOT, _GRAMS)
)
HOW_MANY = "A test takes {fewest} to {most} pairs. How many shall it be?"
NONE_OF_THAT = "An amount must be above zero. How much shall it be?"


def plain(text: str) -> str:
    """Return words without capitals and marks."""
    return re.sub(r"\s+", " ", text.lower().replace("’", "'").replace(",", " ")).strip(" ?!.")


def read_reply(said: str) -> Literal["agree", "refuse", "change"] | None:
    """Return what plain words answer to a proposal; None where they answer something else.

    >>> [read_reply(said) for said in ("ok let's do it", "rather not now", "change it", "toast")]
    ['agree', 'refuse', 'change', None]
    """
    words = set(re.findall(r"[a-z']+", said))
    if _CHANGE.fullmatch(said):
        return "change"
    if re.search(r"\d", said):
        return None
    if words & _NO and words <= _NO | _LITTLE | _YES:
        return "refuse"
    return "agree" if words & _YES and words <= _YES | _LITTLE else None


def agrees_by_name(said: str) -> bool:
    """Tell whether words agree to a trial without having been asked just before.

    >>> agrees_by_name("i agree to the plan"), agrees_by_name("let's do that test"), agrees_by_name("yes")
    (True, True, False)
    """
    return _AGREES.fullmatch(said) is not None


def is_not_today(said: str) -> bool:
    """Tell whether words put off what is due today."""
    return _NOT_TODAY.fullmatch(said) is not None


def asks_turn(said: str) -> bool:
    """Tell whether words ask, without naming the trial that runs, which arm is due or whether a meal counts.

    >>> [asks_turn(said) for said in ("which one is it today", "walk or no walk", "did that count")]
    [True, True, True]
    >>> asks_turn("which one is better"), asks_turn("does milk count for in carbs")
    (False, False)
    """
    return _TURN.fullmatch(said) is not None


def read_change(said: str, protocol: "Protocol", *, asked: bool) -> "Protocol | str":
    """Return a protocol with what plain words change of it, or a sentence that asks again.

    asked: whether it was asked what to change; else “60 g oats” is more likely a meal
    """
    parts = [
        next((found for shape in _CHANGES if (found := shape.fullmatch(part.strip()))), None)
        for part in re.split(r" and |;", said)
    ]
    for found in parts:
        if found is None or (not asked and "grams" in found.groupdict() and not found["lead"]):
            return protocol
        changed = _change_one(found.groupdict(), protocol)
        if isinstance(changed, str):
            return changed
        protocol = changed
    return protocol


def _change_one(said: dict[str, str], protocol: "Protocol") -> "Protocol | str":
    from analysis.trials.protocol import FEWEST, MOST

    if "pairs" in said:
        word = said["pairs"]
        number = _WORDS.index(word) + FEWEST if word in _WORDS else int(word)
        return (
            replace(protocol, pairs=number)
            if FEWEST <= number <= MOST
            else HOW_MANY.format(fewest=FEWEST, most=MOST)
        )
    if "slot" in said:
        return replace(protocol, slot=said["slot"].replace("supper", "dinner"))
    if int(said["grams"]) == 0:
        return NONE_OF_THAT
    first, second = (_with_grams(arm, float(said["grams"]), said["food"].split()) for arm in protocol.arms)
    return replace(protocol, arms=(first, second))


def _with_grams(arm: "Arm", grams: float, words: Sequence[str]) -> "Arm":
    foods = tuple(
        replace(food, grams=grams) if {*food.food.split()} & {*words} else food for food in arm.foods
    )
    return replace(arm, foods=foods)
