"""Fasting values: which readings, which days, and sensors as breaks. The trend itself: test_trend."""

import numpy as np
import pytest

from analysis.errors import InsufficientData
from analysis.fasting import describe_fasting, find_fasting_days
from tests.analysis.frames_of import instant, meals, readings, sensors, sleep

H = 60
DAY = 1440


def run(days, morning):
    """Breakfast at 7:00 and dinner at 19:00; readings of the morning hour at `morning(day)`."""
    rows = [(DAY * d + m, s, 40) for d in range(days) for m, s in ((7 * H, "breakfast"), (19 * H, "dinner"))]
    minutes = np.array([DAY * d + m for d in range(days) for m in range(6 * H, 9 * H, 5)], float)
    mmol = [morning(int(m // DAY)) + (3 if m % DAY > 7 * H else 0) for m in minutes]
    return readings(minutes, mmol), meals(*rows)


def test_the_half_hour_before_the_first_meal():
    frame, eaten = run(3, lambda day: 5.0 + 0.1 * day)
    fasting = describe_fasting(frame, eaten)
    assert [v.mmol for v in fasting.values] == pytest.approx([5.0, 5.1, 5.2])
    assert [v.n for v in fasting.values] == [7, 7, 7]
    assert fasting.values[1].at == instant(DAY + 7 * H)
    assert (fasting.mean_mmol, fasting.sd_mmol) == (pytest.approx(5.1), pytest.approx(0.1))
    assert fasting.days == 3
    assert fasting.trend is None
    assert fasting.left_out == {}


def test_days_without_a_fast_or_without_readings_are_left_out_and_say_why():
    minutes = np.arange(0, 4 * DAY, 5.0)
    frame = readings(minutes, 0 * minutes + 5)
    frame = frame[~frame["minute"].between(360, 480) | (frame["day_on"].dt.day != 4)]
    rows = [(7 * H, "breakfast", 40), (23.5 * H, "snack", 20), (DAY + 7 * H, "breakfast", 40)]
    rows += [(DAY + 18 * H, "dinner", 50), (2 * DAY + 7 * H, "breakfast", 40), (3 * DAY + 2 * H, "drink", 0)]
    rows += [(3 * DAY + 7 * H, "breakfast", 40), (3 * DAY + 19 * H, "dinner", 40)]
    values, left_out = find_fasting_days(frame, meals(*rows))
    assert [v.day_on.day for v in values] == [2, 5]
    assert {day.day: why for day, why in left_out.items()} == {
        3: "a meal less than 8 h before the first",
        4: "no readings in the 30 min before first meal",
    }


def test_a_shift_worker_and_waking():
    """Asleep 8:00 to 15:00 after a night; the first meal of that day, at 16:00, follows 9 hours without."""
    minutes = np.arange(0, 2 * DAY, 5.0)
    frame = readings(minutes, 5 + minutes / DAY)
    eaten = meals((7 * H, "dinner", 50), (16 * H, "breakfast", 50), (DAY + 7 * H, "dinner", 40))
    values, _ = find_fasting_days(frame, eaten, sleep=sleep((8 * H, 15 * H)))
    assert [(v.day_on.day, v.from_what) for v in values] == [(2, "first meal"), (3, "first meal")]
    only_sleep = meals((20 * H, "dinner", 50))
    values, _ = find_fasting_days(frame, only_sleep, sleep=sleep((DAY - 60, DAY + 6 * H)))
    woke = values[-1]
    assert (woke.day_on.day, woke.from_what, woke.at) == (3, "waking", instant(DAY + 6 * H))
    _, left_out = find_fasting_days(frame, only_sleep, sleep=sleep((22 * H, DAY + 2 * H)))
    assert list(left_out.values()) == ["a meal less than 8 h before"]


def test_too_few_days():
    with pytest.raises(InsufficientData) as caught:
        describe_fasting(*run(2, lambda day: 5.0 + day))
    assert (caught.value.have, caught.value.need, caught.value.estimate) == (2, 3, pytest.approx(5.5))
    with pytest.raises(InsufficientData) as caught:
        describe_fasting(readings([], []), meals())
    assert caught.value.estimate is None


def test_a_trend_by_the_week():
    fasting = describe_fasting(*run(14, lambda day: 5.0 + 0.07 * day + 0.05 * (day % 2)))
    assert fasting.trend.low > 0
    assert fasting.trend.estimate == pytest.approx(0.49, abs=0.08)
    assert fasting.trend.one_sensor


def test_a_sensor_change_is_no_trend():
    """The second sensor reads 1.0 higher: with the change known there is no trend; unnoted, it is found."""
    frame, eaten = run(16, lambda day: 5.0 + (day >= 8) + 0.1 * (day % 3))
    known = describe_fasting(frame, eaten, sensors=sensors((0, 8 * DAY), (8 * DAY + 1, None)))
    assert known.trend.low < 0 < known.trend.high
    assert [day.day for day in known.sensor_changes] == [10]
    assert [v.sensor for v in known.values] == [1] * 8 + [2] * 8
    assert [level.mean for level in known.slope.levels] == [
        pytest.approx(5.09, abs=0.15),
        pytest.approx(6.09, abs=0.15),
    ]
    assert known.stepped_on is None
    assert known.sd_mmol < 0.12
    unnoted = describe_fasting(frame, eaten)
    assert unnoted.trend.low < 0 < unnoted.trend.high
    assert unnoted.stepped_on.day == 10
