"""One local day as its picture takes it."""

from collections.abc import Iterator
from datetime import datetime, timedelta

import pytest

from analysis.results import DayTrace
from bot.frames.one_day import trace_day
from bot.frames.servings import serving_of
from tests.talk import MORNING, VIENNA, Talk, readings_csv, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


def trace(talk: Talk, day: int = 0) -> DayTrace:
    since = datetime(2026, 3, 2 + day, tzinfo=VIENNA)
    with talk.app.store.read() as tx:
        person = tx.people.get(talk.person)
        assert person is not None
        return trace_day(tx, person, since, min(since + timedelta(days=1), talk.app.clock.now()))


def test_everything_stands_at_its_minute(talk: Talk) -> None:
    talk.at("07:00").say("slept 23:00 to 6:15")
    talk.say("new sensor on, left arm")
    talk.at("07:30").say("60 g oats at 7:30")
    talk.at("08:00").say("walked 20 min at 7:40")
    talk.at("10:30").file(readings_csv(MORNING, [5.0, 5.5, 6.0] * 14))
    found = trace(talk)
    assert found.day_on == MORNING.date()
    assert (found.minutes[0], found.minutes[-1], found.minutes.size) == (420.0, 625.0, 42)
    assert found.mmol[:3].tolist() == [5.0, 5.5, 6.0]
    ((minute, title, slot, score),) = found.meals
    assert (minute, title, slot) == (450.0, "oats", "breakfast")
    assert score is not None
    assert found.activities == ((460.0, 20.0, "walk"),)
    assert found.sleeps == ((0.0, 375.0),)
    assert found.syncs == (625.0,)
    assert found.sensor_changes == (420.0,)
    assert found.gaps == ()  # the night before the sensor was put on is none


def test_a_night_that_goes_on_ends_with_the_day(talk: Talk) -> None:
    talk.at("08:00", days=1).say("slept 22:30 to 6:00")
    talk.at("08:00", days=2)
    assert trace(talk).sleeps == ((1350.0, 1440.0),)
    assert trace(talk, day=1).sleeps == ((0.0, 360.0),)
    empty = trace(talk, day=2)
    assert (empty.minutes.size, empty.sleeps, empty.meals, empty.gaps) == (0, (), (), ())


def test_the_hour_that_comes_twice_is_one_line() -> None:
    midnight = datetime(2026, 10, 25, tzinfo=VIENNA)
    with talking(start=midnight + timedelta(days=1)) as talk:
        rows = ["time,glucose mmol/L"]
        for step in range(25 * 12):
            at = datetime.fromtimestamp(midnight.timestamp() + 300 * step, tz=VIENNA)
            rows.append(f"{at.isoformat()},{5 + (at.fold == 1):.1f}")
        talk.file("\n".join(rows))
        with talk.app.store.read() as tx:
            person = tx.people.get("local")
            assert person is not None
            found = trace_day(tx, person, midnight, datetime(2026, 10, 26, tzinfo=VIENNA))
    assert found.minutes.tolist() == [5.0 * k for k in range(288)]
    assert found.mmol[found.minutes == 150].tolist() == [5.5]


def test_typed_readings_beside_a_sensors_go_with_the_serving(talk: Talk) -> None:
    talk.at("07:30").say("60 g oats at 7:30")
    talk.at("08:05").say("6.4 at 8:02")
    talk.at("10:30").file(readings_csv(MORNING, [5.0] * 40))
    (meal,) = talk.meals()
    with talk.app.store.read() as tx:
        person = tx.people.get(talk.person)
        assert person is not None
        serving, _ = serving_of(tx, person, meal)
    assert serving.pricks == ((32.0, 6.4),)
    assert 6.4 not in serving.mmol.tolist()
