from dataclasses import replace
from datetime import UTC, datetime

import pytest

from bot.model.amending import CannotAmend, amend
from bot.model.entries import Activity, Correction, Extra, Item, Meal, Nutrients, Sync

AT = datetime(2026, 3, 2, 7, 10, tzinfo=UTC)


def item(name: str, grams: float, *, stated: bool = True, carbs: float | None = 0.5) -> Item:
    nutrients = None if carbs is None else Nutrients(carbs_g=carbs * grams)
    return Item(name, name, name.title(), grams, grams * 0.9, grams * 1.1, stated, 1.0, nutrients)


MEAL = Meal(AT, "lunch", (item("brown rice", 350, carbs=0.25), item("butter", 10, carbs=0.0)))


def test_a_new_amount_keeps_the_food_and_scales_its_nutrients() -> None:
    after = amend(MEAL, Correction("amount", (item("rice", 150, carbs=0.28),)))
    assert isinstance(after, Meal)
    rice = after.items[0]
    assert (rice.name, rice.grams, rice.food) == ("brown rice", 150, "Brown Rice")
    assert rice.nutrients is not None
    assert rice.nutrients.carbs_g == pytest.approx(150 * 0.25)
    assert after.items[1] == MEAL.items[1]


def test_another_food_with_its_amount_takes_the_place_of_the_old() -> None:
    wild = item("wild rice", 150, carbs=0.2)
    after = amend(MEAL, Correction("amount", (wild,)))
    assert isinstance(after, Meal)
    assert after.items == (wild, MEAL.items[1])


def test_another_food_without_amount_keeps_the_amount() -> None:
    after = amend(MEAL, Correction("amount", (item("wild rice", 180, stated=False, carbs=0.2),)))
    assert isinstance(after, Meal)
    rice = after.items[0]
    assert (rice.name, rice.grams) == ("wild rice", 350)
    assert rice.nutrients is not None
    assert rice.nutrients.carbs_g == pytest.approx(350 * 0.2)


def test_removing_adding_moving() -> None:
    without = amend(MEAL, Correction("remove", (item("butter", 0, stated=False),)))
    assert isinstance(without, Meal)
    assert [i.name for i in without.items] == ["brown rice"]
    more = amend(MEAL, Correction("add", (item("banana", 118),)))
    assert isinstance(more, Meal)
    assert [i.name for i in more.items] == ["brown rice", "butter", "banana"]
    assert amend(MEAL, Correction("slot", slot="dinner")) == replace(MEAL, slot="dinner")
    later = AT.replace(hour=8)
    assert amend(MEAL, Correction("time", at=later)) == replace(MEAL, at=later, timed="stated")
    walk = Activity("walk", 20, AT)
    assert amend(walk, Correction("time", at=later)) == replace(walk, at=later, timed="stated")
    assert amend(walk, Correction("amount", minutes=35.0)) == replace(walk, minutes=35.0)


@pytest.mark.parametrize(
    ("entry", "correction", "says"),
    [
        (
            MEAL,
            Correction("amount", (item("soup", 300),)),
            "no soup in that lunch (brown rice, butter). Say “add soup",
        ),
        (MEAL, Correction("remove", (item("soup", 300),)), "no soup in that lunch"),
        (Meal(AT, "snack", (item("apple", 150),)), Correction("remove", (item("apple", 1),)), "say “undo”"),
        (Sync(AT), Correction("slot", slot="dinner"), "no meal was noted"),
        (MEAL, Correction("time"), "I did not get the time"),
        (MEAL, Correction("amount", minutes=35.0), "no movement was noted"),
    ],
)
def test_what_does_not_fit_is_refused_in_words(entry: Meal, correction: Correction, says: str) -> None:
    with pytest.raises(CannotAmend) as error:
        amend(entry, correction)
    assert says in str(error.value)


def test_the_last_food_may_go_where_an_extra_stays() -> None:
    meal = Meal(AT, "snack", (item("apple", 150),), extras=(Extra("vinegar", 10),))
    after = amend(meal, Correction("remove", (item("apple", 1),)))
    assert isinstance(after, Meal)
    assert after.items == ()
