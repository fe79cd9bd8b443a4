"""Occasions as the food model takes them: what was eaten, what went with it, and the response."""

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from math import nan

from analysis.flags import UNFIT
from analysis.foods.expected import Expected, expect_areas
from analysis.foods.rows import Eaten, Row
from analysis.kept import once
from analysis.results import Curve, Serving
from bot.frames.levers import Around, assumed_levers, find_levers
from bot.frames.servings import occasions_between
from bot.model.entries import Item, Meal, Nutrients, Sensor
from bot.store import Logged, Person, Transaction

EVER_CARBS_G = 5.0
"""A note with less carbohydrate leaves nothing for the next meal's curve."""
BEFORE = timedelta(hours=12)
APART_AREA = 4.6
"""Error of the area for a point of error of the score where a meal close by was taken off (mmol/L·min):
33 against 7.1 and 22 against 2.0 in `analysis.overlap`; the former, where most of the error is."""
CURVE_MIN = 120.0
DAY_BEGINS = timedelta(hours=4)
"""What is eaten in the small hours belongs to the day before."""
UNKNOWN_CARBS_G = 25.0
"""What a food of unknown composition is taken to hold where something is to be expected of it (judgement)."""
EVER = datetime(1970, 1, 1, tzinfo=UTC)
_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Occasions:
    """What the food model is fitted to.

    rows: occasions with a curve of their own; names: the usual name of each food; said: all its names
    left_out: why other servings do not count; meals: what was noted for each row, by its entry_id
    servings: the one of each row
    """

    rows: tuple[Row, ...]
    names: dict[str, str]
    said: dict[str, frozenset[str]]
    left_out: tuple[tuple[Serving, str], ...]
    meals: Mapping[int, Meal] = field(default_factory=dict)
    servings: tuple[Serving, ...] = ()


@once
def rows_between(tx: Transaction, person: Person, since: datetime, until: datetime) -> Occasions:
    """Return the occasions of [since, until) whose curve is their own and all of whose foods are known."""
    names: dict[str, Counter[str]] = {}
    rows, left_out, servings, meals = [], [], [], {}
    for serving, meal, row in _every_row(tx, person, since, until):
        why_not = why_left_out(serving, meal)
        if why_not:
            left_out.append((serving, why_not))
            continue
        for item in (item for item in meal.items if item.grams > 0):
            names.setdefault(food_of(item), Counter())[item.name] += 1
        rows.append(row)
        meals[serving.entry_id] = meal
        servings.append(serving)
    usual = {food: counted.most_common(1)[0][0] for food, counted in names.items()}
    said = {food: frozenset(counted) for food, counted in names.items()}
    return Occasions(tuple(rows), usual, said, tuple(left_out), meals, tuple(servings))


def expected_between(
    tx: Transaction, person: Person, since: datetime, until: datetime
) -> list[tuple[Serving, Expected]]:
    """Return the occasions of [since, until) with what all earlier ones led to expect of each."""
    found = _every_row(tx, person, EVER, until)
    expected = expect_areas([row for _, _, row in found])
    return [(one[0], e) for one, e in zip(found, expected, strict=True) if one[0].at >= since]


def _every_row(
    tx: Transaction, person: Person, since: datetime, until: datetime
) -> list[tuple[Serving, Meal, Row]]:
    """Return each occasion of [since, until) with all its foods as one meal, and as a row."""
    found = occasions_between(tx, person, since, until)
    if not found:
        return []
    start = min(found[0][0].at, since) if since.year > EVER.year else found[0][0].at
    around = Around.of(tx, person, start, found[-1][0].at)
    sensors = [
        one.at
        for one in tx.log.between(person.id, ("sensor",), None, None)
        if isinstance(one.entry, Sensor) and one.entry.what == "started"
    ]
    notes = _noted_carbs(tx, person, start, found[-1][0].at)
    stamps = [at for at, _, _ in notes]
    rows = []
    for serving, logged in found:
        meal, curve = logged.entry, serving.curve
        assert isinstance(meal, Meal)
        carbs, minutes = _find_before(serving, notes[: bisect_left(stamps, serving.at)])
        row = Row(
            area=nan if curve is None else curve.net_area_2h,
            eaten=tuple(_eaten(item) for item in meal.items if item.grams > 0),
            slot=serving.slot,
            sensor=bisect_right(sensors, serving.at),
            levers=find_levers(around, serving.at, meal),
            before_carbs=carbs,
            before_min=minutes,
            area_sd=0.0 if curve is None else _area_sd(curve),
            entry_id=serving.entry_id,
            day=(serving.at - DAY_BEGINS).astimezone(person.zone).date(),
            area_4h=None if curve is None else curve.area_4h,
            level_mmol=None if curve is None else curve.baseline_mmol,
            assumed=assumed_levers(around, serving.at, meal),
        )
        rows.append((serving, meal, row))
    return rows


def why_left_out(serving: Serving, meal: Meal) -> str:
    """Return why a serving tells nothing of its foods; "" where it does."""
    if serving.curve is None:
        return serving.why_not
    for flag in serving.curve.flags:
        for part, why in UNFIT.items():
            if part in flag:
                return why
    if meal.items and not any(item.grams > 0 for item in meal.items):
        return "no amount of its foods is noted"
    unknown = [item.name for item in meal.items if item.nutrients is None or item.nutrients.carbs_g is None]
    return f"what is in {unknown[0]} is not known" if unknown else ""


def food_of(item: Item) -> str:
    """Return what makes two items the same food: the description in the table, else the plain name."""
    return item.food or item.name


def _eaten(item: Item) -> Eaten:
    """Return a food; one of which nothing is known counts as holding what foods do on average."""
    held = item.nutrients or Nutrients()
    return Eaten(
        food=food_of(item),
        grams=item.grams,
        carbs_g=UNKNOWN_CARBS_G if held.carbs_g is None else held.carbs_g,
        grams_low=item.grams_low,
        grams_high=item.grams_high,
        fat_g=held.fat_g or 0.0,
        fibre_g=held.fibre_g or 0.0,
        protein_g=held.protein_g or 0.0,
    )


def _area_sd(curve: Curve) -> float:
    """Return how far off the area may be: by its baseline, and by what was taken off it (mmol/L·min)."""
    level = CURVE_MIN * (curve.baseline_se_mmol or 0.0)
    return float((level**2 + (APART_AREA * curve.apart_sd_points) ** 2) ** 0.5)


def _noted_carbs(
    tx: Transaction, person: Person, since: datetime, until: datetime
) -> list[tuple[datetime, int, float]]:
    """Return when something was eaten that may still act on a later meal, its note, and its carbohydrate."""
    logged: Sequence[Logged] = tx.log.between(person.id, ("meal",), since - BEFORE, until + _MINUTE)
    found = []
    for one in logged:
        carbs = one.entry.nutrients.carbs_g if isinstance(one.entry, Meal) else None
        if carbs is not None and carbs >= EVER_CARBS_G:
            found.append((one.at, one.id, carbs))
    return found


def _find_before(serving: Serving, earlier: list[tuple[datetime, int, float]]) -> tuple[float, float]:
    """Return the carbohydrate of the meal before (g) and how long ago it was (min); 0 without one."""
    for at, note, carbs in reversed(earlier):
        if serving.at - at > BEFORE:
            break
        if note not in serving.entry_ids:
            return carbs, (serving.at - at) / _MINUTE
    return 0.0, 0.0
