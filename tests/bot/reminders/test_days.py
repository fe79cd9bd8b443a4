"""Rules of a person's day over a table of cases, each worked out by hand.

Vienna puts its clocks forward on 2026-03-29 at 02:00 and back on 2026-10-25 at 03:00 (IANA time zones).
"""

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from bot.reminders.days import check_times, day_end, night_loss, nudge_due, sensor_end_due, switch_at
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
