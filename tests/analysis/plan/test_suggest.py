"""What a plan suggests: what tells most of a record, within what may be suggested."""

import numpy as np
import pytest

from analysis.foods.rows import Eaten, Row
from analysis.plan.candidates import LEAST_LEFT_G, MOST_OVER_USUAL, SMALL_G, Limits
from analysis.plan.phases import Run
from analysis.plan.suggest import MOST, Suggestion, make_plan
from tests.bench.conclusions_plan import PEOPLE, compare_weeks, of_cooks
from tests.simulated.dishes import World, live, stock

GRAMS = {"oats": (60.0, 36.0), "banana": (120.0, 26.0), "rice": (180.0, 50.0), "tofu": (150.0, 3.0),
         "bread": (80.0, 35.0), "butter": (12.0, 0.0), "cake": (120.0, 70.0)}  # fmt: skip
A_GRAM = {"oats": 2.4, "banana": 1.0}


def meal(k: int, slot: str, *foods: str, share: float = 1.0, **levers: float) -> Row:
    rng = np.random.default_rng(k)
    eaten = tuple(
        Eaten(f, GRAMS[f][0] * share, GRAMS[f][1] * share, fat_g=10.0 * (f == "butter")) for f in foods
    )
    load = sum(A_GRAM.get(e.food, 1.6) * e.carbs_g for e in eaten)
    area = load * rng.gamma(20, 0.05) + rng.normal(0, 8)
    return Row(float(area), eaten, slot, levers=dict(levers), entry_id=k)


@pytest.fixture
def rows() -> list[Row]:
    """Oats always with banana, rice with and without tofu, bread with butter, one cake."""
    found = []
    for day in range(12):
        walk = {"walk after": 1.0} if day in (2, 5, 9) else {}
        found.append(meal(3 * day, "breakfast", "oats", "banana", share=(0.8, 1.0, 1.2)[day % 3]))
        found.append(meal(3 * day + 1, "lunch", "rice", *(["tofu"] if day % 2 else []), **walk))
        found.append(meal(3 * day + 2, "dinner", "bread", "butter"))
    return [*found, meal(99, "dinner", "cake")]


def carbs_of(rows: list[Row], slot: str) -> float:
    return float(np.median([sum(e.carbs_g for e in row.eaten) for row in rows if row.slot == slot]))


def test_without_rows_there_is_nothing() -> None:
    assert make_plan([], Limits()).suggestions == ()


def test_what_was_never_apart_is_to_be_parted(rows: list[Row]) -> None:
    found = make_plan(rows, Limits(), Run(14))
    assert ("banana", "oats") in found.unparted
    assert found.seldom == ("cake",)
    parting = [s for s in found.suggestions if s.beside]
    assert {"oats", "banana"} in [{s.of, s.beside} for s in parting]
    assert all(s.shared == s.had == 12 for s in parting if s.of in ("oats", "banana"))


def test_a_serving_with_them_apart_takes_the_pair_off_the_list(rows: list[Row]) -> None:
    parted = [*rows, *(meal(100 + k, "breakfast", "oats") for k in range(5))]
    assert ("banana", "oats") not in make_plan(parted, Limits(), Run(14)).unparted


def test_the_most_informative_comes_first_and_no_plate_twice(rows: list[Row]) -> None:
    found = make_plan(rows, Limits(), Run(14)).suggestions
    worth = [s.worth for s in found]
    assert 1 < len(found) <= MOST
    assert worth == sorted(worth, reverse=True)
    assert sum(worth) < 1
    assert len({s.foods for s in found}) == len(found)


def test_the_first_days_ask_for_meals_as_usual(rows: list[Row]) -> None:
    found = make_plan(rows[:6], Limits(levers=["walk after"]), Run(3))
    assert {s.kind for s in found.suggestions} == {"repeat"}


def test_only_what_is_eaten_never_more_and_nothing_avoided() -> None:
    for seed in range(4):
        rng = np.random.default_rng(seed)
        rows, _ = live(rng, stock(rng), World(walks=True))
        plates = {frozenset(e.food for e in row.eaten) for row in rows}
        usual = carbs_of(rows, "")
        for day in (3, 12, 25):
            found = make_plan(rows, Limits({"food 4"}, levers=["walk after"]), Run(day), most=20)
            assert found.suggestions
            assert not any("food 4" in pair for pair in found.unparted)
            for s in found.suggestions:
                assert frozenset(s.foods) in plates
                assert "food 4" not in s.foods
                assert s.carbs_g <= MOST_OVER_USUAL * usual


def test_the_cake_is_not_asked_for_again_but_half_of_it_may_be(rows: list[Row]) -> None:
    found = make_plan(rows, Limits(), Run(20), most=20).suggestions
    cake = [s for s in found if "cake" in s.foods]
    assert {s.kind for s in cake} <= {"half"}
    assert cake


def test_butter_is_never_left_without_its_bread(rows: list[Row]) -> None:
    found = make_plan(rows, Limits(), Run(20), most=20).suggestions
    assert GRAMS["butter"][0] < SMALL_G < LEAST_LEFT_G
    assert not [s for s in found if s.kind == "without" and s.of == "bread"]


def test_a_lever_is_asked_for_while_it_has_no_verdict(rows: list[Row]) -> None:
    def walks(found: tuple[Suggestion, ...]) -> list[Suggestion]:
        return [s for s in found if s.kind == "lever"]

    found = make_plan(rows, Limits(levers=["walk after"]), Run(12), most=20)
    assert [one.name for one in found.undecided] == ["walk after"]
    (walk,) = walks(found.suggestions)
    assert (walk.of, walk.on, walk.off) == ("walk after", 3, len(rows) - 3)
    assert not walks(make_plan(rows, Limits(), Run(12), most=20).suggestions)


def test_of_one_meal_of_the_day_only(rows: list[Row]) -> None:
    found = make_plan(rows, Limits(), Run(12), slot="lunch").suggestions
    assert {s.slot for s in found} == {"lunch"}


def test_a_week_that_follows_the_plan_leaves_less_error() -> None:
    """A few of the people of tests/bench/conclusions_plan.py, where the figures are."""
    found = [compare_weeks(PEOPLE["20 dishes, clean, CV 22 %"], seed) for seed in range(5)]
    found += [compare_weeks(of_cooks, seed) for seed in range(5)]
    planned, usual = (sum(one[name] ** 2 for one in found) for name in ("planned", "usual"))
    assert planned < 0.95 * usual


@pytest.mark.filterwarnings("error")
def test_of_water_alone_there_is_nothing_to_suggest() -> None:
    rng = np.random.default_rng(1)
    rows = [
        Row(float(rng.normal(0, 8)), (Eaten("water", 250.0, 0.0),), "lunch", entry_id=k) for k in range(20)
    ]
    assert make_plan(rows, Limits(), Run(14)).suggestions == ()
