"""Facts that somebody tells of themselves: medicines, pregnancy, what they avoid, what they do each week."""

import re
from collections.abc import Collection, Iterator
from itertools import pairwise

from bot.model.entries import Fact
from bot.understanding.context import Context
from bot.understanding.settings.clocks import clocks_in, days_in, span_of, write
from bot.understanding.settings.older import older_in
from bot.understanding.settings.settings import Told
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.medicines import MEDICINE_KINDS, MEDICINES
from bot.understanding.words.plain_words import is_plain

NEAR = 3
"""So many words before it a "no" still means a word."""
LEAST_NAME = 3
LEAST_SAID = 4
"""“No egg” by itself is a change of a plate."""
MOST_ROUTINE_WORDS = 4
FOOD_IN_ROUTINE = 2.0
"""A food in it makes it rather a meal, "the same as every day"."""
_DOSED = re.compile(
    r"\b\d+ ?(?:mg|mcg|units?|tablets?)\b|\b(?:once|twice|daily|tablets?|pill|every (?:day|morning"
    r"|night)|nightly|started|on)\b"
)
_DIET = re.compile(
    r"\b(vegetarian|vegan|pure veg|pescatarian|halal|kosher|gluten free|dairy free"
    r"|(?:lactose|gluten|dairy|fructose|histamine) intolerant"
    r"|teetotal|jain|plant based|veggie|celiac|coeliac)\b"
)
_OF_FOOD = ("one", "ones", "version", "option", "kind", "instead")
_OF_PLATE = re.compile(r"\b(?:in|on|with) (?:mine|it|this|that|these|those|them)$")
"""“No egg in mine” is of a plate."""
_IS = (["is"], ["are"], ["was"], ["were"])
_PART = re.compile(
    r"\b(?:before work|after work|before breakfast|after breakfast|before lunch|after lunch"
    r"|before dinner|after dinner|at lunchtime|first thing|mornings?|afternoons?|evenings?|nights?"
    r"|all day)\b"
)
_DAY_WORD = re.compile(r"(?:mon|tue|wed|thu|fri|sat|sun)\w*$")


def facts_in(told: Told, context: Context, used: Collection[str] = ()) -> Iterator[tuple[Fact, float]]:
    """Yield the facts in a stretch, each with its cost."""
    yield from _medicines(told)
    yield from _body(told)
    yield from _avoids(told, context)
    yield from _routines(told, context)
    yield from older_in(told.text, context.now.astimezone(context.zone).date())


def _negated(told: Told, word: str) -> bool:
    """Tell whether a "no" stands shortly before a word."""
    at = told.words.index(word)
    return bool(
        {"no", "not", "never", "nah", "nor", "without", "stopped"} & set(told.words[max(0, at - NEAR) : at])
    )


def _medicines(told: Told) -> Iterator[tuple[Fact, float]]:
    """Yield the medicines that somebody takes: what the brother injects is none of them."""
    said = [w for w in dict.fromkeys(told.words) if w in MEDICINES or w in MEDICINE_KINDS]
    own = [w for w in said if not _negated(told, w) and not _of_somebody(told, w)]
    named = [w for w in own if w in MEDICINES] or own
    dosed = any(w in MEDICINES for w in named) and not told.has("somebody") and _DOSED.search(told.text)
    if named and (told.has("mine") or dosed):
        yield Fact("medicine", ", ".join(named)), 0.4 if any(w in MEDICINES for w in named) else 0.8
    elif told.has("mine") and re.search(
        r"\b(?:the|a|one) (?:one )?for (?:my )?(?:cholesterol|blood pressure|thyroid|heart|stomach acid)\b",
        told.text,
    ):
        yield Fact("medicine", "tablet"), 0.8


def _of_somebody(told: Told, word: str) -> bool:
    """Tell whether somebody else is said to take it: the person named last before it."""
    before = " ".join(told.words[: told.words.index(word)])
    others = [m.end() for m in re.finditer(r"\w+", before) if m[0] in _OTHERS]
    mine = [m.end() for m in re.finditer(r"\b(?:i|me|my|mine)\b", before)]
    if others and re.search(r"\bmy \w+$", before[: others[-1]]):
        mine = [end for end in mine if end > others[-1]]
    return bool(others) and (not mine or mine[-1] < others[-1])


def _tells_of_others(told: Told) -> bool:
    """Tell whether the words are of somebody else: "my boyfriend's allergic to nuts"."""
    pairs = pairwise(told.words)
    return told.has("somebody") or any(
        owner in ("my", "our") and who.removesuffix("'s") in TAGS.people_remarks for owner, who in pairs
    )


_OTHERS = TAGS.people_remarks | {"he", "she", "they", "patient"}


