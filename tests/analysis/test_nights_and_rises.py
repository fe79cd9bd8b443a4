"""Dips of lying on the sensor, and rises that no logged meal explains."""

import numpy as np
import pytest

from analysis.nights import find_night_dips
from analysis.rises import find_unexplained_rises
from tests.analysis.frames_of import instant, meals, readings, sleep

H = 60
DAY = 1440
MINUTES = np.arange(0, 2 * DAY, 5.0)


def flat(seed=1):
    return 5 + np.random.default_rng(seed).normal(0, 0.1, MINUTES.size)


def press(mmol, start, minutes, depth, ramp=0):
    """Lower the trace by `depth`, with sides that take `ramp` minutes."""
    corners = [start - ramp - 1e-6, start, start + minutes, start + minutes + ramp + 1e-6]
    return mmol - np.interp(MINUTES, corners, [0, depth, depth, 0])


@pytest.mark.parametrize("every", [1, 3], ids=["5 min", "15 min"])
def test_a_dip_of_pressure_is_marked(every):
    mmol = press(flat(), DAY + 2 * H, 45, 2.0)
    (dip,) = find_night_dips(readings(MINUTES, mmol)[::every].sample(frac=1, random_state=3))
    assert (dip.from_at, dip.to_at) == (instant(DAY + 2 * H), instant(DAY + 2 * H + 45))
    assert dip.depth_mmol == pytest.approx(2.0, abs=0.4)
    assert dip.lowest_mmol == pytest.approx(3.0, abs=0.4)


@pytest.mark.parametrize(
    ("start", "minutes", "depth", "ramp"),
    [
        (DAY + 14 * H, 45, 2.0, 0),  # by day
        (DAY + 2 * H, 45, 0.7, 0),  # shallow
        (DAY + 2 * H, 45, 2.0, 60),  # slow
        (DAY + 2 * H, 190, 2.0, 0),  # long
    ],
)
def test_other_dips_are_not(start, minutes, depth, ramp):
    assert find_night_dips(readings(MINUTES, press(flat(), start, minutes, depth, ramp))) == ()


def test_sleep_says_when_it_is_night():
    by_day = press(flat(), DAY + 11 * H, 40, 2.0)
    slept = sleep((DAY + 8 * H, DAY + 15 * H))
    assert len(find_night_dips(readings(MINUTES, by_day), sleep=slept)) == 1
    awake = press(flat(), DAY + 4 * H, 40, 2.0)
    assert find_night_dips(readings(MINUTES, awake), sleep=slept) == ()
    assert len(find_night_dips(readings(MINUTES, press(flat(), H, 40, 2.0)), sleep=slept)) == 1


def test_around_a_bite_it_need_not_be_night():
    by_day = readings(MINUTES, press(flat(), DAY + 14 * H, 150, 2.0))
    ends = DAY + 16 * H + 30
    for minute, found in ((ends + 100, 1), (ends - 10, 1), (DAY + 14 * H - 10, 1), (ends + 130, 0), (600, 0)):
        assert len(find_night_dips(by_day, bites=[instant(minute), instant(300)])) == found


def test_a_fall_from_a_peak_to_the_usual_level_is_none():
    peak = rise(flat(), DAY + 12 * H, 4, top=30)
    then = np.where(MINUTES > DAY + 13 * H, np.where(MINUTES < DAY + 14 * H, 5.0, 7.5), peak)
    assert (
        find_night_dips(readings(MINUTES, then), bites=[instant(DAY + 12 * H), instant(DAY + 14 * H)]) == ()
    )


def test_holes_and_ends_are_no_dips():
    mmol = press(flat(), DAY + 2 * H, 45, 2.0)
    frame = readings(MINUTES, mmol)
    hole = frame[(MINUTES < DAY + H) | (MINUTES >= DAY + 2 * H)]
    assert find_night_dips(hole) == ()
    assert find_night_dips(frame[MINUTES <= DAY + 2 * H + 30]) == ()
    assert find_night_dips(readings([], [])) == ()


def test_quiet_nights_have_none():
    found = [find_night_dips(readings(MINUTES, flat(seed))) for seed in range(30)]
    assert sum(map(len, found)) == 0


def rise(mmol, start, height, top=40):
    x = np.clip(MINUTES - start, 0, None) / top
    return mmol + height * (x * np.exp(1 - x)) ** 2


def test_a_rise_without_a_meal():
    mmol = rise(rise(flat(), 8 * H, 3), 16 * H, 3)
    (found,) = find_unexplained_rises(readings(MINUTES, mmol), meals((8 * H - 10, "breakfast", 50)))
    assert (found.at - instant(16 * H)).total_seconds() / 60 == pytest.approx(5, abs=15)
    assert (found.top_at - instant(16 * H + 40)).total_seconds() / 60 == pytest.approx(0, abs=15)
    assert found.rise_mmol == pytest.approx(3, abs=0.4)
    assert found.from_mmol == pytest.approx(5, abs=0.4)


@pytest.mark.parametrize(
    ("bite", "explains"), [(-45, True), (0, True), (30, True), (-90, False), (90, False)]
)
def test_which_meals_explain(bite, explains):
    frame = readings(MINUTES, rise(5 + 0 * MINUTES, 16 * H, 3))
    assert (find_unexplained_rises(frame, meals((16 * H + bite, "snack", 20))) == ()) is explains


def test_what_is_no_rise():
    none = meals()
    assert find_unexplained_rises(readings(MINUTES, flat()), none) == ()
    assert find_unexplained_rises(readings(MINUTES, rise(flat(), 16 * H, 0.9)), none) == ()
    slow = 5 + np.interp(MINUTES, [4 * H, 8 * H], [0, 2.5])
    assert find_unexplained_rises(readings(MINUTES, slow), none) == ()
    frame = readings(MINUTES, rise(flat(), 16 * H, 3))
    hole = frame[(MINUTES < 16 * H) | (MINUTES > 16 * H + 60)]
    assert find_unexplained_rises(hole, none) == ()
    assert find_unexplained_rises(readings([], []), none) == ()


def test_the_end_of_a_night_dip_is_no_rise():
    frame = readings(MINUTES, press(flat(), DAY + 2 * H, 45, 2.5))
    dips = find_night_dips(frame)
    assert len(dips) == 1
    assert len(find_unexplained_rises(frame, meals())) == 1
    assert find_unexplained_rises(frame, meals(), dips=dips) == ()
