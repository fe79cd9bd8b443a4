"""Dates and clock times as written by hand and by machines; the shapes of ISO 8601 are from memory."""

from datetime import date
from zoneinfo import ZoneInfo

import pytest

from bot.intake.clocks import SECOND, read_clock
from bot.intake.dates import choose_order, read_dates
from bot.intake.stamps import read_epoch, split_stamp
from bot.intake.zones import names_of

MARCH_2 = date(2026, 3, 2)


@pytest.mark.parametrize(
    "text",
    [
        "2026-03-02",
        "2026/3/2",
        "2026.03.02",
        "20260302",
        "2 Mar 2026",
        "02-Mar-26",
        "March 2, 2026",
        "Mar 2nd 2026",
        "2. März 2026",
        "2 mars 2026",
        "2 de marzo de 2026",
        "2 maart 2026",
        "2026 Mar 02",
        "Mon, 02 Mar 2026",
        "Montag, 2. März 2026",
        "Mo. 2026-03-02",
    ],
)
def test_plain_dates(text):
    assert set(read_dates(text).values()) == {MARCH_2}
    assert len(read_dates(text)) == 3


@pytest.mark.parametrize(
    ("text", "days", "months"),
    [
        ("02.03.2026", MARCH_2, date(2026, 2, 3)),
        ("2/3/26", MARCH_2, date(2026, 2, 3)),
        ("13-03-2026", date(2026, 3, 13), None),
        ("03/13/2026", None, date(2026, 3, 13)),
    ],
)
def test_open_dates(text, days, months):
    assert (read_dates(text).get("dmy"), read_dates(text).get("mdy")) == (days, months)


@pytest.mark.parametrize(
    "text", ["", "5.4", "12", "2026-13-01", "2026-02-29", "31.04.2026", "0001-01-01", "2 Foo 2026", "2026"]
)
def test_no_dates(text):
    assert read_dates(text) == {}


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("7:05", 425),
        ("07:05", 425),
        ("07:05:00.000", 425),
        ("7h05", 425),
        ("7.05", 425),
        ("0705", 425),
        ("070500", 425),
        ("7:05 Uhr", 425),
        ("7:05 AM", 425),
        ("7:05 p.m.", 1145),
        ("7:05p", 1145),
        ("7 pm", 1140),
        ("12:00 AM", 0),
        ("12:30 PM", 750),
        ("24:00", 1440),
        ("0:00", 0),
    ],
)
def test_clock_times(text, minutes):
    assert read_clock(text) == (minutes * 60 * SECOND, None)


@pytest.mark.parametrize("text", ["", "7", "25:00", "24:05", "7:60", "7:05:61", "pm", "7:05 xm!", "-7:05"])
def test_no_clock_times(text):
    assert read_clock(text) is None


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("7:05Z", 0),
        ("7:05 UTC", 0),
        ("7:05 GMT", 0),
        ("7:05+01:00", 1),
        ("7:05 +0100", 1),
        ("7:05+01", 1),
        ("7:05-03:30", -3.5),
        ("7:05 GMT+1", 1),
        ("7:05 UTC-05:00", -5),
        ("0705Z", 0),
        ("7:05+01:00[Europe/Vienna]", 1),
        ("7:05 CET", 1),
        ("7:05 CEST", 2),
        ("7:05 AM CET", 1),
    ],
)
def test_offsets(text, hours):
    clock = read_clock(text, names_of(ZoneInfo("Europe/Vienna")))
    assert clock == (425 * 60 * SECOND, hours * 3600 * SECOND)


def test_letters_of_another_zone_are_not_taken_for_this_one_nor_for_a_half_of_the_day():
    assert read_clock("7:05 PST", names_of(ZoneInfo("Europe/Vienna"))) is None
    assert read_clock("7:05 PST", names_of(ZoneInfo("America/Los_Angeles"))) == (
        425 * 60 * SECOND,
        -8 * 3600 * SECOND,
    )


@pytest.mark.parametrize(
    "text", ["1772434800", "1772434800.0", "1772434800000", "1772434800000000", "1772434800000000000"]
)
def test_counts_since_1970(text):
    assert read_epoch(text) == 1_772_434_800 * SECOND  # 2026-03-02T07:00:00Z


@pytest.mark.parametrize("text", ["104", "20260302", "20260302080000", "999999999", "", "-1772434800"])
def test_other_numbers_are_no_counts(text):
    assert read_epoch(text) is None


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("2026-03-02T08:00:00Z", ("2026-03-02", "08:00:00Z")),
        ("02.03.2026, 8:00", ("02.03.2026", "8:00")),
        ("02.03.2026 um 8:00 Uhr", ("02.03.2026", "8:00 Uhr")),
        ("8:00 PM 3/2/2026", ("3/2/2026", "8:00 PM")),
        ("20260302T0800", ("20260302", "0800")),
        ("2026-03-02", None),
        ("08:00", None),
        ("2026-03-02" + " " * 10_000 + "x", None),
    ],
)
def test_split_stamp(text, parts):
    assert split_stamp(text) == parts


def test_no_dates_at_all_leave_nothing_to_decide():
    assert choose_order([], None) == ("dmy", "", "")
    assert choose_order(["2026-03-02", "5.4"], None) == ("dmy", "", "")
