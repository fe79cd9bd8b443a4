"""What was noted of a day as tags of its meals: feelings before the bite, alcohol, a period."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from bot.frames.tags import feelings_of, has_alcohol, tags_of
from bot.model.entries import Feeling, Item, Meal
from bot.store import Store, open_store

NOON = datetime(2026, 3, 4, 12, 0, tzinfo=UTC)
HOUR, DAY = timedelta(hours=1), timedelta(days=1)


@pytest.fixture
def store() -> Iterator[Store]:
    store = open_store("sqlite://")
    yield store
    store.close()


def felt(store: Store, *entries: tuple[str, datetime]) -> list[tuple[datetime, str]]:
    with store.begin() as tx:
        tx.people.ensure("local", zone="UTC", unit="mmol/L", at=NOON)
        for k, (what, at) in enumerate(entries):
            entry = Feeling(what, at)
            tx.log.add("local", entry, update_id=f"u{k}", ordinal=0, message_id=None, at=NOON)
        return feelings_of(tx.log.between("local", ("feeling",), NOON - 200 * DAY, NOON + DAY))


def plate(*foods: str) -> Meal:
    items = tuple(Item(food, food, food, 100.0, 90.0, 110.0, True, 1.0) for food in foods)
    return Meal(NOON, "lunch", items)


def test_what_was_felt_that_day_before_the_bite(store: Store) -> None:
    feelings = felt(
        store,
        ("stressed", NOON - 4 * HOUR),
        ("tired", NOON + HOUR),
        ("ill", NOON - DAY),
        ("full", NOON - HOUR),
    )
    assert tags_of(feelings, NOON, UTC, plate("rice")) == {"stressed"}


def test_the_small_hours_belong_to_the_day_before(store: Store) -> None:
    feelings = felt(store, ("stressed", NOON + 8 * HOUR))
    assert tags_of(feelings, NOON + 14 * HOUR, UTC, plate("rice")) == {"stressed"}
    assert tags_of(feelings, NOON + 19 * HOUR, UTC, plate("rice")) == set()


def test_a_period_counts_from_two_whole_cycles_on(store: Store) -> None:
    twice = [("period", NOON - 30 * DAY), ("period", NOON - 29 * DAY), ("period", NOON - 2 * DAY)]
    assert tags_of(felt(store, *twice), NOON, UTC, plate("rice")) == set()


def test_a_period_counts_for_some_days(store: Store) -> None:
    thrice = felt(store, *[("period", NOON - days * DAY) for days in (58, 30, 2)])
    assert tags_of(thrice, NOON, UTC, plate("rice")) == {"period"}
    assert tags_of(thrice, NOON + 4 * DAY, UTC, plate("rice")) == set()


@pytest.mark.parametrize(
    "food", ["Wine, red", "Beer", "Hard cider", "Gin and tonic", "Whiskey", "Wine, rice", "Vodka"]
)
def test_alcohol_with_the_meal(food: str) -> None:
    assert tags_of([], NOON, UTC, plate("rice", food)) == {"alcohol"}


@pytest.mark.parametrize(
    "food", ["Vinegar, cider", "Beer, nonalcoholic", "Soft drink, ginger ale", "Winegums", "Rump steak"]
)
def test_what_only_sounds_like_it(food: str) -> None:
    assert not has_alcohol(food)
