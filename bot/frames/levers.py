"""What went with a meal that may have bent its curve: movement, order, extras, the hour, the night before.

How much of each: 1 is a quarter of an hour of movement, an hour of sleep less than usual, or yes.
"""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.model.entries import Activity, Meal, Sleep
from bot.store import Person, Transaction

AFTER_MIN = 60.0
"""Movement after a meal begins up to so long after the first bite."""
BEFORE_MIN, HOURS_BEFORE_MIN = 180.0, 360.0
"""Movement before a meal ends at most so long before it; up to the latter it is what a control is made of."""
CURVE_MIN, UNIT_MIN, MOST_UNITS = 120.0, 15.0, 4.0
"""An unknown length counts as one unit."""
CHORES = ("housework", "gardening", "physical work")
LATE_HOUR, EARLY_HOUR = 21, 4
BEFORE_BED = timedelta(hours=2)
"""A meal is late by the clock, or so long before a night that was noted (common practice, no source)."""
NIGHT = timedelta(hours=3)
DAY = timedelta(hours=18)
"""A night counts for what is eaten up to so long after it."""
NEED_NIGHTS, LEAST_SHORT_H, MOST_SHORT_H = 5, 0.5, 3.0
FEW_CARBS_G, MUCH_CARBS_G = 10.0, 10.0
TAKEN = ("vinegar", "cinnamon", "lemon juice")
_MINUTE, _HOUR = timedelta(minutes=1), timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Around:
    """What a person noted beside meals, in the order of time; nights as (from, to, hours less than usual)."""

    person: Person
    moves: list[tuple[datetime, Activity]]
    nights: list[tuple[datetime, datetime, float]]

    @staticmethod
    def of(tx: Transaction, person: Person, since: datetime, until: datetime) -> "Around":
        """Read what may go with meals of [since, until]."""
        reach = timedelta(days=1)
        logged = tx.log.between(person.id, ("activity", "sleep"), since - reach, until + reach)
        moves = [(one.at, one.entry) for one in logged if isinstance(one.entry, Activity)]
        slept = [
            (one.entry.from_at, one.entry.to_at)
            for one in logged
            if isinstance(one.entry, Sleep) and one.entry.from_at and one.entry.to_at
        ]
        nights = sorted((start, end) for start, end in slept if end - start >= NIGHT)
        mean = sum(((end - start) / _HOUR for start, end in nights), 0.0) / max(len(nights), 1)
        known = len(nights) >= NEED_NIGHTS
        short = [(start, end, mean - (end - start) / _HOUR if known else 0.0) for start, end in nights]
        return Around(person, moves, short)


def find_levers(around: Around, at: datetime, meal: Meal) -> dict[str, float]:
    """Return how much of each lever went with a meal whose first bite was at `at`; others are not in it."""
    found = _moved(around, at)
    if meal.eaten_in_order and _vegetables_first(meal):
        found["vegetables first"] = 1.0
    held = [extra.name for extra in meal.extras] + [item.name for item in meal.items]
    found.update({name: 1.0 for name in TAKEN if any(name in one for one in held)})
    if _late(around, at):
        found["late meal"] = 1.0
    short = _short_sleep(around, at)
    if short >= LEAST_SHORT_H:
        found["short sleep"] = min(short, MOST_SHORT_H)
    return found


def _moved(around: Around, at: datetime) -> dict[str, float]:
    """Return the movement after the first bite, before it, and hours before it."""
    found: dict[str, float] = {}
    low = bisect_left(around.moves, at - timedelta(days=1), key=lambda move: move[0])
    high = bisect_right(around.moves, at + timedelta(minutes=AFTER_MIN), key=lambda move: move[0])
    for start_at, move in around.moves[low:high]:
        start = (start_at - at) / _MINUTE
        minutes = UNIT_MIN if move.minutes is None else move.minutes
        if start >= 0:
            when, counted = "after", min(minutes, CURVE_MIN - start)
        elif start + minutes > -BEFORE_MIN:
            when, counted = "before", min(minutes, -start)
        elif start + minutes > -HOURS_BEFORE_MIN:
            when, counted = "hours before", minutes
        else:
            continue
        name = f"{_kind(move.what)} {when}"
        found[name] = min(found.get(name, 0.0) + counted / UNIT_MIN, MOST_UNITS)
    return found


def _kind(what: str) -> str:
    if what == "walk":
        return "walk"
    return "chores" if what in CHORES else "exercise"


def _vegetables_first(meal: Meal) -> bool:
    """Tell whether what came first holds hardly any carbohydrate, and what came later much."""
    carbs = [0.0 if i.nutrients is None else i.nutrients.carbs_g or 0.0 for i in meal.items]
    return len(carbs) > 1 and carbs[0] <= FEW_CARBS_G and max(carbs[1:]) >= MUCH_CARBS_G


def _late(around: Around, at: datetime) -> bool:
    """Tell whether a meal was soon before the night, by the notes of nights or else by the clock."""
    k = bisect_left(around.nights, at, key=lambda night: night[0])
    if k < len(around.nights) and around.nights[k][0] - at < timedelta(days=1):
        return around.nights[k][0] - at <= BEFORE_BED
    hour = at.astimezone(around.person.zone).hour
    return hour >= LATE_HOUR or hour < EARLY_HOUR


def _short_sleep(around: Around, at: datetime) -> float:
    """Return how many hours the last night was shorter than the person's own mean; 0 where not known."""
    k = bisect_right(around.nights, at, key=lambda night: night[0]) - 1
    if k < 0 or not around.nights[k][1] <= at <= around.nights[k][1] + DAY:
        return 0.0
    return around.nights[k][2]
