"""Reminder rules over a table of cases and over random days.

The changes of the clocks are those of the IANA time zone database (package tzdata): Vienna 2026-03-29 02:00
to 03:00 and 2026-10-25 03:00 to 02:00; Lord Howe half an hour on 2026-04-05 and 2026-10-04; Cairo skips the
hour after midnight on 2026-04-24; Santiago on 2026-09-06. The rules themselves are ours: each expected
instant was worked out by hand.
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.reminders.rules import (
    ASK_APART,
    BEFORE_QUIET,
    NUDGE_APART,
    Quiet,
    check_due,
    expected_loss_min,
    first_instant,
    in_quiet,
    lapse_at,
    next_allowed,
    quiet_start_before,
    sync_due,
)

VIENNA, HOWE = ZoneInfo("Europe/Vienna"), ZoneInfo("Australia/Lord_Howe")
CAIRO, SANTIAGO = ZoneInfo("Africa/Cairo"), ZoneInfo("America/Santiago")
NIGHT = Quiet(time(22), time(7))
NONE = Quiet(time(0), time(0))
MEMORY, LEAD = 480, 30


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def local(text: str, zone: ZoneInfo = VIENNA) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=zone)


@pytest.mark.parametrize(
    ("at", "quiet", "expected"),
    [
        ("2026-03-02 21:59", NIGHT, False),
        ("2026-03-02 22:00", NIGHT, True),
        ("2026-03-03 03:00", NIGHT, True),
        ("2026-03-03 06:59", NIGHT, True),
        ("2026-03-03 07:00", NIGHT, False),
        ("2026-03-02 13:30", Quiet(time(13), time(14)), True),
        ("2026-03-02 14:00", Quiet(time(13), time(14)), False),
        ("2026-03-02 00:00", NONE, False),
        ("2026-03-02 12:00", Quiet(time(12), time(12)), False),
    ],
)
def test_in_quiet(at, quiet, expected):
    assert in_quiet(local(at), quiet, VIENNA) is expected


@pytest.mark.parametrize(
    ("zone", "quiet", "at", "expected"),
    [
        # an ordinary night, the spring night (an hour shorter) and the autumn night (an hour longer)
        (VIENNA, NIGHT, "2026-03-02 22:00", "2026-03-03 06:00"),
        (VIENNA, NIGHT, "2026-03-28 22:30", "2026-03-29 05:00"),
        (VIENNA, NIGHT, "2026-10-24 21:30", "2026-10-25 06:00"),
        # the end 02:30 does not exist: 03:00 CEST is the next minute that does
        (VIENNA, Quiet(time(22), time(2, 30)), "2026-03-29 00:50", "2026-03-29 01:00"),
        # the end 02:30 comes twice: the first counts, and the second time round it is quiet until the second
        (VIENNA, Quiet(time(22), time(2, 30)), "2026-10-25 00:10", "2026-10-25 00:30"),
        (VIENNA, Quiet(time(22), time(2, 30)), "2026-10-25 01:10", "2026-10-25 01:30"),
        # quiet from 02:30: the clock is put back to 02:00 before the end at 03:30, which is not quiet
        (VIENNA, Quiet(time(2, 30), time(3, 30)), "2026-10-25 00:40", "2026-10-25 01:00"),
        # Lord Howe goes from +11 to +10:30 at 15:00 UTC (02:00 becomes 01:30), and back at 15:30 UTC
        (HOWE, NIGHT, "2026-04-04 12:00", "2026-04-04 20:30"),
        (HOWE, Quiet(time(22), time(1, 45)), "2026-04-04 14:40", "2026-04-04 14:45"),
        (HOWE, Quiet(time(22), time(1, 45)), "2026-04-04 15:05", "2026-04-04 15:15"),
        (HOWE, Quiet(time(22), time(2, 15)), "2026-10-03 14:00", "2026-10-03 15:30"),
        # the first hour of the day does not exist
        (CAIRO, Quiet(time(22), time(0, 30)), "2026-04-23 21:50", "2026-04-23 22:00"),
        (CAIRO, Quiet(time(22), time(0)), "2026-04-23 20:00", "2026-04-23 22:00"),
        (SANTIAGO, Quiet(time(21), time(0, 15)), "2026-09-06 02:00", "2026-09-06 04:00"),
        # quiet but for one minute that the spring night skips: the next night has it
        (VIENNA, Quiet(time(3), time(2, 59)), "2026-03-28 12:00", "2026-03-30 00:59"),
        (VIENNA, NONE, "2026-03-02 23:00", "2026-03-02 23:00"),
        (VIENNA, NIGHT, "2026-03-03 12:00", "2026-03-03 12:00"),
    ],
)
def test_next_allowed(zone, quiet, at, expected):
    assert next_allowed(utc(at), quiet, zone) == utc(expected)


@pytest.mark.parametrize(
    ("zone", "quiet", "at", "expected"),
    [
        (VIENNA, NIGHT, "2026-03-03 05:59", "2026-03-02 21:00"),
        (VIENNA, NIGHT, "2026-03-02 21:00", "2026-03-02 21:00"),
        (VIENNA, NIGHT, "2026-03-29 04:00", "2026-03-28 21:00"),
        (VIENNA, NIGHT, "2026-10-25 05:00", "2026-10-24 20:00"),
        # the start 02:30 does not exist: quiet begins with 03:00 CEST
        (VIENNA, Quiet(time(2, 30), time(7)), "2026-03-29 03:00", "2026-03-29 01:00"),
        # the start 02:30 comes twice
        (VIENNA, Quiet(time(2, 30), time(7)), "2026-10-25 00:45", "2026-10-25 00:30"),
        (VIENNA, Quiet(time(2, 30), time(7)), "2026-10-25 03:00", "2026-10-25 01:30"),
        (CAIRO, Quiet(time(0, 15), time(6)), "2026-04-24 00:00", "2026-04-23 22:00"),
    ],
)
def test_quiet_start_before(zone, quiet, at, expected):
    assert quiet_start_before(utc(at), quiet, zone) == utc(expected)


def test_quiet_start_before_needs_a_quiet_instant():
    with pytest.raises(ValueError, match="not in the quiet hours"):
        quiet_start_before(utc("2026-03-02 12:00"), NIGHT, VIENNA)


@pytest.mark.parametrize(
    ("synced", "asked", "expected"),
    [
        # by day: half an hour before the eight hours are over
        ("2026-03-02 08:00", None, "2026-03-02 15:30"),
        # 22:30 would be quiet: ten minutes before quiet begins (21:59 is not)
        ("2026-03-02 15:00", None, "2026-03-02 21:50"),
        ("2026-03-02 14:29", None, "2026-03-02 21:59"),
        ("2026-03-02 14:30", None, "2026-03-02 21:50"),
        ("2026-03-02 14:20", None, "2026-03-02 21:50"),
        # synced an hour before: still asked; less than an hour: no sooner than an hour after
        ("2026-03-02 20:50", None, "2026-03-02 21:50"),
        ("2026-03-02 20:55", None, "2026-03-02 21:55"),
        # that hour would fall into the night: at its end
        ("2026-03-02 21:00", None, "2026-03-03 07:00"),
        ("2026-03-02 21:40", None, "2026-03-03 07:00"),
        # synced in the night
        ("2026-03-02 23:15", None, "2026-03-03 07:00"),
        ("2026-03-03 02:00", None, "2026-03-03 09:30"),
        # asked and not answered: once more at the deadline
        ("2026-03-02 08:00", "2026-03-02 15:30", "2026-03-02 16:00"),
        # that ask counts like a sync, so that the next comes in time and not at once
        ("2026-03-02 08:00", "2026-03-02 16:00", "2026-03-02 21:50"),
        # asked a moment before the deadline: that was it
        ("2026-03-02 08:00", "2026-03-02 15:50", "2026-03-02 21:50"),
        # asked long before bedtime, the deadline in the night: at bedtime again, then in the morning
        ("2026-03-02 14:30", "2026-03-02 20:30", "2026-03-02 21:50"),
        ("2026-03-02 14:30", "2026-03-02 21:50", "2026-03-03 07:00"),
        # 21:45 would do, but the memory holds until bedtime: there it saves five minutes more
        ("2026-03-02 14:15", None, "2026-03-02 21:50"),
        # here the memory would be over before bedtime
        ("2026-03-02 13:25", None, "2026-03-02 20:55"),
        ("2026-03-02 15:00", "2026-03-02 21:50", "2026-03-03 07:00"),
        # synced after the ask
        ("2026-03-02 15:40", "2026-03-02 15:30", "2026-03-02 21:50"),
    ],
)
def test_sync_due_in_vienna(synced, asked, expected):
    asked_at = None if asked is None else local(asked)
    due = sync_due(local(synced), asked_at, memory_min=MEMORY, lead_min=LEAD, quiet=NIGHT, zone=VIENNA)
    assert due == local(expected)
    assert due.tzinfo is UTC


@pytest.mark.parametrize(
    ("zone", "quiet", "synced", "expected"),
    [
        # the memory is elapsed time: 7.5 h after 21:00 UTC, whatever the clocks do at 01:00 UTC
        (VIENNA, NONE, "2026-03-28 21:00", "2026-03-29 04:30"),
        (VIENNA, NONE, "2026-10-24 21:00", "2026-10-25 04:30"),
        (HOWE, NONE, "2026-04-04 12:00", "2026-04-04 19:30"),
        # 07:00 by the clock is 05:00 UTC in the spring night and 06:00 UTC in the autumn night
        (VIENNA, NIGHT, "2026-03-28 20:45", "2026-03-29 05:00"),
        (VIENNA, NIGHT, "2026-10-24 19:45", "2026-10-25 06:00"),
        # due at 04:30 UTC, 06:30 by the new clock: asked at 21:50 the evening before
        (VIENNA, Quiet(time(23), time(7)), "2026-03-28 20:50", "2026-03-28 21:50"),
        # Cairo: 22:20 UTC is 01:20; quiet from 00:15 begins at 01:00 that night, so 23:50 (21:50 UTC)
        (CAIRO, Quiet(time(0, 15), time(6)), "2026-04-23 14:50", "2026-04-23 21:50"),
        (SANTIAGO, Quiet(time(0), time(6)), "2026-09-05 21:00", "2026-09-06 03:50"),
    ],
)
def test_sync_due_over_changes_of_the_clocks(zone, quiet, synced, expected):
    due = sync_due(utc(synced), None, memory_min=MEMORY, lead_min=LEAD, quiet=quiet, zone=zone)
    assert due == utc(expected)


def test_quiet_longer_than_the_memory_is_asked_before_it_and_at_its_end():
    quiet = Quiet(time(18), time(10))
    first = sync_due(
        local("2026-03-02 12:00"), None, memory_min=MEMORY, lead_min=LEAD, quiet=quiet, zone=VIENNA
    )
    assert first == local("2026-03-02 17:50")
    then = sync_due(first, first, memory_min=MEMORY, lead_min=LEAD, quiet=quiet, zone=VIENNA)
    assert then == local("2026-03-03 10:00")
    # 17:50 + 8 h = 01:50; until 10:00 that is 8 h 10 min
    assert expected_loss_min(first, then, MEMORY) == 490


def test_a_short_moment_between_two_quiet_stretches_is_used():
    # quiet from 12:00 to 11:55: the five minutes before the due time are all there is
    quiet = Quiet(time(12), time(11, 55))
    due = sync_due(
        local("2026-03-02 06:00"), None, memory_min=MEMORY, lead_min=LEAD, quiet=quiet, zone=VIENNA
    )
    assert due == local("2026-03-02 11:55")


@pytest.mark.parametrize(
    ("memory", "lead", "after"), [(480, 480, 60), (60, 30, 60), (45, 30, 45), (90, 15, 75)]
)
def test_little_memory_or_a_long_lead_never_asks_at_once(memory, lead, after):
    synced = local("2026-03-02 12:00")
    due = sync_due(synced, None, memory_min=memory, lead_min=lead, quiet=NIGHT, zone=VIENNA)
    assert due - synced == timedelta(minutes=after)


def test_lapse_and_loss():
    assert lapse_at(local("2026-03-28 23:00"), 480) == utc("2026-03-29 06:00")
    assert expected_loss_min(local("2026-03-02 22:45"), local("2026-03-03 07:30"), 480) == 45
    assert expected_loss_min(local("2026-03-28 22:45"), local("2026-03-29 07:30"), 480) == 0  # a 7:45 h night
    assert expected_loss_min(local("2026-10-24 22:45"), local("2026-10-25 07:30"), 480) == 105
    assert expected_loss_min(local("2026-03-02 22:45"), local("2026-03-03 06:45:20"), 480) == 1


@pytest.mark.parametrize(
    ("meal", "expected"),
    [
        ("2026-03-02 12:30", "2026-03-02 14:30"),
        ("2026-03-02 19:59", "2026-03-02 21:59"),
        ("2026-03-02 20:00", None),  # quiet until 07:00; the memory reaches back to 23:00
        ("2026-03-02 23:00", None),  # remembered until 07:00, not beyond
        ("2026-03-02 23:01", "2026-03-03 07:00"),
        ("2026-03-03 05:30", "2026-03-03 07:30"),
        ("2026-03-28 22:30", "2026-03-29 07:00"),  # the spring night is an hour shorter
        ("2026-10-24 23:30", None),  # the autumn night an hour longer
    ],
)
def test_check_due(meal, expected):
    due = check_due(local(meal), memory_min=MEMORY, quiet=NIGHT, zone=VIENNA)
    assert due == (None if expected is None else local(expected))


def test_first_instant():
    assert first_instant(date(2026, 3, 29), time(2, 30), VIENNA) == utc("2026-03-29 01:00")
    assert first_instant(date(2026, 10, 25), time(2, 30), VIENNA) == utc("2026-10-25 00:30")
    assert first_instant(date(2026, 4, 24), time(0), CAIRO) == utc("2026-04-23 22:00")
    assert first_instant(date(2026, 3, 2), time(7), VIENNA) == utc("2026-03-02 06:00")


def test_a_naive_instant_is_refused():
    naive = datetime(2026, 3, 2, 12)  # noqa: DTZ001 - that is the point
    with pytest.raises(ValueError, match="states no zone"):
        sync_due(naive, None, memory_min=MEMORY, lead_min=LEAD, quiet=NIGHT, zone=VIENNA)


ZONES = st.sampled_from(
    [
        ZoneInfo(key)
        for key in (
            "Europe/Vienna", "Australia/Lord_Howe", "Africa/Cairo", "America/Santiago", "America/Chicago",
            "Asia/Kolkata", "America/Havana", "Pacific/Chatham", "UTC",
        )
    ]
)  # fmt: skip
CLOCKS = st.builds(time, st.integers(0, 23), st.integers(0, 59))
QUIETS = st.builds(Quiet, CLOCKS, CLOCKS)
# half of the instants lie near a change of the clocks in one of the zones
CHANGES = [utc(t) for t in ("2026-03-29 01:00", "2026-10-25 01:00", "2026-04-04 15:00", "2026-04-23 22:00",
                            "2026-09-06 04:00", "2026-03-08 08:00", "2026-11-01 05:00")]  # fmt: skip
INSTANTS = st.one_of(
    st.integers(0, 366 * 24 * 60).map(lambda m: utc("2026-01-01 00:00") + timedelta(minutes=m)),
    st.builds(lambda at, m: at + timedelta(minutes=m), st.sampled_from(CHANGES), st.integers(-1500, 1500)),
)


@given(INSTANTS, QUIETS, ZONES)
@settings(max_examples=300, deadline=None)
def test_next_allowed_is_the_earliest_minute_outside(at, quiet, zone):
    allowed = next_allowed(at, quiet, zone)
    assert allowed >= at
    assert not in_quiet(allowed, quiet, zone)
    minutes = int((allowed - at) / timedelta(minutes=1))
    assert all(in_quiet(at + timedelta(minutes=m), quiet, zone) for m in range(minutes))


@given(INSTANTS, QUIETS, ZONES)
@settings(max_examples=300, deadline=None)
def test_quiet_start_is_where_this_stretch_began(at, quiet, zone):
    if not in_quiet(at, quiet, zone):
        return
    start = quiet_start_before(at, quiet, zone)
    assert start <= at
    assert not in_quiet(start - timedelta(minutes=1), quiet, zone)
    minutes = int((at - start) / timedelta(minutes=1))
    assert all(in_quiet(start + timedelta(minutes=m), quiet, zone) for m in range(minutes + 1))


@given(
    INSTANTS,
    QUIETS,
    ZONES,
    st.integers(30, 1440),
    st.integers(1, 240),
    st.lists(st.tuples(st.booleans(), st.integers(0, 700)), min_size=1, max_size=12),
)
@settings(max_examples=200, deadline=None)
def test_random_days(start, quiet, zone, memory, lead, acts):
    """Walk through days: at each ask the person syncs some minutes later, or does not answer."""
    synced, asked = start, None
    for answers, later in acts:
        anchor = synced if asked is None else max(synced, asked)
        due = sync_due(synced, asked, memory_min=memory, lead_min=lead, quiet=quiet, zone=zone)
        assert due > anchor
        assert not in_quiet(due, quiet, zone)
        soonest, lapse = anchor + ASK_APART, lapse_at(anchor, memory)
        span = range(max(0, int((lapse - soonest) / timedelta(minutes=1))))
        deadline = lapse_at(synced, memory)
        if anchor > synced and anchor <= deadline - NUDGE_APART:  # the second ask
            assert due >= anchor + NUDGE_APART
            assert in_quiet(deadline, quiet, zone) or due == deadline
        elif any(not in_quiet(soonest + timedelta(minutes=m), quiet, zone) for m in span):
            assert due < lapse
            assert due >= soonest
        if due < min(lapse - timedelta(minutes=lead), deadline):
            # earlier than it had to be only because quiet hours are near
            ahead = int(BEFORE_QUIET / timedelta(minutes=1))
            assert any(in_quiet(due + timedelta(minutes=m), quiet, zone) for m in range(1, ahead + 1))
        asked = due
        if answers:
            synced = due + timedelta(minutes=later)
