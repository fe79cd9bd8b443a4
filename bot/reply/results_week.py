"""A week in words: at most some 120 of them, the surest first, and one thing to try next."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from math import expm1

from analysis.foods.effects import FoodEffect
from analysis.habits.effects import LeverEffect
from analysis.intakes import LITTLE_KCAL, Intakes, Nutrient
from analysis.phases import Change
from analysis.plan.suggest import Suggestion
from analysis.results import RankedMeal, Ranking
from analysis.trials.accepting import Course
from analysis.trials.protocol import Protocol
from analysis.trials.verdict import Verdict
from bot.model.naming import join
from bot.model.units import GlucoseUnit
from bot.reply import numbers
from bot.reply.results_days import day_span
from bot.reply.results_foods import Names, capital, ends, figure
from bot.reply.results_habits import title_of
from bot.reply.results_intakes import HARDLY_ALL
from bot.reply.results_plan import what, why

MOST_WORDS = 120
MOST_FOODS, MOST_LEVERS = 2, 2
NEED_NOTED = 2
"""Days noted whole, for what a day held to be told."""
EATEN: tuple[Nutrient, ...] = ("energy", "carbohydrate", "fibre", "protein")
THEN: tuple[Nutrient, ...] = ("carbohydrate", "fibre")


@dataclass(frozen=True, slots=True)
class Found:
    """Foods and habits that stand out by a week's end; new: those named did not before it."""

    foods: tuple[FoodEffect, ...] = ()
    new_foods: bool = False
    levers: tuple[LeverEffect, ...] = ()
    new_levers: bool = False
    names: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Week:
    """All that a week's review may say.

    meals, scored: occasions, and those with a score; covered: share of the time read, from `covered_from`
    on, where readings or a sensor began within the week; None without readings
    change: of the swings within the day against the first week, None where that cannot be told
    eaten, eaten_first: of the week, and of the first one, None where this is the first
    """

    first: date
    last: date
    meals: int
    scored: int
    covered: float | None
    covered_from: date | None
    ranking: Ranking
    found: Found
    trial: str
    change: Change | None
    eaten: Intakes
    eaten_first: Intakes | None


def review(week: Week, chosen: Suggestion | None, names: Names, unit: GlucoseUnit) -> str:
    """Say what a week tells; what matters least is left out where it would be too long.

    chosen: the serving that would tell most next; names: of its foods
    """
    said = [  # with how much each would be missed
        (9, _say_record(week)),
        (8, _say_best(week.ranking)),
        (7, _say_foods(week.found, unit)),
        (6, _say_levers(week.found)),
        (5, week.trial),
        (3, _say_change(week.change)),
        (4, _say_eaten(week)),
        (9, "" if chosen is None else f"To try next: {_lower(what(chosen, names))}."),
        (2, "" if chosen is None else f"{capital(why(chosen, names, unit))}."),
    ]
    more = sum(len(HARDLY_ALL.split()) for _, line in said if HARDLY_ALL in line)
    while sum(len(line.split()) for _, line in said) > MOST_WORDS + more:
        said.remove(min(said, key=lambda one: one[0] if one[1] else 10))
    return "\n".join(line for _, line in said if line)


def _say_record(week: Week) -> str:
    """Say how complete the record is, as it is."""
    meals = numbers.count(week.meals, "meal")
    days = day_span(week.first, week.last)
    if week.covered is None:
        return f"Your week, {days}: {meals} noted. No readings reached me, so there are no curves."
    of = "of it" if week.covered_from is None else f"from {week.covered_from:%A} on"
    return (
        f"Your week, {days}: {meals} noted, {week.scored} with a score; "
        f"readings cover {numbers.percent(week.covered)} {of}."
    )


