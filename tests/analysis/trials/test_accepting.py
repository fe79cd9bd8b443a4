"""Which servings count: each rule by itself, and how a trial goes on."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from analysis.flags import DIP, FIRST_DAY, LATE_BITE, TOGETHER
from analysis.trials.accepting import Offered, accept, concerns, follow
from analysis.trials.protocol import Arm, Portion, Protocol
from tests.bench.conclusions_trials import agreed

AT = datetime(2026, 3, 2, 4, 30, tzinfo=UTC)
WALK = {"levers": frozenset({"walk after"}), "moves": ((20.0, 15.0, "walk"),)}


def serving(**more: Any) -> Offered:
    known = {
        "entry_id": 1,
        "at": AT,
        "slot": "breakfast",
        "foods": {"oats": 60.0, "milk": 200.0},
        "sensor": 1,
    }
    return Offered(**(known | more))


def test_what_was_agreed_counts() -> None:
    assert accept(agreed(), serving(), 0) == ()
    assert accept(agreed(), serving(**WALK), 1) == ()
    assert accept(agreed(), serving(before_min=600.0, beside_g=3.0), 0, serving()) == ()


@pytest.mark.parametrize(
    ("more", "arm", "why"),
    [
        ({"slot": "lunch"}, 0, "It was lunch, and the test is of breakfast."),
        ({"foods": {"bread": 60.0}}, 0, "There was no oats in it, and “porridge” was due."),
        ({"foods": {"oats": 73.0}}, 0, "It was 73 g of oats, and 60 g were agreed."),
        ({"foods": {"oats": 47.0}}, 0, "It was 47 g of oats, and 60 g were agreed."),
        ({}, 1, "A walk after it was due and is not noted."),
        (WALK, 0, "A walk after it was noted, and it was the turn without it."),
        (
            WALK | {"moves": ((50.0, 15.0, "walk"),)},
            1,
            "A walk after it has to begin within 45 min of the first bite and to last 10 min at least.",
        ),
        (
            WALK | {"moves": ((20.0, 5.0, "walk"),)},
            1,
            "A walk after it has to begin within 45 min of the first bite and to last 10 min at least.",
        ),
        (
            {"levers": frozenset({"exercise before"})},
            0,
            "Exercise before it was noted, and nothing of the kind was agreed before it.",
        ),
        (
            {"levers": frozenset({"chores after"})},
            0,
            "Chores after it was noted, and it was not agreed.",
        ),
        (
            {
                "foods": {"oats": 60.0, "milk": 200.0, "croissant": 57.0},
                "carbs": {"oats": 36.0, "croissant": 26.0},
            },
            0,
            "There was croissant in it, and 26 g of carbohydrate more than was agreed.",
        ),
        ({"before_min": 90.0}, 0, "Something was eaten 90 min before it, and 180 min without were agreed."),
        (
            {"beside_g": 22.0},
            0,
            "Something else with 22 g of carbohydrate was eaten within its two hours.",
        ),
        (
            {"whole": False, "why_not": "no readings after the first bite"},
            0,
            "It has no whole curve: no readings after the first bite.",
        ),
        (
            {"flags": (f"{FIRST_DAY}",)},
            0,
            "Its curve is not fit to be compared: it was the sensor's first day.",
        ),
    ],
)
def test_each_rule_by_itself(more: dict[str, Any], arm: int, why: str) -> None:
    assert accept(agreed(), serving(**more), arm) == (why,)


@pytest.mark.parametrize("flag", [TOGETHER, FIRST_DAY, DIP, LATE_BITE])
def test_curves_that_are_not_ranked_are_not_compared(flag: str) -> None:
    (why,) = accept(agreed(), serving(flags=(f"last meal 30 min before, {flag}",)), 0)
    assert why.startswith("Its curve is not fit to be compared: ")


def test_several_reasons_are_all_said() -> None:
    assert len(accept(agreed(), serving(slot="dinner", beside_g=30.0, foods={"oats": 90.0}), 0)) == 3


def eaten(day: int, arm: int, **more: Any) -> Offered:
    return serving(entry_id=day, at=AT + timedelta(days=day), **((WALK if arm else {}) | more))


def play(days: int) -> list[Offered]:
    """Return servings as the lot wants them, one a day."""
    order = agreed().order
    return [eaten(day, order[day // 2] ^ (day % 2)) for day in range(days)]


def test_a_trial_that_goes_by_the_lot() -> None:
    protocol = agreed()
    course = follow(protocol, play(28))
    assert len(course.pairs) == 14
    assert course.due is None
    assert all(one.accepted for one in course.judged)
    for k, pair in enumerate(course.pairs):
        assert pair == ((2 * k, 2 * k + 1) if protocol.order[k] == 0 else (2 * k + 1, 2 * k))
    assert follow(protocol, [*play(28), eaten(40, 0)]) == course, "nothing is added to a trial that is full"
    assert follow(protocol, play(28)[::-1]) == course


def test_what_is_due() -> None:
    protocol = agreed()
    first = protocol.order[0]
    assert follow(protocol, []).due == (0, first)
    assert follow(protocol, play(1)).due == (0, 1 - first)
    assert follow(protocol, play(2)).due == (1, protocol.order[1])


def test_the_arm_that_was_not_due_is_set_aside_and_asked_for_again() -> None:
    protocol = agreed()
    first = protocol.order[0]
    course = follow(protocol, [eaten(0, 1 - first), eaten(1, first), eaten(2, 1 - first)])
    assert [one.accepted for one in course.judged] == [False, True, True]
    assert len(course.pairs) == 1


def test_other_meals_do_not_touch_it() -> None:
    bread = serving(entry_id=90, foods={"bread": 80.0}, at=AT + timedelta(hours=6))
    assert not concerns(agreed(), bread)
    assert follow(agreed(), [*play(4), bread]) == follow(agreed(), play(4))


def test_a_new_sensor_within_a_pair_begins_it_anew() -> None:
    protocol = agreed()
    first = protocol.order[0]
    course = follow(protocol, [eaten(0, first), eaten(1, 1 - first, sensor=2)])
    assert course.judged[1].reasons == (
        "A new sensor was put on within this pair, so that the pair begins anew.",
    )
    assert (course.pairs, course.due) == ((), (0, first))


def test_nothing_of_the_result_is_looked_at() -> None:
    fields = set(Offered.__dataclass_fields__)
    assert not fields & {"area", "net_area_2h", "curve", "evenness", "score", "mmol"}


def test_a_food_of_the_other_arm_does_not_count() -> None:
    bare = Arm("toast", (Portion("toast", 80.0),))
    spread = Arm("toast with butter", (Portion("toast", 80.0), Portion("butter", 10.0)))
    protocol = Protocol("toast with and without butter", (spread, bare), "breakfast", "", 6, 1, 0.3)
    both = serving(foods={"toast": 80.0, "butter": 10.0})
    assert accept(protocol, both, 0) == ()
    assert accept(protocol, both, 1) == ("There was butter in it, and “toast” was due.",)


def test_a_walk_before_the_meal_can_be_what_is_tested() -> None:
    without = Arm("oats", (Portion("oats", 60.0),))
    walked = Arm("oats after a walk", without.foods, ("walk before",))
    protocol = Protocol("oats with and without a walk before", (without, walked), "breakfast", "", 6, 1, 0.3)
    moved = serving(levers=frozenset({"walk before"}))
    assert accept(protocol, moved, 1) == ()
    assert "A walk before it was noted, and it was the turn without it." in accept(protocol, moved, 0)


def test_two_foods_are_compared_with_as_much_carbohydrate_beside_them() -> None:
    rice, lentils = Arm("rice", (Portion("rice", 200.0),)), Arm("lentils", (Portion("lentils", 200.0),))
    protocol = replace(agreed(), arms=(rice, lentils), slot="breakfast")
    first = serving(foods={"rice": 200.0, "curry": 280.0}, carbs={"rice": 56.0, "curry": 14.0})
    like, unlike = (
        serving(foods={"lentils": 200.0, food: 100.0}, carbs={"lentils": 26.0, food: carbs})
        for food, carbs in (("stew", 12.0), ("bread", 45.0))
    )
    assert accept(protocol, first, 0) == (), "what it is had with is theirs to choose"
    assert accept(protocol, like, 1, first) == ()
    assert accept(protocol, unlike, 1, first) == (
        "What was eaten with it held 45 g of carbohydrate, and 14 g the first time in this pair.",
    )
