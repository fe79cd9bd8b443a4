"""Dips of lying on the sensor, on days simulated by other rules than theirs."""

import numpy as np
import pandas as pd
import pytest

from analysis.columns import ACTIVITIES, READINGS
from analysis.fasting import describe_fasting
from analysis.flags import DIP, UNFIT
from analysis.nights import NightDip, find_night_dips
from analysis.servings import build_servings
from tests.analysis.frames_of import instant, meals, readings
from tests.simulated.meals import hump, noise
from tests.simulated.pressed import Day, clean, press, press_before

MOVES = pd.DataFrame(columns=list(ACTIVITIES)).astype(ACTIVITIES)
BITE = 7 * 60 + 30.0


def oats(every=5.0, days=1, seed=4):
    """The same breakfast on each of some days."""
    rng = np.random.default_rng(seed)
    minutes = np.arange(0, days * 1440 + 720.0, every)
    mmol = 5.2 + noise(rng, minutes.size, sd=0.1)
    for day in range(days):
        mmol = mmol + hump(minutes - BITE - 1440 * day, 110, 45)
    return Day(minutes, mmol, tuple(BITE + 1440 * d for d in range(days)), ())


def serve(day, *, known=True):
    frame = readings(day.minutes, day.mmol)
    dips = find_night_dips(frame, bites=[instant(b) for b in day.bites]) if known else ()
    eaten = meals(*((b, "breakfast", 50) for b in day.bites))
    return build_servings(eaten, frame, MOVES, dips=dips)


@pytest.mark.parametrize("every", [5.0, 15.0])
@pytest.mark.parametrize("ends", [40, 20, 5, 0, -10])
def test_a_dip_before_breakfast_costs_no_points(ends, every):
    rng = np.random.default_rng(7)
    day = oats(every)
    pressed = press_before(rng, day, BITE, ends, 90, share=0.4)
    (plain,), (lain,), (unseen,) = serve(day), serve(pressed), serve(pressed, known=False)
    assert lain.evenness.score == pytest.approx(plain.evenness.score, abs=5)
    touched = ends <= 30
    assert (DIP in lain.curve.flags) is touched
    assert plain.curve.flags == ()
    if ends <= 5:
        assert unseen.evenness.score < plain.evenness.score - 12
        assert lain.pressed
        assert all(minute <= 15 and mmol < 5 for minute, mmol in lain.pressed)
        assert not set(lain.minutes) & {minute for minute, _ in lain.pressed}


def test_a_dip_within_the_two_hours():
    """Half an hour is bridged; an hour is not known, and the reason is said."""
    rng = np.random.default_rng(8)
    day = oats()
    short, long = (press(rng, day, BITE + 65, minutes, share=0.4) for minutes in (30.0, 50.0))
    dips = [NightDip(instant(BITE + 65), instant(BITE + 65 + minutes), 2.0, 3.0) for minutes in (30, 50)]
    (plain,) = serve(day)
    eaten = meals((BITE, "breakfast", 50))
    (one,) = build_servings(eaten, readings(day.minutes, short.mmol), MOVES, dips=dips[:1])
    assert one.evenness.score == pytest.approx(plain.evenness.score, abs=5)
    assert DIP in one.curve.flags
    (two,) = build_servings(eaten, readings(day.minutes, long.mmol), MOVES, dips=dips[1:])
    assert two.curve is None
    assert two.why_not.startswith("no readings from 6")
    assert two.why_not.endswith(f"({UNFIT[DIP]})")


def test_a_low_limit_within_a_dip_refuses_no_curve():
    day = press_before(np.random.default_rng(9), oats(), BITE, -10, 60, share=0.6)
    lo = day.mmol < 2.5
    assert lo.any()
    frame = readings(day.minutes, np.where(lo, np.nan, day.mmol), np.where(lo, "low limit", ""))
    dips = find_night_dips(frame, bites=[instant(BITE)])
    (serving,) = build_servings(meals((BITE, "breakfast", 50)), frame, MOVES, dips=dips)
    assert serving.curve is not None
    assert serving.limits == ()


def test_fasting_leaves_a_dip_out():
    rng = np.random.default_rng(10)
    day = oats(days=5)
    clean_frame = readings(day.minutes, day.mmol)
    for start in (BITE + 1440 - 90, BITE + 2880 - 60):
        day = press(rng, day, start, 75 if start < 2880 else 70, share=0.4)
    frame = readings(day.minutes, day.mmol)
    eaten = meals(*((b, "breakfast", 50) for b in day.bites))
    dips = find_night_dips(frame, bites=[instant(b) for b in day.bites])
    assert len(dips) == 2
    plain, kept, unseen = (
        describe_fasting(f, eaten, dips=d) for f, d in ((clean_frame, ()), (frame, dips), (frame, ()))
    )
    assert kept.mean_mmol == pytest.approx(plain.mean_mmol, abs=0.1)
    assert unseen.mean_mmol < plain.mean_mmol - 0.3
    (why,) = kept.left_out.values()
    assert why.startswith(UNFIT[DIP])


@pytest.mark.parametrize("every", [5.0, 15.0])
def test_clean_days_have_none_and_pressed_days_do(every):
    """Falls after meals, undershoot and exercise are no dips; figures in the bench conclusions_dips."""
    rng = np.random.default_rng(11)
    false = hits = 0
    for _ in range(25):
        day = clean(rng, every=every)
        bites = [instant(b) for b in day.bites]
        false += len(find_night_dips(readings(day.minutes, day.mmol), bites=bites))
        bite = next(b for b in day.bites if b > 1440)
        day = press_before(rng, day, bite, float(rng.integers(-10, 60)), float(rng.integers(30, 170)))
        ((start, stop),) = day.pressed
        hits += any(
            dip.from_at < instant(round(stop)) and dip.to_at > instant(round(start))
            for dip in find_night_dips(readings(day.minutes, day.mmol), bites=bites)
        )
    assert false <= 2
    assert hits >= 21


def test_an_empty_frame_has_no_servings():
    frame = readings([], []).astype(READINGS)
    (serving,) = build_servings(meals((BITE, "breakfast", 50)), frame, MOVES)
    assert (serving.curve, serving.pressed) == (None, ())
