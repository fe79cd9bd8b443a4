"""How much more is known after a last week that follows the plan than after one as usual.

    python -m tests.bench.conclusions_plan [--people 40]

Simulated people live three weeks as usual, and then the last week twice: as usual, and with their first meals
of each day as the plan of that morning suggests. Error: root mean square over the foods of the three weeks,
of what the true usual portion adds.

40 people each: mean error after three weeks, a usual and a planned last week; planned over usual, and the
standard error of that; carbohydrate of the planned week over that of the usual one (what is suggested alone
counts without the rest of its plate, which may follow two hours later):

    20 dishes, clean, CV 22 %            7.24 6.57 5.52   .84 .03   .60
    20 dishes, clean, CV 40 %            9.18 8.36 7.32   .88 .03   .62
    20 dishes, all faults, CV 30 %       8.68 8.49 8.15   .96 .03   .58
    20 dishes, saturating                6.18 5.70 5.12   .90 .04   .58
    9 plates, power, lognormal, CV 30 %  14.8 14.5 11.2   .77 .03   .52

With all faults at once the aim of .9 is missed: unlogged snacks and wrong portions are not made up for by
choosing what to eat.
"""

import argparse
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from analysis.foods.effects import judge_fit
from analysis.foods.model import fit_foods
from analysis.foods.rows import Row
from analysis.plan.candidates import Limits
from analysis.plan.phases import Run
from analysis.plan.suggest import Suggestion, make_plan
from analysis.results import Floats
from tests.simulated.cooks import draw_cook
from tests.simulated.dishes import DISHES, FOODS, MEALS, PORTION_SD, World, draw_dish, eat, stock

SEED = 2026
DAYS, WEEK_FROM = 28, 21
A_DAY = 3
"""So many meals of a day follow the plan."""
Record = list[tuple[Row, dict[int, float]]]
"""Each occasion with the true effect of each of its foods."""
Eat = Callable[[np.random.Generator, dict[int, float], int], tuple[Row, dict[int, float]]]


@dataclass(frozen=True)
class Person:
    """What somebody eats as usual: plates and how often; meals in 28 days; how they respond."""

    plates: Sequence[Sequence[int]]
    often: Floats
    meals: int
    eat: Eat

    def choose(self, rng: np.random.Generator) -> dict[int, float]:
        """Return the next plate as usual: foods with 1.0 portions."""
        return dict.fromkeys(self.plates[int(rng.choice(len(self.plates), p=self.often))], 1.0)


