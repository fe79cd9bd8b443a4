"""What a person noted of a day that may bend a meal's curve: stress, illness, alcohol, a period."""

import re
from collections.abc import Sequence
from datetime import date, datetime, timedelta, tzinfo

from bot.model.entries import Feeling, Meal
from bot.store import Logged

TAGS = frozenset(
    {
        "tired", "sleepy", "headache", "migraine", "stressed", "anxious", "ill", "jet lag", "vaccine",
        "allergy", "fever", "flu", "bad night", "hungover", "alcohol", "cramps", "period", "low", "restless",
    }
)  # fmt: skip
"""Feelings that may bend a meal's curve; what a curve makes one feel (full, shaky) is none of them."""
PERIOD = "period"
PERIOD_SPAN = timedelta(days=5)
"""So long a period counts from when it was noted (common practice, no source)."""
NEW_CYCLE, NEED_PERIODS = timedelta(days=14), 3
"""Periods noted so far apart are two; with this many, two whole cycles lie between them."""
DAY_BEGINS = timedelta(hours=4)
ALCOHOL = "alcohol"
_ALCOHOLIC = re.compile(
    r"^(?:beer|wine|hard cider|gin|rum|vodka|whisk(?:e)?y|brandy|tequila|liqueur|cocktail|martini|margarita"
    r"|alcoholic)\b|\bliqueur\b|\bcocktail\b",
    re.IGNORECASE,
)
_WITHOUT = re.compile(r"non.?alcoholic|alcohol.free|cooking", re.IGNORECASE)


def feelings_of(logged: Sequence[Logged]) -> list[tuple[datetime, str]]:
    """Return the feelings that may be tags, with when; a period only once two whole cycles are logged."""
    found = [
        (one.at, one.entry.what)
        for one in logged
        if isinstance(one.entry, Feeling) and one.entry.what in TAGS
    ]
    starts: list[datetime] = []
    for at, what in found:
        if what == PERIOD and (not starts or at - starts[-1] >= NEW_CYCLE):
            starts.append(at)
    return found if len(starts) >= NEED_PERIODS else [one for one in found if one[1] != PERIOD]


def tags_of(feelings: Sequence[tuple[datetime, str]], at: datetime, zone: tzinfo, meal: Meal) -> set[str]:
    """Return the tags of a meal: what was noted before it that day, a period of the days before, alcohol."""

    def day_of(when: datetime) -> date:
        return (when - DAY_BEGINS).astimezone(zone).date()

    found = {
        what
        for when, what in feelings
        if when <= at and (at - when <= PERIOD_SPAN if what == PERIOD else day_of(when) == day_of(at))
    }
    if any(has_alcohol(item.food or item.name) for item in meal.items):
        found.add(ALCOHOL)
    return found


def has_alcohol(food: str) -> bool:
    """Tell whether a food's name is that of an alcoholic drink.

    >>> has_alcohol("Wine, red"), has_alcohol("Beer, nonalcoholic"), has_alcohol("Vinegar, cider")
    (True, False, False)
    """
    return _ALCOHOLIC.search(food) is not None and _WITHOUT.search(food) is None
