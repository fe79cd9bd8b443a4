"""Occasions, first and last, the window and the longest gap."""

from datetime import date
from zoneinfo import ZoneInfo

import pytest

from analysis.eating import describe_eating
from tests.analysis.frames_of import instant, meals

H = 60


def test_two_days_by_hand():
    """7:00 with more at 7:20, 12:30, 19:00; next day 8:00 and 20:30. The night lasts 19:00 to 8:00 = 13 h."""
    rows = [
        (7 * H, "breakfast", 40),
        (7 * H + 20, "snack", 10),
        (12.5 * H, "lunch", 50),
        (19 * H, "dinner", 50),
    ]
    rows += [(24 * H + 8 * H, "breakfast", 40), (24 * H + 20.5 * H, "dinner", 60)]
    eating = describe_eating(meals(*rows[::-1]))
    first, second = eating.days
    assert (first.day_on, first.occasions, first.window_h, first.longest_gap_h) == (
        date(2026, 3, 2),
        3,
        12.0,
        6.5,
    )
    assert (first.first, first.last) == (instant(7 * H), instant(19 * H))
    assert (second.occasions, second.window_h, second.longest_gap_h) == (2, 12.5, 13.0)
    assert (eating.occasions, eating.window_h, eating.longest_gap_h) == (2.5, 12.25, 13.0)
    assert (eating.first_min, eating.last_min) == (7.5 * H, 19.75 * H)
    assert eating.between_h == 9.25  # (12 / 2 + 12.5) / 2


def test_after_midnight_is_the_evening_before():
    eating = describe_eating(meals((20 * H, "dinner", 50), (25 * H, "snack", 20), (28 * H, "breakfast", 20)))
    first, second = eating.days
    assert (first.occasions, first.last_min, first.window_h) == (2, 1500, 5.0)
    assert second.first_min == 240
    assert describe_eating(meals((25 * H, "snack", 20)), day_starts_min=0).days[0].day_on == date(2026, 3, 3)


def test_black_coffee_is_no_occasion_but_juice_and_unknown_drinks_are():
    rows = [(6 * H, "drink", 0.5), (9 * H, "drink", 25), (12 * H, "drink", None), (15 * H, "lunch", 1)]
    (day,) = describe_eating(meals(*[(m, s, float("nan") if c is None else c) for m, s, c in rows])).days
    assert (day.occasions, day.first_min) == (3, 9 * H)


def test_a_day_that_nobody_logged_makes_no_gap():
    eating = describe_eating(meals((12 * H, "lunch", 50), (72 * H + 12 * H, "lunch", 50)))
    assert [d.longest_gap_h for d in eating.days] == [None, None]
    assert eating.longest_gap_h is None
    assert describe_eating(meals()).days == ()
    assert describe_eating(meals((6 * H, "drink", 0))).window_h is None


def test_the_window_is_time_that_passed():
    """Vienna, 29 March 2026: clocks go from 2:00 to 3:00, so that 1:00 to 8:00 on the clock is 6 hours."""
    zone = ZoneInfo("Europe/Vienna")
    day = 27 * 24 * H
    (only,) = describe_eating(
        meals((day, "snack", 20), (day + 6 * H, "lunch", 20), zone=zone), day_starts_min=0
    ).days
    assert (only.first_min, only.last_min, only.window_h) == (60, 480, pytest.approx(6.0))
