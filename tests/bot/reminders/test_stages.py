"""Where somebody is with their sensors, over a table of cases; a sensor lasts 14 days."""

from datetime import UTC, datetime, timedelta

import pytest

from bot.reminders.stages import Worn, find_stage, runs_of

FIRST = datetime(2026, 3, 2, 19, tzinfo=UTC)


def day(n: float) -> datetime:
    return FIRST + timedelta(days=n)


def worn(*spans: float | tuple[float, float]) -> list[Worn]:
    return [Worn(day(s[0]), day(s[1])) if isinstance(s, tuple) else Worn(day(s)) for s in spans]


@pytest.mark.parametrize(
    ("sensors", "synced", "newest", "now", "stage", "sensor", "runs"),
    [
        ([], None, None, 0, "before", 0, 0),
        ([], 0, 0, 1, "worn", 0, 0),  # nobody said that one was put on, but it is read
        ([], 0, 0, 3.1, "after", 0, 0),
        (worn(0), None, None, 0.1, "worn", 1, 1),
        (worn(0), 5, 5, 5.1, "worn", 1, 1),
        (worn(0), 5, 5, 8.1, "silent", 1, 1),
        (worn(0), None, None, 3.1, "silent", 1, 1),
        (worn(0), 12.9, 12.9, 13, "last day", 1, 1),
        (worn(0), 13.9, 13.9, 14.1, "between", 1, 1),
        (worn(0), 14.1, 14.0, 14.2, "between", 1, 1),  # emptied when it was over already
        (worn(0), 15, 15, 15.1, "worn", 1, 1),  # it lasts longer than was thought
        (worn(0), 15, 15, 18.1, "between", 1, 1),
        (worn(0), 13.9, 13.9, 21, "after", 1, 1),
        (worn((0, 5)), 5.1, 5, 5.2, "between", 1, 1),  # it came off, and was read out once more
        (worn((0, 5)), 6, 6, 6.1, "worn", 1, 1),  # said to be off, but readings go on
        (worn(0, 14), 14, 14, 14.2, "worn", 2, 1),  # the next one follows at once
        (worn(0, 20), 20, 20, 20.2, "worn", 2, 1),
        (worn(0, 14), 27.9, 27.9, 28.1, "over", 2, 1),
        (worn(0, (14, 26)), 25.9, 25.9, 26.1, "over", 2, 1),
        (worn(0, 14), 27.9, 27.9, 35.1, "after", 2, 1),
        (worn(0, 14, 200), 200, 200, 200.5, "worn", 1, 2),
        (worn(0, 14, 200), 213.9, 213.9, 214.1, "between", 1, 2),
        (worn(0, 14, 200, 214), 227.9, 227.9, 228.1, "over", 2, 2),
    ],
)
def test_the_stage(sensors, synced, newest, now, stage, sensor, runs):
    at = [None if n is None else day(n) for n in (synced, newest)]
    found = find_stage(sensors, at[0], at[1], day(now), 14)
    assert (found.stage, found.sensors, len(found.runs)) == (stage, sensor, runs)
    assert found.on == (stage in ("worn", "last day"))


def test_a_run_goes_on_over_a_week_without_a_sensor_and_no_longer():
    assert len(runs_of([day(0), day(21)], 14)) == 1
    assert len(runs_of([day(0), day(21.1)], 14)) == 2
    assert runs_of([], 14) == ()
