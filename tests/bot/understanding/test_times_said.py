"""Clock times, days and spans as people say them, resolved on their own clock."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from bot.model.entries import Meal, Reading
from bot.understanding import understand
from tests.bot.understanding.compact import context_at, when

NEW_YORK = ZoneInfo("America/New_York")

# What is said about one banana on Monday 2 March 2026, and when that was. Days other than that Monday are
# written out.
AT_THREE_PM = [
    ("at 7:15", "07:15"),
    ("at 7.15", "07:15"),
    ("0715", "07:15"),
    ("07:15", "07:15"),
    ("at 7h30", "07:30"),
    ("13h", "13:00"),
    ("at 13h", "13:00"),
    ("7am", "07:00"),
    ("at 7 am", "07:00"),
    ("1pm", "13:00"),
    ("1 p.m.", "13:00"),
    ("1.30pm", "13:30"),
    ("12am", "00:00"),
    ("12pm", "12:00"),
    ("at noon", "12:00"),
    ("at midday", "12:00"),
    ("at midnight", "00:00"),
    ("at 8", "08:00"),
    ("at 2", "14:00"),
    ("at 1:15", "13:15"),
    ("at 01:15", "01:15"),
    ("around 9", "09:00"),
    ("about 9:20", "09:20"),
    ("~9:20", "09:20"),
    ("@ 9:20", "09:20"),
    ("at 7ish", "07:00"),
    ("at 7 o'clock", "07:00"),
    ("at seven", "07:00"),
    ("at seven thirty", "07:30"),
    ("half past six", "06:30"),
    ("at half six", "06:30"),
    ("quarter to 8", "07:45"),
    ("at a quarter past ten", "10:15"),
    ("twenty to nine", "08:40"),
    ("ten past 7", "07:10"),
    ("20 min ago", "14:40"),
    ("half an hour ago", "14:30"),
    ("an hour ago", "14:00"),
    ("an hour and a half ago", "13:30"),
    ("2 hours ago", "13:00"),
    ("1.5 h ago", "13:30"),
    ("a couple of hours ago", "13:00"),
    ("1h30 ago", "13:30"),
    ("just now", "15:00"),
    ("now", "15:00"),
    ("between 12 and 12:30", "12:00"),
    ("yesterday 8pm", "01.20:00"),
    ("yesterday at 20:00", "01.20:00"),
    ("yesterday evening at 8", "01.20:00"),
    ("at 8 yesterday evening", "01.20:00"),
    ("the day before yesterday at 12:30", "28.12:30"),
    ("last night at 11", "01.23:00"),
    ("last night at 1", "01:00"),
    ("this morning at 8", "08:00"),
    ("at 8 in the morning", "08:00"),
    ("on Tuesday at 7:15", "24.07:15"),
    ("on Monday at 7:15", "07:15"),
    ("last Monday at 7:15", "23.07:15"),
    ("Tuesday last week at 7:15", "24.07:15"),
    ("last week Thursday at 7:15", "26.07:15"),
    ("Sunday 6pm", "01.18:00"),
    ("sat 8am", "28.08:00"),
    ("3 days ago at 12:30", "27.12:30"),
    ("2026-03-02 07:15", "07:15"),
    ("2026-03-01T21:40", "01.21:40"),
    ("2026-03-01 at 21:40", "01.21:40"),
    ("on 1 March at 21:40", "01.21:40"),
    ("March 1st, 9pm", "01.21:00"),
]


@pytest.mark.parametrize(("said", "expected"), AT_THREE_PM)
@pytest.mark.parametrize("order", ["{} a banana", "a banana {}"])
def test_time_beside_a_food(table, order, said, expected):
    context = context_at("15:00", table)
    meals = understand(order.format(said), context).entries
    assert [when(m.at, m.timed, context.zone) for m in meals] == [expected]
    assert [item.grams for m in meals for item in m.items] == [120]


@pytest.mark.parametrize(
    ("now", "said", "expected"),
    [
        ("20:30", "a banana at 8", "20:00"),  # the nearest past one
        ("20:30", "breakfast a banana at 8", "08:00"),  # the meal's name decides
        ("20:00", "a banana at 7:15", "07:15"),  # with minutes: the 24-hour clock
        ("20:00", "dinner at 7:15: rice", "19:15"),
        ("14:00", "lunch at 1: rice", "13:00"),
        ("00:30", "rice at 22:00", "01.22:00"),  # the night is not over
        ("00:30", "rice at 11", "01.23:00"),
        ("06:20", "rice at 23:30", "01.23:30"),
        ("01:10", "tonight 22:15 rice", "01.22:15"),
        ("07:10", "rice at 7:15", "07:15"),  # clocks differ by some minutes
        ("08:00", "rice", "08:00~"),
        ("13:00", "rice for breakfast", "08:00~slot"),
        ("10:00", "dinner: rice", "10:00~"),
        ("13:00", "lunch: rice", "13:00~"),
        ("08:00", "rice for dinner yesterday", "01.19:00~slot"),
        ("20:00", "rice this morning", "08:00~slot"),
    ],
)
def test_time_depends_on_now_and_the_meal(table, now, said, expected):
    context = context_at(now, table)
    (meal,) = understand(said, context).entries
    assert when(meal.at, meal.timed, context.zone) == expected


@pytest.mark.parametrize(
    ("now", "said", "ask"),
    [
        ("20:00", "rice at 22:00", "22:00 is still to come: did you mean yesterday 22:00?"),
        ("12:00", "rice at 19:30", "19:30 is still to come: did you mean yesterday 19:30?"),
        ("06:59", "dinner at 8: rice", None),  # last evening's
        ("08:00", "dinner at 8: rice", "20:00 is still to come: did you mean yesterday 20:00?"),
        ("08:00", "5.4 at 9:10", "09:10 is still to come: did you mean yesterday 09:10?"),
        (
            "08:00",
            "yesterday rice",
            "What time was that yesterday? Say it with its time, like “yesterday 15:30”.",
        ),
    ],
)
def test_time_to_come_is_asked_about_and_never_kept(table, now, said, ask):
    context = context_at(now, table)
    understood = understand(said, context)
    assert understood.asks == (() if ask is None else (ask,))
    for entry in understood.entries:
        assert isinstance(entry, Meal | Reading)
        assert (entry.at is None) == (ask is not None)


# Vienna, 2026: clocks go forward on 29 March (02:00 -> 03:00) and back on 25 October (03:00 -> 02:00);
# New York: forward on 8 March, back on 1 November. Offsets are from the time zone database (tzdata).
@pytest.mark.parametrize(
    ("now", "zone", "said", "utc"),
    [
        ("2026-03-29T08:00", None, "rice at 02:30", "2026-03-29T01:00"),  # skipped: the next valid minute
        ("2026-03-29T08:00", None, "rice at 01:59", "2026-03-29T00:59"),
        ("2026-03-29T08:00", None, "rice at 03:00", "2026-03-29T01:00"),
        ("2026-03-29T03:30", None, "rice an hour ago", "2026-03-29T00:30"),  # an hour is an hour
        ("2026-10-25T08:00", None, "rice at 02:30", "2026-10-25T00:30"),  # repeated: the first
        ("2026-10-25T08:00", None, "rice at 03:00", "2026-10-25T02:00"),
        ("2026-10-25T08:00", None, "rice yesterday at 20:00", "2026-10-24T18:00"),
        ("2026-10-25T08:00", None, "rice 2026-10-25 02:30+01:00", "2026-10-25T01:30"),
        ("2026-03-08T09:00", NEW_YORK, "rice at 02:30", "2026-03-08T07:00"),
        ("2026-11-01T09:00", NEW_YORK, "rice at 01:30", "2026-11-01T05:30"),
    ],
)
def test_days_when_clocks_change(table, now, zone, said, utc):
    context = context_at(now, table, *([] if zone is None else [zone]))
    (meal,) = understand(said, context).entries
    assert meal.at.astimezone(UTC) == datetime.fromisoformat(utc).replace(tzinfo=UTC)


def test_now_may_come_in_any_zone(table):
    context = context_at("08:00", table)
    moved = type(context)(context.now.astimezone(UTC), context.zone, table)
    text = "2 eggs at 7:15, walked 10 min"
    assert understand(text, moved) == understand(text, context)
