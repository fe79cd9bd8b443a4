"""One grouping: whichever span is asked for and whichever note is asked about, the occasions are the same."""

import json
from collections.abc import Iterator
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.commandline.analyse import analyse
from bot.frames.occasions import is_food
from bot.frames.servings import occasion_of, occasions_between, serving_of, servings_between
from bot.model.entries import Item, Meal, Nutrients
from bot.store import Logged, Person, Store, Transaction, open_store
from tests.talk import MORNING, Talk, readings_csv, talking

MINUTE = timedelta(minutes=1)
SPOONS = ("oats", "zorbo", "coffee", "juice")


def meal(what: str, minute: float) -> Meal:
    known = Nutrients(energy_kcal=50, carbs_g=0.5 if what == "coffee" else 20, fibre_g=1)
    item = Item(what, what, None if what == "zorbo" else what, 50, 50, 50, True, 1.0, known)
    slot = "drink" if what in ("coffee", "juice") else "snack"
    return Meal(MORNING + minute * MINUTE, slot, (item,))


@pytest.fixture(scope="module")
def store() -> Iterator[Store]:
    store = open_store("sqlite://")
    yield store
    store.close()


def note(tx: Transaction, notes: list[tuple[str, float]]) -> tuple[Person, list[Logged]]:
    tx.people.erase("local")
    person = tx.people.ensure("local", zone="Europe/Vienna", unit="mmol/L", at=MORNING)
    return person, [
        tx.log.add("local", meal(what, minute), update_id=f"u{k}", ordinal=0, message_id=None, at=MORNING)
        for k, (what, minute) in enumerate(notes)
    ]


@settings(max_examples=60, deadline=None)
@given(
    notes=st.lists(st.tuples(st.sampled_from(SPOONS), st.integers(0, 400)), min_size=1, max_size=12),
    since=st.integers(-10, 400),
    length=st.integers(1, 300),
)
def test_every_span_and_every_note_agree(
    store: Store, notes: list[tuple[str, float]], since: int, length: int
) -> None:
    with store.begin() as tx:
        person, logged = note(tx, notes)
        day = timedelta(days=1)
        every = dict(
            (meal.id, (serving, meal))
            for serving, meal in occasions_between(tx, person, MORNING - day, MORNING + day)
        )
        start, end = MORNING + since * MINUTE, MORNING + (since + length) * MINUTE
        part = [meal for _, meal in occasions_between(tx, person, start, end)]
        assert part == [meal for _, meal in every.values() if start <= meal.at < end]
        assert [s.entry_id for s in servings_between(tx, person, start, end)] == [one.id for one in part]
        for one in logged:
            occasion, found = occasion_of(tx, person, one), serving_of(tx, person, one)
            if occasion is None:
                assert found is None
                assert not is_food(one)
                continue
            serving, meal_ = every[occasion[1].id]
            assert meal_ == occasion[1]
            assert (one.id in serving.entry_ids) == is_food(one)
            assert found is not None
            assert found[0].entry_id == meal_.id
        grams = sum(i.grams for _, o in every.values() if isinstance(o.entry, Meal) for i in o.entry.items)
        assert grams == 50 * sum(map(is_food, logged)), "each food is of one occasion"


def test_foods_of_one_hour_are_one_occasion(store: Store) -> None:
    with store.begin() as tx:
        person, (juice, oats, later, last) = note(
            tx, [("juice", 0), ("oats", 50), ("oats", 170), ("coffee", 175)]
        )
        far = timedelta(days=1)
        (first, joined), (second, alone) = occasions_between(tx, person, MORNING - far, MORNING + far)
        assert first.entry_ids == (juice.id, oats.id)
        assert (first.carbs_g, first.slot, first.title) == (40, "snack", "juice and oats")
        assert isinstance(joined.entry, Meal)
        assert joined.entry.nutrients.carbs_g == 40
        assert (second.entry_ids, alone) == ((later.id,), later)
        found = occasion_of(tx, person, last)
        assert found is not None
        assert found[1].id == later.id, "a coffee within five minutes is asked about with its meal"


