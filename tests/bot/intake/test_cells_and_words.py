"""Cells as files of many lands write them: numbers, markers, offsets, days counted, words of headings."""

from zoneinfo import ZoneInfo

import pytest

from bot.intake.clocks import SECOND, read_clock
from bot.intake.dates import read_dates
from bot.intake.headings import glucose_score, time_score
from bot.intake.stamps import read_fraction, read_serial, split_stamp
from bot.intake.values import Flag, read_flag, read_number
from bot.intake.words import clean
from bot.intake.zones import read_offset, read_zone_name


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("5.4", 5.4),
        ("5,4", 5.4),
        ("104,000", 104.0),
        ("1,104.5", 1104.5),
        ("1.104,5", 1104.5),
        ("1 104,5", 1104.5),
        ("-0,4", -0.4),
        ("5.4.3", None),
        ("1,23,4", None),
        ("=1+4", None),
    ],
)
def test_numbers_and_the_marks_in_them(text, number):
    assert read_number(text) == number


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("LO", "low limit"),
        ("<2,2", "low limit"),
        ("≤ 40 mg/dL", "low limit"),
        ("tief", "low limit"),
        ("Düşük", "low limit"),
        ("низкий", "low limit"),
        ("HI", "high limit"),
        ("> 27.8", "high limit"),
        ("Élevé", "high limit"),
        ("yüksek", "high limit"),
        ("υψηλή", "high limit"),
        ("HIGH 500", "high limit"),
    ],
)
def test_markers(text, what):
    assert read_flag(text) == Flag(what)


@pytest.mark.parametrize("text", ["5.4", "hello", "lower", "high hopes", "", "<", "OK"])
def test_no_markers(text):
    assert read_flag(text) is None


@pytest.mark.parametrize(
    ("text", "headed", "hours"),
    [
        ("+01:00", False, 1),
        ("-0330", False, -3.5),
        ("UTC+2", False, 2),
        ("Z", False, 0),
        ("+1", False, None),
        ("+1", True, 1),
        ("60", True, 1),
        ("-60", True, -1),
        ("3600", True, 1),
        ("3600000", True, 1),
        ("60", False, None),
        ("+25:00", True, None),
        ("5.4", True, None),
    ],
)
def test_offsets_in_a_column_of_their_own(text, headed, hours):
    assert read_offset(text, headed) == (None if hours is None else hours * 3600 * SECOND)


def test_names_of_zones():
    assert read_zone_name("Europe/Vienna") == ZoneInfo("Europe/Vienna")
    assert [read_zone_name(text) for text in ("Europe", "../etc/passwd", "Rye/Toast", "")] == [None] * 4


def test_days_counted_by_spreadsheets():
    # 1899-12-30 plus 46093 days is 2026-03-12; 0.375 of a day is 9 h
    assert f"{read_serial('46093.375')}" == "2026-03-12 09:00:00"
    assert f"{read_serial('46,093.375')}" == "2026-03-12 09:00:00"
    assert read_fraction("0,375") == "09:00:00"
    assert [read_serial(text) for text in ("5.4", "104", "99999", "46093.1.2")] == [None] * 4
    assert read_fraction("1.5") is None


@pytest.mark.parametrize(
    "text",
    [
        "12 marca 2026", "12 марта 2026 г.", "12. března 2026", "12. maaliskuuta 2026", "12 Mart 2026",
        "2026. március 12.", "12 Μαρτίου 2026", "12 de março de 2026", "12 mars 2026", "2026年3月12日",
        "2026. 3. 12.", "2026年3月12日(木)",
    ],
)  # fmt: skip
def test_a_day_in_many_languages(text):
    assert {day.isoformat() for day in read_dates(clean(text)).values()} == {"2026-03-12"}


@pytest.mark.parametrize(
    "text",
    ["8:05 pm", "8:05 p. m.", "PM 8:05", "下午8:05", "午後8時5分", "오후 8:05", "8:05 μ.μ.", "du. 8:05",
     "8:05 nachm.",
     "20.05", "kl. 20:05", "20h05", "20時05分00秒"],
)  # fmt: skip
def test_a_clock_time_in_many_languages(text):
    assert read_clock(clean(text)) == ((20 * 60 + 5) * 60 * SECOND, None)


def test_a_half_of_the_day_between_date_and_clock():
    assert split_stamp("2026. március 12. du. 8:05") == ("2026. március 12.", "8:05 du")
    assert split_stamp(clean("2026/3/12 下午8:05")) == ("2026/3/12", "8:05 pm")


@pytest.mark.parametrize(
    ("time", "glucose"),
    [
        ("Zeitpunkt", "Gewebezucker"), ("Horodatage", "Glycémie"), ("Fecha", "Azúcar"), ("Ora", "Glicemia"),
        ("Tijd", "Suiker"), ("Dia", "Açúcar"), ("Čas", "Glykémie"),
        ("Godzina", "Stężenie glukozy"),
        ("Klockslag", "Blodsocker"), ("Klokkeslæt", "Blodsukker"), ("Kellonaika", "Verensokeri"),
        ("Saat", "Şeker"),
        ("Időpont", "Vércukor"), ("Время", "Сахар крови"), ("Ώρα", "Γλυκόζη"), ("測定日時", "血糖値"),
        ("时间", "葡萄糖"), ("시간", "혈당"), ("measuredAt", "sensorGlucose"),
    ],
)  # fmt: skip
def test_headings_in_many_languages(time, glucose):
    assert (time_score(time), glucose_score(time)) == (2, 0)
    assert (time_score(glucose), glucose_score(glucose)) == (0, 3)


@pytest.mark.parametrize(
    "heading",
    [
        "target glucose",
        "glucose trend",
        "Glucides (g)",
        "mean glucose",
        "Insulina",
        "Kohlenhydrate",
        "glucose unit",
    ],
)
def test_headings_of_other_quantities(heading):
    assert glucose_score(heading) < 0
