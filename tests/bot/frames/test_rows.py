"""Occasions as the food model takes them: what went with each, one food under two names, what is left out."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from bot.frames.levers import Around, find_levers
from bot.frames.rows import Occasions, rows_between
from bot.model.entries import Activity, Entry, Extra, Item, Meal, Nutrients, Reading, Sensor, Sleep
from bot.store import Store, Transaction, open_store

ZONE = ZoneInfo("Europe/Vienna")
NOON = datetime(2026, 3, 4, 12, 0, tzinfo=ZONE)
MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)
RISE = [min(k, 12) * 0.1 if k < 12 else max(1.2 - (k - 12) * 0.1, 0.0) for k in range(60)]


def item(name: str, carbs: float | None = 30.0, food: str = "", grams: float = 100.0) -> Item:
    held = None if carbs is None else Nutrients(carbs_g=carbs, fat_g=2.0, fibre_g=3.0)
    known = None if carbs is None else food or name
    return Item(name, name, known, grams, 0.9 * grams, 1.1 * grams, True, 1.0, held)


def plate(*items: Item, at: datetime = NOON, in_order: bool = False, extras: tuple[str, ...] = ()) -> Meal:
    return Meal(at, "lunch", items or (item("rice"),), tuple(Extra(name) for name in extras), in_order)


@pytest.fixture
def store() -> Iterator[Store]:
    store = open_store("sqlite://")
    yield store
    store.close()


def put(tx: Transaction, *entries: Entry) -> None:
    for k, entry in enumerate(entries):
        tx.log.add("local", entry, update_id=f"u{k}", ordinal=0, message_id=None, at=NOON)  # type: ignore[arg-type]


def read_around(tx: Transaction, *bites: datetime) -> None:
    found = []
    for bite in bites:
        start = bite - 12 * 5 * MINUTE
        found += [Reading(5.0, start + 5 * k * MINUTE) for k in range(12)]
        found += [Reading(5.0 + up, bite + 5 * k * MINUTE) for k, up in enumerate(RISE)]
    tx.readings.add("local", found, source="file", at=NOON, update_id="file")


def look(tx: Transaction) -> Occasions:
    person = tx.people.get("local")
    assert person is not None
    return rows_between(tx, person, NOON - 30 * DAY, NOON + 30 * DAY)


def levers(store: Store, meal: Meal, *others: Entry) -> dict[str, float]:
    with store.begin() as tx:
        person = tx.people.ensure("local", zone="Europe/Vienna", unit="mmol/L", at=NOON)
        put(tx, *others)
        assert meal.at is not None
        return find_levers(Around.of(tx, person, meal.at - DAY, meal.at), meal.at, meal)


@pytest.mark.parametrize(
    ("start", "minutes", "found"),
    [
        (15, 30.0, {"walk after": 2.0}),
        (60, 15.0, {"walk after": 1.0}),
        (61, 15.0, {}),  # too late to be of this meal
        (50, 120.0, {"walk after": 4.0}),  # an hour at most
        (-30, 15.0, {"walk before": 1.0}),
        (-10, 30.0, {"walk before": pytest.approx(10 / 15)}),  # into the meal
        (-200, 15.0, {"walk hours before": 1.0}),
        (-600, 15.0, {}),
        (20, None, {"walk after": 1.0}),  # of no said length
    ],
)
def test_when_a_walk_counts(store: Store, start: int, minutes: float | None, found: dict[str, float]) -> None:
    assert levers(store, plate(), Activity("walk", minutes, NOON + start * MINUTE)) == found


def test_chores_and_exercise_are_levers_of_their_own(store: Store) -> None:
    found = levers(
        store,
        plate(),
        Activity("housework", 30.0, NOON + 20 * MINUTE),
        Activity("run", 30.0, NOON - 60 * MINUTE, "moderate"),
    )
    assert found == {"chores after": 2.0, "exercise before": 2.0}


def test_order_and_extras(store: Store) -> None:
    salad, rice = item("salad", 3.0), item("rice", 50.0)
    assert levers(store, plate(salad, rice, in_order=True, extras=("vinegar",))) == {
        "vegetables first": 1.0,
        "vinegar": 1.0,
    }
    assert levers(store, plate(rice, salad, in_order=True)) == {}
    assert levers(store, plate(salad, rice)) == {}
    assert levers(store, plate(rice, item("lemon juice", 1.0))) == {"lemon juice": 1.0}


def test_late_is_by_the_clock_or_by_the_night_that_followed(store: Store) -> None:
    late = NOON.replace(hour=22)
    assert levers(store, plate(at=late)) == {"late meal": 1.0}
    slept = Sleep(late + 5 * HOUR, late + 12 * HOUR)  # a late shift: 22:00 is hours before bed
    assert levers(store, plate(at=late), slept) == {}


def test_before_a_day_sleep_noon_is_late(store: Store) -> None:
    assert levers(store, plate(), Sleep(NOON + HOUR, NOON + 8 * HOUR)) == {"late meal": 1.0}


def test_short_sleep_is_measured_against_the_own_mean(store: Store) -> None:
    nights = [
        Sleep(NOON - k * DAY - 12 * HOUR, NOON - k * DAY - (6 if k == 0 else 4) * HOUR) for k in range(6)
    ]
    with store.begin() as tx:
        person = tx.people.ensure("local", zone="Europe/Vienna", unit="mmol/L", at=NOON)
        put(tx, *nights)
        around = Around.of(tx, person, NOON - 20 * DAY, NOON)
        assert find_levers(around, NOON, plate()) == {"short sleep": pytest.approx(8 - 2 / 6 - 6)}
        assert find_levers(around, NOON - DAY, plate(at=NOON - DAY)) == {
            "short night to come": pytest.approx(8 - 2 / 6 - 6)
        }


def test_a_row_holds_what_was_eaten_and_what_came_before(store: Store) -> None:
    with store.begin() as tx:
        tx.people.ensure("local", zone="Europe/Vienna", unit="mmol/L", at=NOON)
        put(
            tx,
            Sensor("started", NOON - 5 * DAY),
            plate(item("brown bread", 40.0, "Bread, rye"), at=NOON - 6 * HOUR),
            plate(item("rye", 40.0, "Bread, rye"), item("butter", 0.0)),
            plate(item("brown bread", 40.0, "Bread, rye"), at=NOON + 6 * HOUR),
        )
        read_around(tx, NOON - 6 * HOUR, NOON, NOON + 6 * HOUR)
        found = look(tx)
    assert [len(row.eaten) for row in found.rows] == [1, 2, 1]
    assert found.names == {"Bread, rye": "brown bread", "butter": "butter"}
    assert found.said["Bread, rye"] == {"brown bread", "rye"}
    first, second, _ = found.rows
    assert (first.before_carbs, first.before_min) == (0.0, 0.0)
    assert (second.before_carbs, second.before_min) == (40.0, 360.0)
    assert second.eaten[0].grams_low == pytest.approx(90.0)
    assert second.area > 20
    assert {row.sensor for row in found.rows} == {1}


def test_curves_that_are_not_their_own_and_unknown_foods_are_left_out_with_the_reason(store: Store) -> None:
    with store.begin() as tx:
        tx.people.ensure("local", zone="Europe/Vienna", unit="mmol/L", at=NOON)
        put(
            tx,
            Sensor("started", NOON - HOUR),
            plate(),
            plate(item("rice"), item("zorbo", None), at=NOON + 2 * DAY),
            plate(at=NOON + 3 * DAY),
        )
        read_around(tx, NOON, NOON + 2 * DAY)
        found = look(tx)
    assert found.rows == ()
    reasons = [why for _, why in found.left_out]
    assert reasons[0] == "it was the sensor's first day"
    assert reasons[1] == "what is in zorbo is not known"
    assert reasons[2]  # no readings


def test_a_food_without_an_amount_was_not_eaten(store: Store) -> None:
    with store.begin() as tx:
        tx.people.ensure("local", zone="Europe/Vienna", unit="mmol/L", at=NOON)
        nothing = item("butter", grams=0.0)
        put(tx, plate(item("rice"), nothing), plate(nothing, at=NOON + DAY))
        read_around(tx, NOON, NOON + DAY)
        found = look(tx)
    assert [[eaten.food for eaten in row.eaten] for row in found.rows] == [["rice"]]
    assert set(found.names) == {"rice"}
    assert [why for _, why in found.left_out] == ["no amount of its foods is noted"]
