"""What went with a meal that may have bent its curve: movement, order, extras, the hour, the night, feelings.

How much of each: 1 is a quarter of an hour of movement, an hour of sleep less than usual, or yes.
"""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.frames.nights import sleep_between
from bot.frames.routines import Routines, as_move, is_noted
from bot.frames.tags import feelings_of, tags_of
from bot.model.entries import Activity, Meal
from bot.store import Person, Transaction

AFTER_MIN = 60.0
"""Movement after a meal begins up to so long after the first bite."""
BEFORE_MIN, HOURS_BEFORE_MIN = 180.0, 360.0
"""Movement before a meal ends at most so long before it; up to the latter it is what a control is made of."""
CURVE_MIN, UNIT_MIN, MOST_UNITS = 120.0, 15.0, 4.0
"""An unknown length counts as one unit."""
SITTING = "sitting"
CHORES = ("housework", "gardening", "physical work")
LATE_HOUR, EARLY_HOUR = 21, 4
BEFORE_BED = timedelta(hours=2)
"""A meal is late by the clock, or so long before a night that was noted (common practice, no source)."""
CYCLES = timedelta(days=120)
"""So far back periods are looked for."""
NIGHT = timedelta(hours=3)
DAY = timedelta(hours=18)
"""A night counts for what is eaten up to so long after it."""
NEED_NIGHTS, LEAST_SHORT_H, MOST_SHORT_H = 5, 0.5, 3.0
FEW_CARBS_G, MUCH_CARBS_G = 10.0, 10.0
TAKEN = ("vinegar", "cinnamon", "lemon juice")
_MINUTE, _HOUR = timedelta(minutes=1), timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Around:
    """What a person noted beside meals, in the order of time; nights as (from, to, hours less than usual).

    assumed: movement and sitting by routine, where nothing was noted for then
    """

    person: Person
    moves: list[tuple[datetime, Activity]]
    assumed: list[tuple[datetime, Activity]]
    routines: Routines
    feelings: list[tuple[datetime, str]]
    nights: list[tuple[datetime, datetime, float]]

    @staticmethod
    def of(tx: Transaction, person: Person, since: datetime, until: datetime) -> "Around":
        """Read what may go with meals of [since, until]."""
        reach = timedelta(days=1)
        logged = tx.log.between(person.id, ("activity",), since - reach, until + reach)
        moves = [(one.at, one.entry) for one in logged if isinstance(one.entry, Activity)]
        slept = sleep_between(tx, person.id, since - reach, until + reach)
        nights = sorted((start, end) for start, end in slept if end - start >= NIGHT)
        mean = sum(((end - start) / _HOUR for start, end in nights), 0.0) / max(len(nights), 1)
        known = len(nights) >= NEED_NIGHTS
        short = [(start, end, mean - (end - start) / _HOUR if known else 0.0) for start, end in nights]
        felt = feelings_of(tx.log.between(person.id, ("feeling",), since - CYCLES, until + reach))
        routines = Routines.of(tx, person, since, until)
        assumed = [
            (at, as_move(routine, at))
            for at, routine in routines.assumed_by_clock(since - reach, until + reach)
            if not is_noted(at, routine, moves)
        ]
        return Around(person, moves, sorted(assumed, key=lambda move: move[0]), routines, felt, short)

    def beside(self, at: datetime, meal: Meal) -> list[tuple[datetime, Activity]]:
        """Return what is assumed before or after this very meal."""
        return [
            (start, as_move(routine, start))
            for start, routine in self.routines.assumed_beside(at, meal.slot)
            if not is_noted(start, routine, self.moves)
        ]


def find_levers(around: Around, at: datetime, meal: Meal) -> dict[str, float]:
    """Return how much of each lever went with a meal whose first bite was at `at`; others are not in it."""
    found = _moved([*_near(around.moves, at), *_near(around.assumed, at), *around.beside(at, meal)], at)
    if meal.eaten_in_order and _vegetables_first(meal):
        found["vegetables first"] = 1.0
    held = [extra.name for extra in meal.extras] + [item.name for item in meal.items]
    found.update({name: 1.0 for name in TAKEN if any(name in one for one in held)})
    found.update({tag: 1.0 for tag in tags_of(around.feelings, at, around.person.zone, meal)})
    if _late(around, at):
        found["late meal"] = 1.0
    nights = {"short sleep": _short_sleep(around, at), "short night to come": _short_to_come(around, at)}
    found.update({name: min(short, MOST_SHORT_H) for name, short in nights.items() if short >= LEAST_SHORT_H})
    return found


def assumed_levers(around: Around, at: datetime, meal: Meal) -> frozenset[str]:
    """Return the levers that went with a meal only because a routine says so."""
    assumed = [*_near(around.assumed, at), *around.beside(at, meal)]
    if not assumed:
        return frozenset()
    return frozenset(_moved(assumed, at)) - frozenset(_moved(_near(around.moves, at), at))


def _near(moves: list[tuple[datetime, Activity]], at: datetime) -> list[tuple[datetime, Activity]]:
    """Return what began within a day before the first bite, or up to an hour after it."""
    low = bisect_left(moves, at - timedelta(days=1), key=lambda move: move[0])
    return moves[low : bisect_right(moves, at + timedelta(minutes=AFTER_MIN), key=lambda move: move[0])]


def _moved(moves: list[tuple[datetime, Activity]], at: datetime) -> dict[str, float]:
    """Return movement after the first bite, before it, and hours before it; of sitting what is after."""
    found: dict[str, float] = {}
    for start_at, move in moves:
        start = (start_at - at) / _MINUTE
        minutes = UNIT_MIN if move.minutes is None else move.minutes
        if move.what == SITTING:
            when, counted = "after", min(start + minutes, CURVE_MIN) - max(start, 0.0)
            if counted <= 0:
                continue
        elif start >= 0:
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
    if what in ("walk", SITTING):
        return what
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


def _short_to_come(around: Around, at: datetime) -> float:
    """Return how many hours the night after a meal was shorter; what comes later cannot act on it."""
    k = bisect_right(around.nights, at, key=lambda night: night[0])
    if k == len(around.nights) or around.nights[k][0] - at > DAY:
        return 0.0
    return around.nights[k][2]
