"""A simulated person's weeks as stored: meals, walks, nights, and readings of known responses."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta

import numpy as np

from bot.app import App
from bot.model.clock import SettableClock
from bot.model.entries import Activity, Extra, Item, Meal, Nutrients, Reading, Sensor, Sleep
from bot.store import Store
from tests.simulated.days import draw_shape
from tests.simulated.meals import hump, noise
from tests.talk import Talk

FIRST = datetime(2026, 3, 2, tzinfo=UTC)
PLATES = (("oats", "banana"), ("white rice", "lentils"), ("rye bread", "butter"), ("white rice", "chicken"))
PER_100_G = {
    "oats": (60.0, 7.0, 10.0), "banana": (20.0, 0.3, 2.6), "white rice": (28.0, 0.3, 0.4),
    "lentils": (13.0, 0.5, 7.0), "rye bread": (43.0, 2.0, 6.0), "butter": (0.0, 81.0, 0.0),
    "chicken": (0.0, 3.5, 0.0), "pear": (12.0, 0.1, 3.0),
}  # fmt: skip
"""Carbohydrate, fat and fibre (g)."""
PORTION_G = {
    "oats": 60.0, "banana": 110.0, "white rice": 180.0, "lentils": 150.0, "rye bread": 80.0,
    "butter": 12.0, "chicken": 120.0, "pear": 130.0,
}  # fmt: skip
A_GRAM = {"white rice": 2.6, "lentils": 1.0}
"""What a gram of carbohydrate does (mmol/L·min), where it is not `USUAL`."""
USUAL, WALK = 1.6, 0.7
EVERY_MIN = 5


@contextmanager
def talk_after_weeks(days: int = 28) -> Iterator[Talk]:
    """Open the chat of that person on the morning after some weeks."""
    clock = SettableClock(FIRST + timedelta(days=days, hours=9))
    app = App("sqlite://", zone="UTC", unit="mmol/L", clock=clock)
    log_weeks(app.store, days)
    try:
        yield Talk(app, clock)
    finally:
        app.close()


def log_weeks(store: Store, days: int = 28, *, person: str = "local", seed: int = 1) -> None:
    """Store some weeks: oats always with banana, walks after a third of the meals, vinegar, nights."""
    rng = np.random.default_rng(seed)
    minutes = np.arange(0, 1440 * days, EVERY_MIN)
    mmol = 5.2 + noise(rng, minutes.size)
    with store.begin() as tx:
        tx.people.ensure(person, zone="UTC", unit="mmol/L", at=FIRST)
        for day in range(days):
            start = FIRST + timedelta(days=day)
            key = {"message_id": None, "at": start}
            if day % 14 == 0:
                tx.log.add(person, Sensor("started", start), update_id=f"s{day}", ordinal=0, **key)
            slept = start - timedelta(hours=float(rng.uniform(0.5, 2.5)))
            night = Sleep(slept, start + timedelta(hours=6))
            tx.log.add(person, night, update_id=f"n{day}", ordinal=0, **key)
            for k, (hour, slot) in enumerate(((7, "breakfast"), (12, "lunch"), (18, "dinner"))):
                foods = list(PLATES[0] if k == 0 and day % 2 else PLATES[int(rng.integers(1, 4))])
                if rng.random() < 0.2:
                    foods.append("pear")
                grams = {food: PORTION_G[food] * float(np.exp(rng.normal(0, 0.2))) for food in foods}
                bite = start + timedelta(hours=hour)
                extras = (Extra("vinegar", 15.0),) if rng.random() < 0.2 else ()
                meal = Meal(bite, slot, tuple(_item(f, g) for f, g in grams.items()), extras)  # type: ignore[arg-type]
                tx.log.add(person, meal, update_id=f"m{day}-{k}", ordinal=0, **key)
                area = sum(PER_100_G[f][0] * g / 100 * A_GRAM.get(f, USUAL) for f, g in grams.items())
                if rng.random() < 1 / 3:
                    walk = Activity("walk", 20.0, bite + timedelta(minutes=15))
                    tx.log.add(person, walk, update_id=f"m{day}-{k}", ordinal=1, **key)
                    area *= WALK
                area *= float(rng.gamma(16, 1 / 16))  # CV 25 %
                mmol += hump(minutes - (1440.0 * day + 60 * hour), area, *draw_shape(rng))
        readings = [
            Reading(float(v), FIRST + timedelta(minutes=int(m))) for m, v in zip(minutes, mmol, strict=True)
        ]
        tx.readings.add(person, readings, source="file", at=FIRST, update_id="all")


def _item(food: str, grams: float) -> Item:
    carbs, fat, fibre = (grams / 100 * held for held in PER_100_G[food])
    held = Nutrients(carbs_g=carbs, fat_g=fat, fibre_g=fibre)
    return Item(food, food, f"{food}, as in the table", grams, 0.9 * grams, 1.1 * grams, True, 1.0, held)
