"""Wear: coverage, gaps and their reasons."""

from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.wear import describe_wear, find_times_without, share_covered
from tests.analysis.frames_of import instant, readings, sensors, syncs

H = 60
DAY = 1440


def told(gaps):
    return [(g.reason, round(g.minutes)) for g in gaps]


def test_a_day_with_a_late_sync():
    """Synced at 8:00 and, two hours too late, at 18:00: 8:00 to 10:00 is lost."""
    minutes = [*range(60, 8 * H + 1, 5), *range(10 * H, 18 * H + 1, 5)]
    frame = readings(minutes, 5 + 0 * np.array(minutes))
    (wear,) = describe_wear(frame, sensors((0, None)), syncs(8 * H, 18 * H), until=instant(18 * H + 5))
    assert told(wear.gaps) == [("warm-up", 60), ("lapsed memory", 115)]
    assert (wear.gaps[1].from_at, wear.gaps[1].to_at) == (instant(8 * H + 5), instant(10 * H))
    assert wear.n == len(minutes)
    assert wear.coverage == pytest.approx(5 * len(minutes) / (18 * H + 5))
    assert wear.ended_at is None
    assert wear.days == pytest.approx((18 * H + 5) / DAY)
    assert (wear.first_day_until, wear.first_day_n) == (instant(DAY), len(minutes))


def test_what_may_still_be_in_the_memory():
    frame = readings(range(0, 4 * H + 1, 5), np.full(49, 5.0))
    soon, late = (
        describe_wear(frame, sensors((0, None)), syncs(4 * H), until=instant(until))
        for until in (9 * H, 14 * H)
    )
    assert told(soon[0].gaps) == [("not read yet", 295)]
    assert told(late[0].gaps) == [("lapsed memory", 115), ("not read yet", 480)]


def test_other_gaps():
    minutes = [*range(0, 6 * H, 5), *range(7 * H, 8 * H + 1, 5)]
    frame = readings(minutes, np.full(len(minutes), 5.0))
    (wear,) = describe_wear(frame, sensors((0, 8 * H)), syncs(8 * H), until=instant(DAY))
    assert told(wear.gaps) == [("not known", 60)]
    assert wear.ended_at == instant(8 * H)
    # one missing reading of 5 min is a gap of 5 min only from 2.5 intervals on
    one = readings([0, 5, 15, 20], np.full(4, 5.0))
    assert describe_wear(one, sensors((0, 25)), syncs(25), until=instant(DAY))[0].gaps == ()


def test_two_sensors_and_the_time_between():
    minutes = [*range(0, DAY, 5), *range(2 * DAY, 3 * DAY, 5)]
    frame = readings(minutes, np.full(len(minutes), 5.0))
    worn = sensors((0, DAY), (2 * DAY, None))
    first, second = describe_wear(frame, worn, syncs(*range(0, 3 * DAY, 6 * H)), until=instant(3 * DAY))
    assert (first.n, second.n, first.coverage, second.coverage) == (288, 288, 1.0, 1.0)
    assert (first.gaps, second.gaps) == ((), ())
    assert told(find_times_without(worn, instant(-60), instant(3 * DAY))) == [
        ("no sensor", 60),
        ("no sensor", DAY),
    ]
    assert told(find_times_without(worn, instant(2 * DAY), instant(3 * DAY))) == []
    assert told(find_times_without(sensors(), instant(0), instant(60))) == [("no sensor", 60)]
    # never taken off in the log: worn until the next one
    assert describe_wear(frame, sensors((0, None), (DAY, None)), syncs(), until=instant(2 * DAY))[0].days == 1
    assert describe_wear(frame, sensors((9 * DAY, None)), syncs(), until=instant(DAY)) == ()


@given(st.sets(st.integers(0, 287)), st.sampled_from([5, 15]))
def test_share_covered(places, interval):
    minutes = sorted(interval * p for p in places)
    frame = readings([*minutes, *minutes], np.full(2 * len(minutes), 5.0))
    share = share_covered(frame["at"], instant(0), instant(288 * interval), interval)
    assert share == pytest.approx(len(places) / 288)
    assert share_covered(frame["at"], instant(0), instant(0) - timedelta(hours=1), interval) == 0


def test_what_was_not_read_out_when_a_sensor_came_off():
    """The last three hours may still be in it; what is synced afterwards is another sensor's."""
    frame = readings(list(range(0, 10 * H, 5)), np.full(10 * 12, 5.0))
    (wear,) = describe_wear(frame, sensors((0, 13 * H)), syncs(10 * H, 20 * H), until=instant(DAY))
    assert told(wear.gaps) == [("not read yet", 3 * H)]
    (wear,) = describe_wear(frame, sensors((0, 20 * H)), syncs(10 * H), until=instant(DAY))
    assert told(wear.gaps) == [("lapsed memory", 2 * H), ("not read yet", 8 * H)]