def _body(told: Told) -> Iterator[tuple[Fact, float]]:
    somebody = _tells_of_others(told)
    if told.has("illness") and told.any("mine", "negated") and not somebody:
        first = next(
            k
            for k in sorted(told.found.used)
            if told.words[k][:4]
            in ("pred", "pre", "gest", "pcos", "high", "thyr", "coel", "celi", "croh", "ibs", "kidn", "fatt")
        )
        yield Fact("health", " ".join(told.words[first : first + 2])), 1.2


def _avoids(told: Told, context: Context) -> Iterator[tuple[Fact, float]]:
    """Yield what somebody never eats: a diet by its name, or foods beside "allergic to" and the like."""
    if _tells_of_others(told):
        return
    text = " ".join(told.words)
    if _OF_PLATE.search(text):
        return
    for diet in _DIET.finditer(text):
        before, behind = text[: diet.start()].split(), text[diet.end() :].split()[:1]
        of_food = before[-1:] in _IS and any(_names_food(word, context) for word in before[:-1])
        if (
            not of_food  # "the burger was veggie"
            and "not " + diet[1] not in text
            and not any(map(str.isdigit, text))
            and not (behind and (behind[0] in _OF_FOOD or _names_food(behind[0], context)))
        ):
            yield Fact("avoids", diet[1].removesuffix(" intolerant")), 0.6
            break
    if not told.has("avoid") or (told.has("past") and not told.has("habit")):
        return
    foods = [
        w
        for k, w in enumerate(told.words)
        if k not in told.found.used and (_names_food(w, context) or _is_avoided(told, k))
    ]
    ways = (
        []
        if len(told.words) < LEAST_SAID
        else re.findall(r"\bno (alcohol|pork|beef|meat|dairy|gluten|eggs?|fish|nuts)\b", text)
    )
    named = list(dict.fromkeys([*ways, *foods]))
    if named:
        yield Fact("avoids", ", ".join(named[:6])), 0.7


def _is_avoided(told: Told, k: int) -> bool:
    """Tell whether a word that nobody knows stands right behind "allergic to" and the like."""
    word = told.words[k]
    return (
        (k - 1 in told.found.used or k + 1 in told.found.used)
        and word not in TAGS.ways
        and len(word) >= LEAST_NAME
        and word.isalpha()
        and not is_plain(word)
    )


def _names_food(word: str, context: Context) -> bool:
    if len(word) < LEAST_NAME or is_plain(word) or word in TAGS.ways:
        return False
    match = context.table.match(word)
    return (match is not None and match.sure >= 0.8) or word in (
        "alcohol",
        "pork",
        "meat",
        "shellfish",
        "nuts",
        "gluten",
        "dairy",
    )


def _routines(told: Told, context: Context) -> Iterator[tuple[Fact, float]]:
    """Yield what is done each week at the same time: "desk; mon-fri; 09:00-12:30"."""
    if (
        told.any("past", "sleep", "hush", "reminders", "week", "mgdl", "mmol")
        or not _is_repeated(told.text)
        or not (days := days_in(told.text))
    ):
        return
    if any(w in MEDICINES or w in MEDICINE_KINDS for w in told.words):
        return
    clocks = clocks_in(told.text)
    sundown = re.search(r"\btill? (?:sundown|sunset|dusk)\b", told.text)
    part = _PART.search(told.text)
    if not clocks and not sundown and part is None:
        return
    words = [w.removesuffix("'s") for w in told.words]
    what = [w for w in words if w.isalpha() and w not in TAGS.routine_too and not _DAY_WORD.match(w)][
        :MOST_ROUTINE_WORDS
    ]
    if not what:
        return
    when = "sundown" if sundown or part is None else part[0]
    if clocks:
        joined = next((k for k, clock in enumerate(clocks[:-1]) if clock.joined), None)
        evening = re.search(r"\b(?:evening|evenings|night|tonight)\b", told.text) is not None
        if (
            joined is not None
            and (span := span_of(clocks[joined], clocks[joined + 1], 10, 14 * 60)) is not None
        ):
            when = f"{write(span[0])}-{write(span[1])}"
        else:
            minute = clocks[0].minute + (720 if evening and clocks[0].minute < 720 else 0)
            when = write(minute)
    yield (
        Fact("routine", f"{' '.join(what)}; {days}; {when}"),
        0.5 + FOOD_IN_ROUTINE * any(_names_food(w, context) for w in what),
    )


def _is_repeated(text: str) -> bool:
    """Tell a habit from a plan: "every", "weekdays", "on Tuesdays", "always"."""
    return (
        re.search(
            r"\b(?:every|each|weekdays|weekends|daily|weekly|always|usually|regular(?:ly)?|most days|(?:mon"
            r"|tues|wednes|thurs|fri|satur|sun)days)\b",
            text,
        )
        is not None
    )
