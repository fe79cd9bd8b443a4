"""How long a person waits: for the reply to a meal, for a curve, and from start to the first reply."""

import os
import subprocess
import sys
from collections.abc import Iterator
from datetime import timedelta
from itertools import count
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from bot.model.entries import Reading
from tests.simulate import rises_of, trace
from tests.talk import MORNING, Talk, talking

NOTES = (
    "porridge with 60 g oats, 200 ml milk and a banana",
    "250 g cooked rice with 120 g grilled chicken and 100 g broccoli",
    "lentil soup and a slice of sourdough bread",
    "2 boiled eggs, a slice of rye toast with butter and a tomato",
)
HOURS = ("07:00", "12:30", "18:30")
DAYS = 28


@pytest.fixture(scope="module")
def month(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Talk]:
    """A talk with a month behind it: 84 meals, 8,064 readings, in an SQLite file."""
    import random

    url = f"sqlite:///{tmp_path_factory.mktemp('month') / 'month.db'}"
    with talking(url) as talk:
        kinds = iter(NOTES * DAYS)
        for day in range(DAYS):
            for hour in HOURS:
                talk.at(hour, days=day).say(next(kinds))
        rng = random.Random(1)
        meals = [logged.entry for logged in talk.meals()]
        end = MORNING + timedelta(days=DAYS)
        rows = trace(rises_of(meals, [], rng), MORNING, end, rng)[: DAYS * 288]
        with talk.app.store.begin() as tx:
            readings = [Reading(mmol, at) for at, mmol in rows]
            tx.readings.add("local", readings, source="file", at=end, update_id="month")
        talk.clock.move_to(end)
        yield talk


def test_answer_with_a_curve(month: Talk, benchmark: BenchmarkFixture) -> None:
    """The words of the answer; the picture's own time is in test_pictures.py."""
    said = benchmark(lambda: month.say("how was my last lunch?"))
    assert "evenness" in said


def test_best_and_worst_of_the_week(month: Talk, benchmark: BenchmarkFixture) -> None:
    said = benchmark(lambda: month.say("best and worst this week"))
    assert "Most even" in said


def test_reply_to_a_logged_meal(month: Talk, benchmark: BenchmarkFixture) -> None:
    numbers = count()  # it moves the clock past the readings, so it comes after what needs them

    def move_on() -> None:
        month.clock.move_to(month.clock.now() + timedelta(hours=4))

    said = benchmark.pedantic(
        lambda: month.say(f"{50 + next(numbers) % 100} g oats, 200 ml milk and a pear"),
        setup=move_on,
        rounds=200,
    )
    assert "Noted" in said


def test_start_to_first_reply(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    """A process of its own: imports, opening a database in use, food table from its cache, one meal."""
    # Another meal each time: the same again within seconds may be a change, and is asked about.
    meals = iter(
        ("60 g oats", "a pear", "2 eggs", "30 g cheese", "an orange", "100 g rice", "tea", "50 g ham")
    )
    environment = {**os.environ, "TABLENOTE_DB": f"sqlite:///{tmp_path / 'a.db'}"}

    def talk() -> str:
        done = subprocess.run(
            [sys.executable, "-m", "bot", "chat"],
            input=f"{next(meals)}\n",
            capture_output=True,
            text=True,
            check=True,
            env=environment,
        )
        return done.stdout

    talk()  # the database and the cached food table exist afterwards, as on any but the first start
    assert "Noted" in benchmark.pedantic(talk, rounds=7)