def of_dishes(world: World) -> Callable[[np.random.Generator], Person]:
    """Return how people of tests/simulated/dishes.py are drawn."""

    def draw(rng: np.random.Generator) -> Person:
        foods, dishes = stock(rng), [draw_dish(rng) for _ in range(DISHES)]
        by_day = np.exp(rng.normal(0, world.days, DAYS))
        usual = dict.fromkeys(range(FOODS), 1.0)

        def respond(
            rng: np.random.Generator, plate: dict[int, float], k: int
        ) -> tuple[Row, dict[int, float]]:
            size = {f: share * float(np.exp(rng.normal(0, PORTION_SD))) for f, share in plate.items()}
            return eat(rng, foods, size, usual, world, k, float(by_day[k * DAYS // MEALS]))

        return Person(dishes, np.full(DISHES, 1 / DISHES), MEALS, respond)

    return draw


def of_cooks(rng: np.random.Generator) -> Person:
    """Draw somebody of tests/simulated/cooks.py."""
    cook = draw_cook(rng)
    return Person(cook.plates, cook.often, 3 * DAYS, cook.eat)


PEOPLE: dict[str, Callable[[np.random.Generator], Person]] = {
    "20 dishes, clean, CV 22 %": of_dishes(World()),
    "20 dishes, clean, CV 40 %": of_dishes(World(cv=0.4)),
    "20 dishes, all faults, CV 30 %": of_dishes(World(cv=0.3, walks=True, days=0.1, faults=True)),
    "20 dishes, saturating": of_dishes(World(saturates=True)),
    "9 plates, power, lognormal, CV 30 %": of_cooks,
}


def compare_weeks(
    draw: Callable[[np.random.Generator], Person], seed: int, a_day: int = A_DAY
) -> dict[str, float]:
    """Return the errors after three weeks, a usual and a planned last week, and what was eaten."""
    rng = np.random.default_rng((SEED, seed))
    person = draw(rng)
    first = WEEK_FROM * person.meals // DAYS
    before = [person.eat(rng, person.choose(rng), k) for k in range(first)]
    usual, _ = _live_on(person, before, seed, 0)
    planned, kinds = _live_on(person, before, seed, a_day)
    known = {food for _, does in before for food in does}
    carbs = [sum(e.carbs_g for row, _ in week[first:] for e in row.eaten) for week in (planned, usual)]
    records = {"before": before, "usual": usual, "planned": planned}
    return {
        **{name: error(record, known) for name, record in records.items()},
        "carbs": carbs[0] / carbs[1],
        **{kind: float(kinds[kind]) for kind in ("repeat", "without", "alone", "half")},
    }


def _live_on(person: Person, before: Record, seed: int, a_day: int) -> tuple[Record, Counter[str]]:
    """Return the record with a last week, and how many of its meals were suggested, by their kind."""
    rng = np.random.default_rng((SEED, seed, 1))
    record, kinds = list(before), Counter[str]()
    for day in range(WEEK_FROM, DAYS):
        said = (
            make_plan([row for row, _ in record], Limits(), Run(day + 1)).suggestions[:a_day] if a_day else ()
        )
        for n in range((day + 1) * person.meals // DAYS - day * person.meals // DAYS):
            usual = person.choose(rng)
            plate = plate_of(said[n]) if n < len(said) else usual
            kinds.update([said[n].kind] if n < len(said) else [])
            record.append(person.eat(rng, plate, len(record)))
    return record, kinds


def plate_of(suggestion: Suggestion) -> dict[int, float]:
    """Return the portions of a suggested serving."""
    plate = dict.fromkeys(map(number, suggestion.foods), 1.0)
    if suggestion.kind == "without":
        del plate[number(suggestion.of)]
    elif suggestion.kind == "alone":
        plate = {number(suggestion.of): 1.0}
    elif suggestion.kind == "half":
        plate[number(suggestion.of)] = 0.5
    return plate


def number(food: str) -> int:
    """Return which food it is."""
    return int(food.removeprefix("food "))


def error(record: Record, foods: set[int]) -> float:
    """Return the error of what 100 g of some foods add, the true usual portion of every food.

    The truth is that of the record, as the estimate is: a mean over the occasions that a food was in.
    """
    truth = {food: np.mean([does[food] for _, does in record if food in does]) for food in foods}
    found = judge_fit(fit_foods([row for row, _ in record]))
    per_100_g = {number(one.food): 100 * one.estimate / one.grams for one in found}
    return float(np.sqrt(np.mean([(per_100_g[food] - true) ** 2 for food, true in truth.items()])))


def main() -> None:
    """Print a row for each kind of people."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--people", type=int, default=40)
    parser.add_argument("--a-day", type=int, default=A_DAY)
    parser.add_argument("--only", default="", help="people whose name holds this")
    asked = parser.parse_args()
    for name, draw in PEOPLE.items():
        if asked.only not in name:
            continue
        found = [compare_weeks(draw, seed, asked.a_day) for seed in range(asked.people)]
        columns = {key: np.array([one[key] for one in found]) for key in found[0]}
        said = ", ".join(f"{key} {values.mean():.3g}" for key, values in columns.items())
        usual, planned = columns["usual"], columns["planned"]
        ratio = planned.mean() / usual.mean()
        spread = (planned - ratio * usual).std(ddof=1) / asked.people**0.5 / usual.mean()
        print(f"{name}\n   {said}, planned/usual {ratio:.3f} (standard error {spread:.3f})", flush=True)


if __name__ == "__main__":
    main()
