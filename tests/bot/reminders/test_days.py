"""Rules of a person's day over a table of cases, each worked out by hand.

Vienna puts its clocks forward on 2026-03-29 at 02:00 and back on 2026-10-25 at 03:00 (IANA time zones).
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from bot.reminders.days import (
    check_times,
    day_end,
    evening_due,
    last_hours_due,
    night_loss,
    nudge_due,
    review_due,
    sensor_end_due,
    switch_at,
    week_before,
)
from bot.reminders.rules import Quiet

VIENNA = ZoneInfo("Europe/Vienna")
NIGHT, LATE_SHIFT, NAP, NONE = (
    Quiet(time(22), time(7)),
    Quiet(time(1), time(8, 30)),
    Quiet(time(13), time(14)),
    Quiet(time(0), time(0)),
)


def local(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=VIENNA)


@pytest.mark.parametrize(
    ("meals", "checks"),
    [
        (["12:00"], ["14:00"]),
        (["12:00", "12:50"], ["14:50", "14:50"]),
        (["12:00", "13:00", "14:01"], ["15:00", "15:00", "16:01"]),
        # each within the hour of the one before, but more than two hours in all: the fourth is another meal
        (["12:00", "12:50", "13:40", "14:30"], ["15:40", "15:40", "15:40", "16:30"]),
        # due in the night, and by its end forgotten
        (["12:00", "20:30"], ["14:00", None]),
        ([], []),
    ],
)
def test_meals_close_together_share_a_check(meals, checks):
    found = check_times([local(f"2026-03-02 {at}") for at in meals], memory_min=480, quiet=NIGHT, zone=VIENNA)
    assert found == [None if at is None else local(f"2026-03-02 {at}") for at in checks]


def test_a_first_bite_that_would_be_forgotten_has_no_share_in_the_check():
    meals = [local("2026-03-02 12:00"), local("2026-03-02 12:50")]
    found = check_times(meals, memory_min=170, quiet=NONE, zone=VIENNA)
    assert found == [None, local("2026-03-02 14:50")]


@pytest.mark.parametrize(
    ("synced", "quiet", "woken", "lost"),
    [
        ("2026-03-02 12:00", NIGHT, "2026-03-02 19:00", 0),
        ("2026-03-02 21:50", NIGHT, "2026-03-03 07:00", 70),
        ("2026-03-28 21:50", NIGHT, "2026-03-29 07:00", 10),  # the spring night is an hour shorter
        ("2026-10-24 21:50", NIGHT, "2026-10-25 07:00", 130),  # the autumn night an hour longer
        ("2026-03-03 00:50", LATE_SHIFT, "2026-03-03 08:30", 0),
    ],
)
def test_what_a_night_costs(synced, quiet, woken, lost):
    found = night_loss(local(synced), memory_min=480, lead_min=60, quiet=quiet, zone=VIENNA)
    assert found == (local(woken), lost)


@pytest.mark.parametrize(
    ("at", "quiet", "end"),
    [
        ("2026-03-02 15:00", NIGHT, "2026-03-03 07:00"),
        ("2026-03-03 00:30", LATE_SHIFT, "2026-03-03 08:30"),  # after midnight it is still the same day
        ("2026-03-02 12:00", NAP, "2026-03-03 00:00"),
        ("2026-03-02 12:00", NONE, "2026-03-03 00:00"),
        ("2026-03-28 23:00", Quiet(time(22), time(2, 30)), "2026-03-29 03:00"),  # 02:30 does not exist
    ],
)
def test_when_a_day_is_over(at, quiet, end):
    assert day_end(local(at), quiet, VIENNA) == local(end)


@pytest.mark.parametrize(
    ("started", "due"),
    [
        ("2026-03-02 19:00", "2026-03-15 19:00"),
        ("2026-03-02 23:00", "2026-03-15 21:50"),  # at night: before it
        ("2026-03-16 19:00", "2026-03-29 20:00"),  # fourteen days are fourteen times 24 hours
    ],
)
def test_a_sensor_ends_tomorrow(started, due):
    assert sensor_end_due(local(started), 14, NIGHT, VIENNA) == local(due)


@pytest.mark.parametrize(
    ("after", "noted", "quiet", "due"),
    [
        ("2026-03-02 09:00", None, NIGHT, "2026-03-02 18:00"),
        ("2026-03-02 09:00", "2026-03-02 08:00", NIGHT, "2026-03-02 18:00"),
        ("2026-03-02 14:00", "2026-03-02 12:30", NIGHT, "2026-03-03 18:00"),
        ("2026-03-02 18:00", None, NIGHT, "2026-03-03 18:00"),
        ("2026-03-28 18:30", None, NIGHT, "2026-03-29 18:00"),
    ],
)
def test_the_evening_of_a_day_without_notes(after, noted, quiet, due):
    noted_at = None if noted is None else local(noted)
    assert nudge_due(local(after), noted_at, quiet, VIENNA) == local(due)


def test_always_quiet_in_the_evening_the_nudge_waits_for_the_end_of_it():
    quiet = Quiet(time(17), time(3))
    assert nudge_due(local("2026-03-02 09:00"), None, quiet, VIENNA) == local("2026-03-10 03:00")


def test_a_shift_begins_at_noon_before_its_first_day():
    assert switch_at(date(2026, 3, 5), VIENNA) == local("2026-03-04 12:00")
    assert switch_at(date(2026, 3, 30), VIENNA) == local("2026-03-29 12:00")


EARLY_SHIFT, DAY_SLEEP = Quiet(time(17, 30), time(0, 45)), Quiet(time(8), time(16))


@pytest.mark.parametrize(
    ("after", "week_begins", "quiet", "due"),
    [
        ("2026-03-02 09:00", 0, NIGHT, "2026-03-08 18:30"),  # a Monday: the evening of the Sunday to come
        ("2026-03-08 18:29", 0, NIGHT, "2026-03-08 18:30"),
        ("2026-03-08 18:30", 0, NIGHT, "2026-03-15 18:30"),
        ("2026-03-02 09:00", 6, NIGHT, "2026-03-07 18:30"),  # weeks that begin on Sundays
        ("2026-03-02 09:00", 0, NONE, "2026-03-08 18:30"),
        ("2026-03-02 09:00", 0, EARLY_SHIFT, "2026-03-08 16:30"),  # an hour before that night
        ("2026-03-02 09:00", 0, DAY_SLEEP, "2026-03-08 18:30"),
        ("2026-03-02 09:00", 0, Quiet(time(15), time(20)), "2026-03-08 20:00"),  # its end is that evening
        ("2026-03-02 09:00", 0, Quiet(time(0, 30), time(23, 59)), "2026-03-08 23:59"),
        # the clocks went forward that morning, and back on the other
        ("2026-03-28 12:00", 0, NIGHT, "2026-03-29 18:30"),
        ("2026-10-24 12:00", 0, NIGHT, "2026-10-25 18:30"),
    ],
)
def test_a_week_is_looked_back_on_the_evening_before_the_next(after, week_begins, quiet, due):
    assert review_due(local(after), week_begins, quiet, VIENNA) == local(due)


@pytest.mark.parametrize("zone", ["Europe/Vienna", "America/Sao_Paulo", "Pacific/Apia", "Asia/Kathmandu"])
@pytest.mark.parametrize("week_begins", range(7))
def test_reviews_come_once_a_week_through_a_year_of_clock_changes(zone, week_begins):
    where = ZoneInfo(zone)
    at = datetime(2011, 6, 1, 9, tzinfo=where)  # Apia had no 30 December in that year
    for _ in range(60):
        due = review_due(at, week_begins, NIGHT, where)
        local_due = due.astimezone(where)
        assert timedelta(0) < due - at.astimezone(UTC) <= timedelta(days=7, hours=13)
        if local_due.date() != date(2011, 12, 31) or zone != "Pacific/Apia":  # the day before was skipped
            assert local_due.weekday() == (week_begins - 1) % 7
            assert f"{local_due:%H:%M}" == "18:30"
        at = due


@pytest.mark.parametrize(
    ("at", "week_begins", "first", "last"),
    [
        ("2026-03-08 18:30", 0, "2026-03-02", "2026-03-08"),
        ("2026-03-09 07:00", 0, "2026-03-02", "2026-03-08"),  # held back over the night
        ("2026-03-11 07:00", 0, "2026-03-02", "2026-03-08"),  # said days later: of its own week all the same
        ("2026-03-07 18:30", 6, "2026-03-01", "2026-03-07"),
    ],
)
def test_the_week_that_a_review_is_of(at, week_begins, first, last):
    days = date.fromisoformat(first), date.fromisoformat(last)
    assert week_before(local(at), week_begins, VIENNA) == days


@pytest.mark.parametrize(
    ("after", "quiet", "due"),
    [
        ("2026-03-02 09:00", NIGHT, "2026-03-02 21:00"),
        ("2026-03-02 21:00", NIGHT, "2026-03-03 21:00"),
        ("2026-03-02 09:00", NONE, "2026-03-02 21:00"),
        ("2026-03-02 09:00", NAP, "2026-03-02 21:00"),
        ("2026-03-02 09:00", LATE_SHIFT, "2026-03-03 00:00"),  # that night begins after midnight
        ("2026-03-02 17:00", DAY_SLEEP, "2026-03-03 07:00"),  # who sleeps by day closes it in the morning
        ("2026-03-28 23:00", NIGHT, "2026-03-29 21:00"),
        ("2026-03-29 00:30", Quiet(time(2, 30), time(9)), "2026-03-29 01:00"),  # 02:30 is skipped
    ],
)
def test_a_day_is_closed_an_hour_before_its_night(after, quiet, due):
    assert evening_due(local(after), quiet, VIENNA) == local(due)


def test_the_last_hours_of_a_sensor_are_asked_for_before_it_ends_or_before_that_night():
    assert last_hours_due(local("2026-03-16 19:00"), NIGHT, VIENNA) == local("2026-03-16 18:00")
    assert last_hours_due(local("2026-03-16 04:00"), NIGHT, VIENNA) == local("2026-03-15 21:50")