def test_a_note_that_was_taken_back_is_of_no_occasion(store: Store) -> None:
    with store.begin() as tx:
        person, (oats, juice) = note(tx, [("oats", 0), ("juice", 2)])
        tx.log.remove(oats.id, update_id="undo", at=MORNING)
        gone = tx.log.get(oats.id)
        assert gone is not None
        assert occasion_of(tx, person, gone) is None
        found = occasion_of(tx, person, juice)
        assert found is not None
        assert found[1].id == juice.id


def test_who_grazes_all_day_has_one_curve_that_each_note_finds(store: Store) -> None:
    with store.begin() as tx:
        person, logged = note(tx, [("oats", 40 * k) for k in range(15)])
        for one in logged:
            found = serving_of(tx, person, one)
            assert found is not None
            assert found[0].entry_ids == tuple(each.id for each in logged)
            assert found[0].carbs_g == 15 * 20


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as talk:
        yield talk


@pytest.mark.parametrize(
    "asked", ["/last", "how was my last meal?", "how was breakfast?", "how was zorbo bar?"]
)
def test_a_meal_of_unknown_foods_is_answered_with_what_is_missing(talk: Talk, asked: str) -> None:
    talk.at("07:00").say("a zorbo bar for breakfast")
    said = talk.at("09:30").say(asked)
    assert "I don't know “zorbo bar” yet" in said
    assert "Teach it" in said


def test_six_notes_four_minutes_apart_can_each_be_asked_about(talk: Talk) -> None:
    foods = ("60 g oats", "a banana", "an apple", "a pear", "a boiled egg", "a slice of rye toast")
    for k, food in enumerate(foods):
        talk.at(f"07:{4 * k:02}").say(food)
    for asked in ("/last", "how was the banana?", "how was the pear?", "how was breakfast?"):
        assert "no score yet" in talk.at("09:30").say(asked)


def test_a_coffee_is_not_the_last_meal_but_is_answered_when_named(talk: Talk) -> None:
    talk.at("07:00").say("60 g oats")
    talk.at("10:00").say("a black coffee")
    assert "oats" in talk.at("10:05").say("/last")
    assert "next to no carbohydrate" in talk.say("how was the coffee?")


def test_what_shares_the_curve_is_said_with_its_time(talk: Talk) -> None:
    talk.at("12:30").say("200 g cooked rice at 12:30")
    talk.at("12:50").note("150 g strawberries at 12:50")
    readings = [5.0] * 6 + [5.0 + 0.2 * min(k, 24 - k) for k in range(25)] + [5.0] * 12
    talk.at("15:10").file(readings_csv(MORNING.replace(hour=12), readings))
    for asked in ("how was the rice?", "how were the strawberries?"):
        said = talk.say(asked)
        assert "Lunch, 12:30 (cooked rice), with strawberry at 12:50: evenness" in said
    rice, berries = json.loads(analyse(talk.app, "local", "meals", None, None, as_json=True, out=None))
    assert rice["occasion"] == berries["occasion"] == rice["id"] != berries["id"]
    assert rice["evenness"] == berries["evenness"] is not None
    assert rice["curve"] == berries["curve"]
    assert rice["curve"]["net_area_2h"] == pytest.approx(rice["curve"]["area_2h"])
    told = talk.say("show today")
    assert "12:50 snack: strawberry (one curve with 12:30)" in told


def test_comparing_looks_at_whole_occasions(talk: Talk) -> None:
    """The banana was noted two minutes after the oats: that plate is of both sides, and so of neither."""
    for day in range(2):
        talk.at("07:00", days=day).say("60 g oats")
        talk.at("07:02", days=day).say("a banana")
    assert "evenness" not in talk.at("12:00", days=1).say("compare oats and banana")
