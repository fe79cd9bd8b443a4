"""Whole days and what was on them: level, sensor, foods, movement, sleep, shifts; what a day held."""

from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

import numpy as np

from analysis.day import DayLevel, measure_days
from analysis.good_days import GoodDays, part_good_days
from analysis.intakes import NUTRIENTS, Intake, Nutrient
from analysis.moving import Moved, describe_moving
from analysis.phases import SCALES, Change, Measure, compare_phases
from analysis.results import Floats
from bot.frames.days import SATURDAY, local_readings, shift_days
from bot.frames.levers import UNIT_MIN, Around, find_levers
from bot.frames.occasions import is_food
from bot.frames.readings import find_interval
from bot.frames.rows import food_of
from bot.frames.sensors import sensors_frame
from bot.model.entries import Item, Meal
from bot.store import Logged, Person, Transaction

HELD: dict[Nutrient, str] = {
    "energy": "energy_kcal",
    "carbohydrate": "carbs_g",
    "fibre": "fibre_g",
    "protein": "protein_g",
    "saturated fat": "saturated_fat_g",
    "fat": "fat_g",
    "sugars": "sugars_g",
}
EATING_KCAL, EATING_APART = 50.0, timedelta(minutes=45)
"""What is a time of eating of its own, for telling whether a day was noted whole (common practice)."""
NOON = time(12)
FOOD, SHIFT = "food: ", "shift: "
"""How the names of foods and shifts begin among the things of days."""


@dataclass(frozen=True, slots=True)
class WholeDays:
    """Days covered for the most part, in order: level, and the place of the sensor worn at noon."""

    days: tuple[date, ...]
    levels: tuple[DayLevel, ...]
    sensors: tuple[int, ...]

    def values(self, measure: Measure) -> Floats:
        """Return the values of a measure, as `analysis.phases` takes them."""
        of = [np.log(max(one.sd, 0.05)) if measure == "spread" else one.mean for one in self.levels]
        return np.array(of, dtype=np.float64)


def whole_days_between(tx: Transaction, person: Person, since: datetime, until: datetime) -> WholeDays:
    """Return the whole days of [since, until), by the person's clock."""
    readings = local_readings(tx, person, since, until)
    levels = measure_days(readings, find_interval(readings["at"]))
    starts = [
        at.to_pydatetime().astimezone(person.zone).replace(tzinfo=None)
        for at in sensors_frame(tx, person)["started_at"]
    ]
    days = sorted(levels)
    worn = tuple(bisect_right(starts, datetime.combine(day, NOON)) for day in days)
    return WholeDays(tuple(days), tuple(levels[day] for day in days), worn)


def compare_spans(whole: WholeDays, first: Sequence[date], last: Sequence[date]) -> tuple[Change, ...]:
    """Return how the days of a later span differ from those of an earlier one, a change for each measure.

    first, last: days that count; those that are not whole are passed over
    Raises InsufficientData with too few whole days in a span.
    """
    kept = [k for k, day in enumerate(whole.days) if day in {*first, *last}]
    day = np.array([whole.days[k].toordinal() for k in kept], dtype=np.int64)
    later = np.array([whole.days[k] in {*last} for k in kept], dtype=bool)
    sensor = [whole.sensors[k] for k in kept]
    return tuple(compare_phases(day, whole.values(one)[kept], sensor, later, one) for one in SCALES)


def good_days_between(tx: Transaction, person: Person, since: datetime, until: datetime) -> GoodDays:
    """Return what separates steady from unsteady, and low from high, whole days of [since, until)."""
    whole = whole_days_between(tx, person, since, until)
    day = np.array([one.toordinal() for one in whole.days], dtype=np.int64)
    values = {measure: whole.values(measure) for measure in SCALES}
    things = _things(tx, person, since, until, whole.days)
    return part_good_days(day, whole.sensors, values, things)  # type: ignore[arg-type]


