"""What a reminder says will be lost is what a sensor loses, and what the analysis then finds missing."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.wear import describe_wear
from bot.reminders.rules import expected_loss_min
from tests.analysis.frames_of import instant, readings, sensors, syncs

H = 60
DAY = 1440


@given(st.integers(0, 2000), st.integers(0, 3000), st.integers(1, 12))
def test_forecast_is_what_a_memory_of_that_length_loses(last, later, memory_h):
    """Against a sensor played minute by minute, which keeps what is at most its memory old."""
    sync = last + later
    lost = sum(1 for minute in range(last + 1, sync + 1) if sync - minute >= memory_h * 60)
    assert expected_loss_min(instant(last), instant(sync), 60 * memory_h) == lost


def test_the_forecast_and_the_gap_agree():
    """Asleep from 22:45 to 7:30: 45 min are forecast, and that is the gap found, to one reading."""
    asleep, awake = 22 * H + 45, DAY + 7 * H + 30
    forecast = expected_loss_min(instant(asleep), instant(awake), 8 * H)
    kept = [m for m in range(0, awake + 1, 5) if m <= asleep or m >= awake - 8 * H]
    frame = readings(kept, np.full(len(kept), 5.0))
    often = syncs(*range(0, asleep, 6 * H), asleep, awake)
    (wear,) = describe_wear(frame, sensors((0, None)), often, until=instant(awake))
    ((reason, minutes),) = [(gap.reason, gap.minutes) for gap in wear.gaps]
    assert (reason, minutes) == ("lapsed memory", pytest.approx(forecast, abs=5))