def _say_best(ranking: Ranking) -> str:
    """Say the most and the least even meal where they can be told apart."""
    meals = ranking.meals
    if ranking.told_apart:
        return f"Most even: {_stand(meals[0])}. Least even: {_stand(meals[-1])}."
    if len(meals) < 2:
        return "Best and worst take two different meals with a whole curve: too early to say." * bool(meals)
    if len(meals) == 2:
        return "The two meals with a curve can't be told apart yet: one and the same meal varies too much."
    return f"Your {len(meals)} meals can't be told apart yet: one and the same meal varies too much."


def _stand(meal: RankedMeal) -> str:
    return f"{meal.title}, {meal.score:.0f} (likely {meal.low:.0f} to {meal.high:.0f})"


def _say_foods(found: Found, unit: GlucoseUnit) -> str:
    """Say which foods add something beyond noise."""
    parts = []
    for one in found.foods[:MOST_FOODS]:
        low, high = (figure(end, unit) for end in ends(one))
        named = join([found.names[food] for food in (one.food, *one.always_with)])
        parts.append(f"{named} (by {low} to {high} {unit})")
    if not parts:
        return ""
    if found.new_foods:
        return f"New, beyond noise: the two hours after a meal run higher with {join(parts)}."
    return f"As before, the two hours after a meal run higher with {join(parts)}."


def _say_levers(found: Found) -> str:
    """Say which habits do something beyond chance."""
    parts = []
    for one in found.levers[:MOST_LEVERS]:
        low, high = sorted((abs(one.effect.low), abs(one.effect.high)))
        less = "less" if one.effect.estimate < 0 else "more"
        parts.append(f"{title_of(one.name).lower()} goes with {low:.0f} to {high:.0f} % {less} rise")
    if not parts:
        return ""
    return f"New, beyond chance: {join(parts)}." if found.new_levers else f"{capital(join(parts))}."


def say_test(protocol: Protocol, course: Course, verdict: Verdict) -> str:
    """Say in one sentence how far a test is."""
    done = f"{len(course.pairs)} of {protocol.pairs} pairs"
    told = "" if verdict.look is None else f", {verdict.word} so far"
    return f"Your test, {protocol.question}: {done}{told}."


def _say_change(change: Change | None) -> str:
    """Say whether the week swings less or more than the first one."""
    if change is None:
        return ""
    low, high = (100 * expm1(end) for end in (change.low, change.high))
    if not change.differs:
        return f"Swings within the day against your first week: no change I can tell ({_range(low, high)})."
    way = "smaller" if change.estimate < 0 else "larger"
    said = f"Swings within the day are {way} than in your first week ({_range(low, high)})"
    return f"{said}." if change.parted else f"{said}; it was another sensor, which may be all of it."


def _range(low: float, high: float) -> str:
    return f"likely {_percent(low)} to {_percent(high)}"


def _percent(value: float) -> str:
    return f"{abs(value):.0f} % {'less' if value < 0 else 'more'}"


def _say_eaten(week: Week) -> str:
    """Say what a day held, then and now, so that no line is looked at alone."""
    held = _amounts(week.eaten, EATEN)
    if not held:
        return "Too few days are noted whole to say what a day held."
    said = f"A day held about {join(held)}"
    then = [] if week.eaten_first is None else _amounts(week.eaten_first, THEN)
    said += f"; in your first week {join(then)}." if then else "."
    energy = week.eaten.usual.get("energy")
    return f"{said} {HARDLY_ALL}" if energy is not None and energy.amount < LITTLE_KCAL else said


def _amounts(eaten: Intakes, wanted: Sequence[Nutrient]) -> list[str]:
    if eaten.whole < NEED_NOTED:
        return []
    known = [(nutrient, eaten.usual.get(nutrient)) for nutrient in wanted]
    return [
        f"{one.amount:,.0f} kcal" if nutrient == "energy" else f"{one.amount:.0f} g of {nutrient}"
        for nutrient, one in known
        if one is not None
    ]


def _lower(said: str) -> str:
    return said[:1].lower() + said[1:]