def _things(
    tx: Transaction, person: Person, since: datetime, until: datetime, days: Sequence[date]
) -> dict[str, Floats]:
    """Return what was on each day: 0 or 1, or an amount, NaN where it is not known."""
    around = Around.of(tx, person, since, until)
    of_day: dict[str, Counter[date]] = defaultdict(Counter)
    for meal in _meals(tx, person, since, until):
        assert isinstance(meal.entry, Meal)
        on = meal.at.astimezone(person.zone).date()
        for item in meal.entry.items:
            of_day[f"{FOOD}{food_of(item)}"][on] = 1
        levers = find_levers(around, meal.at, meal.entry)
        if any(name.endswith(" after") for name in levers):
            of_day["movement after a meal"][on] = 1
        if "late meal" in levers:
            of_day["a late meal"][on] = 1
    for day, name in shift_days(tx, person, since, until).items():
        of_day[f"{SHIFT}{name}"][day] = 1
    found = {name: np.array([float(counted[day]) for day in days]) for name, counted in of_day.items()}
    found["weekend"] = np.array([float(day.weekday() >= SATURDAY) for day in days])
    slept: dict[date, float] = defaultdict(float)
    for start, end, _ in around.nights:
        slept[end.astimezone(person.zone).date()] += (end - start) / timedelta(hours=1)
    found["longer sleep"] = np.array([slept.get(day, np.nan) for day in days])
    held = {
        one.day: one.amounts["carbohydrate"] for one in intakes_between(tx, person, since, until) if one.whole
    }
    found["more carbohydrate"] = np.array([held.get(day, np.nan) for day in days])
    return found


def usual_names(tx: Transaction, person: Person, since: datetime, until: datetime) -> dict[str, str]:
    """Return the usual name of each food of a span."""
    names: dict[str, Counter[str]] = defaultdict(Counter)
    for meal in _meals(tx, person, since, until):
        assert isinstance(meal.entry, Meal)
        for item in meal.entry.items:
            names[food_of(item)][item.name] += 1
    return {food: counted.most_common(1)[0][0] for food, counted in names.items()}


def intakes_between(tx: Transaction, person: Person, since: datetime, until: datetime) -> list[Intake]:
    """Return what was noted of each local day of [since, until) that has a note of food."""
    of_day: dict[date, list[Logged]] = defaultdict(list)
    for meal in _meals(tx, person, since, until):
        of_day[meal.at.astimezone(person.zone).date()].append(meal)
    return [_intake(day, meals) for day, meals in sorted(of_day.items())]


def _intake(day: date, meals: Sequence[Logged]) -> Intake:
    items = [item for meal in meals if isinstance(meal.entry, Meal) for item in meal.entry.items]
    times: list[datetime] = []
    for meal in meals:
        assert isinstance(meal.entry, Meal)
        much = sum(_held(item, "energy") or 0.0 for item in meal.entry.items) >= EATING_KCAL
        if much and (not times or meal.at - times[-1] >= EATING_APART):
            times.append(meal.at)
    energy = {id(item): _held(item, "energy") or 0.0 for item in items}
    total = sum(energy.values())
    known, amounts = {}, {}
    for nutrient in NUTRIENTS:
        stated = [item for item in items if _held(item, nutrient) is not None]
        amounts[nutrient] = sum(_held(item, nutrient) or 0.0 for item in stated)
        known[nutrient] = sum(energy[id(item)] for item in stated) / total if total > 0 else 0.0
    return Intake(
        day=day,
        notes=len(times),
        span_h=(times[-1] - times[0]) / timedelta(hours=1) if times else 0.0,
        unknown=sum(item.nutrients is None for item in items),
        amounts=amounts,
        known=known,
    )


def _held(item: Item, nutrient: Nutrient) -> float | None:
    """Return what an item holds; energy that nobody stated is reckoned from the rest."""
    of = item.nutrients
    if of is None:
        return None
    held: float | None = getattr(of, HELD[nutrient])
    if held is None and nutrient == "energy" and of.carbs_g is not None:
        parts = ((of.carbs_g, 4), (of.protein_g, 4), (of.fat_g, 9), (of.fibre_g, 2))
        return sum(kcal * (grams or 0.0) for grams, kcal in parts)
    return held


def moved_between(tx: Transaction, person: Person, since: datetime, until: datetime) -> Moved:
    """Return how movement followed the meals of [since, until), in the two hours after their first bites."""
    around = Around.of(tx, person, since, until)
    days, minutes = [], []
    for meal in _meals(tx, person, since, until):
        if not is_food(meal):
            continue
        assert isinstance(meal.entry, Meal)
        levers = find_levers(around, meal.at, meal.entry)
        days.append(meal.at.astimezone(person.zone).date().toordinal())
        minutes.append(UNIT_MIN * sum(much for name, much in levers.items() if name.endswith(" after")))
    return describe_moving(days, minutes)


def _meals(tx: Transaction, person: Person, since: datetime, until: datetime) -> list[Logged]:
    logged = tx.log.between(person.id, ("meal",), since, until)
    return [one for one in logged if isinstance(one.entry, Meal) and one.entry.items]
