"""One grouping: whichever span is asked for and whichever note is asked about, the occasions are the same."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.frames.occasions import ONE_OCCASION, is_food, occasion_of, occasions_between
from bot.frames.servings import serving_of, servings_between
from bot.model.entries import Item, Meal, Nutrients
from bot.store import Logged, Person, Store, Transaction, open_store
from tests.talk import MORNING, Talk, talking

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
    notes=st.lists(st.tuples(st.sampled_from(SPOONS), st.integers(0, 60)), min_size=1, max_size=12),
    since=st.integers(-10, 60),
    length=st.integers(1, 60),
)
def test_every_span_and_every_note_agree(
    store: Store, notes: list[tuple[str, float]], since: int, length: int
) -> None:
    with store.begin() as tx:
        person, logged = note(tx, notes)
        day = timedelta(days=1)
        every = {one.id: one for one in occasions_between(tx, person, MORNING - day, MORNING + day)}
        start, end = MORNING + since * MINUTE, MORNING + (since + length) * MINUTE
        part = occasions_between(tx, person, start, end)
        assert part == [one for one in every.values() if start <= one.at < end]
        assert [s.entry_id for s in servings_between(tx, person, start, end)] == [one.id for one in part]
        for one in logged:
            occasion, found = occasion_of(tx, person, one), serving_of(tx, person, one)
            if occasion is None:
                assert found is None
                assert not is_food(one)
                continue
            assert every[occasion.id] == occasion
            assert timedelta(0) <= one.at - occasion.at <= ONE_OCCASION
            assert found is not None
            assert found[0].entry_id == occasion.id
        grams = sum(i.grams for o in every.values() if isinstance(o.entry, Meal) for i in o.entry.items)
        assert grams == 50 * sum(map(is_food, logged)), "each food is of one occasion"


def test_a_note_that_was_taken_back_is_of_no_occasion(store: Store) -> None:
    with store.begin() as tx:
        person, (oats, juice) = note(tx, [("oats", 0), ("juice", 2)])
        tx.log.remove(oats.id, update_id="undo", at=MORNING)
        gone = tx.log.get(oats.id)
        assert gone is not None
        assert occasion_of(tx, person, gone) is None
        found = occasion_of(tx, person, juice)
        assert found is not None
        assert found.id == juice.id


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


def test_comparing_looks_at_whole_occasions(talk: Talk) -> None:
    """The banana was noted two minutes after the oats: that plate is of both sides, and so of neither."""
    for day in range(2):
        talk.at("07:00", days=day).say("60 g oats")
        talk.at("07:02", days=day).say("a banana")
    assert "evenness" not in talk.at("12:00", days=1).say("compare oats and banana")
