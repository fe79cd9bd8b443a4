"""What becomes of single rows: markers, doubtful values, repeats, the hours around a change of the clocks."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from bot.intake import RowProblem, read_file
from bot.model.errors import AskFile, BadFile
from tests.bot.intake.files import VIENNA, Style, readings, write


def read(text: str, **options):
    return read_file(text.encode(), "readings.csv", **{"zone": VIENNA, **options})


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def hours(found) -> list[str]:
    return [f"{r.at:%d %H:%M}" for r in found.readings]


@pytest.mark.parametrize("marker", ["LO", "HI", "low", "High", "<2.2", "> 27.8", "≤ 2,2", "hoch", "HI limit"])
def test_markers_are_counted_and_not_turned_into_numbers(marker):
    found = read(
        f"time,glucose mmol/L\n2026-03-02 08:00,5.4\n2026-03-02 08:05,{marker}\n2026-03-02 08:10,5.6\n"
    )
    assert [r.mmol for r in found.readings] == [5.4, 5.6]
    assert (found.flagged, found.skipped) == (1, 0)


def test_a_file_of_markers_only_is_not_bad():
    found = read("time;glucose mg/dL\n2026-03-02 08:00;LO\n2026-03-02 08:05;LO\n")
    assert (found.readings, found.flagged) == ((), 2)


def test_rows_that_give_nothing_are_counted_with_their_line_and_reason():
    found = read(
        "time,glucose mmol/L\n"
        "2026-03-02 08:00,5.4\n"
        "2026-03-02 08:05,55\n"
        "2026-03-02 08:10,0.2\n"
        "2026-03-02 08:15,\n"
        "2026-03-02 08:20\n"
        "yesterday,5.4\n"
        "2026-03-02 08:25,n.b.\n"
        "\n"
        "2026-03-02 08:30,-5.4\n"
        ",\n"
        "2026-02-30 08:35,5.4\n"
        "2026-03-02 25:00,5.4\n"
        "2026-03-02 08:40,5.8\n"
    )
    assert [r.mmol for r in found.readings] == [5.4, 5.8]
    assert found.skipped == 9
    assert found.problems == (
        RowProblem(3, "55 mmol/L is outside 1 to 33.3 mmol/L", 3),
        RowProblem(7, "“yesterday” is not a date with a time", 3),
        RowProblem(5, "no glucose value", 1),
        RowProblem(6, "the row ends before the glucose column", 1),
        RowProblem(8, "“n.b.” is not a glucose value", 1),
    )


def test_the_bounds_are_readings_themselves():
    found = read("time,glucose mmol/L\n2026-03-02 08:00,1.0\n2026-03-02 08:05,33.3\n2026-03-02 08:10,33.4\n")
    assert [r.mmol for r in found.readings] == [1.0, 33.3]


def test_repeats_are_counted_and_the_first_value_is_kept():
    found = read(
        "time,glucose mmol/L\n2026-03-02 08:00,5.4\n2026-03-02 08:00,5.4\n2026-03-02T08:00:00+01:00,6.0\n"
        "2026-03-02 08:05,5.5\n"
    )
    assert [r.mmol for r in found.readings] == [5.4, 5.5]
    assert found.duplicates == 2
    assert "times given twice with different values: 1, the first was kept" in found.warnings


def test_readings_come_out_in_order_of_time():
    found = read_file(write(reversed(readings()), Style()), "r.csv", zone=VIENNA)
    assert [r.at for r in found.readings] == [at for at, _ in readings()]


def test_readings_of_the_future_are_skipped():
    text = "time,glucose mmol/L\n2026-03-02 08:00,5.4\n2026-03-02 09:00,5.5\n"
    found = read(text, now=utc("2026-03-02 07:30"))
    assert hours(found) == ["02 07:00"]
    assert found.problems == (RowProblem(3, "2026-03-02 09:00 lies in the future", 1),)
    with pytest.raises(BadFile, match="08:00 lies in the future"):
        read(text, now=utc("2026-03-01 00:00"))


def test_a_clock_a_few_minutes_ahead_is_no_future():
    assert read("time,glucose mmol/L\n2026-03-02 08:05,5.4\n", now=utc("2026-03-02 07:00")).skipped == 0


# 2026-10-25: 03:00 CEST becomes 02:00 CET (IANA time zone database)
AUTUMN = ["01:40", "02:00", "02:20", "02:40", "02:00", "02:20", "02:40", "03:00"]
AUTUMN_UTC = ["24 23:40", "25 00:00", "25 00:20", "25 00:40", "25 01:00", "25 01:20", "25 01:40", "25 02:00"]


@pytest.mark.parametrize("turn", [1, -1])
def test_the_hour_that_comes_twice_is_told_by_the_order_of_the_rows(turn):
    rows = [f"2026-10-25 {clock},{5 + i / 10}" for i, clock in enumerate(AUTUMN)]
    found = read("\n".join(["time,mmol/L", *rows[::turn]]))
    assert hours(found) == AUTUMN_UTC
    assert [r.mmol for r in found.readings] == pytest.approx([5 + i / 10 for i in range(8)])
    assert found.duplicates == 0
    assert "rows in an hour that came twice in Europe/Vienna: 6, told apart by their order" in found.warnings


def test_hourly_readings_over_the_hour_that_comes_twice():
    rows = [f"2026-10-25 {clock},5.0" for clock in ("00:00", "01:00", "02:00", "02:00", "03:00", "04:00")]
    assert hours(read("\n".join(["time,mmol/L", *rows]))) == [
        "24 22:00", "24 23:00", "25 00:00", "25 01:00", "25 02:00", "25 03:00",
    ]  # fmt: skip


def test_a_repeated_row_in_the_hour_that_comes_twice_stays_a_repeat():
    rows = [f"2026-10-25 {clock},5.0" for clock in ("02:00", "02:05", "02:05", "02:10")]
    found = read("\n".join(["time,mmol/L", *rows]))
    assert hours(found) == ["25 00:00", "25 00:05", "25 00:10"]
    assert found.duplicates == 1


def test_offsets_settle_the_hour_that_comes_twice():
    rows = ["2026-10-25T02:30:00+01:00,5.1", "2026-10-25T02:30:00+02:00,5.0"]
    found = read("\n".join(["time,mmol/L", *rows]))
    assert hours(found) == ["25 00:30", "25 01:30"]
    assert found.warnings == ()


def test_the_hour_that_never_was_is_skipped():
    rows = [f"29.03.2026 {clock};5,0" for clock in ("01:45", "02:15", "03:15")]
    found = read("\n".join(["Zeit;mmol/L", *rows]))
    assert hours(found) == ["29 00:45", "29 01:15"]
    (problem,) = found.problems
    assert problem == RowProblem(
        3, "29.03.2026 02:15 never was in Europe/Vienna, where the clocks went forward", 1
    )


def test_a_change_of_half_an_hour():
    zone = ZoneInfo("Australia/Lord_Howe")  # 2026-04-05: 02:00 becomes 01:30
    rows = [f"2026-04-05 {clock},5.0" for clock in ("01:15", "01:30", "01:45", "01:30", "01:45", "02:00")]
    found = read("\n".join(["time,mmol/L", *rows]), zone=zone)
    gaps = [b.at - a.at for a, b in zip(found.readings, found.readings[1:], strict=False)]
    assert gaps == [timedelta(minutes=15)] * 5


@pytest.mark.parametrize(
    ("dates", "first_utc", "said"),
    [
        # 13 or more settles it for the whole file, wherever it stands
        (["05/03/2026", "13/03/2026"], "05 07:00", None),
        (["03/05/2026", "03/13/2026"], "05 07:00", None),
        # neighbouring days
        (["05/03/2026", "06/03/2026"], "05 07:00", "days come first (05/03/2026 is 2026-03-05): judged"),
        (["03/05/2026", "03/06/2026"], "05 07:00", "months come first (03/05/2026 is 2026-03-05): judged"),
        # the same either way, or written with points
        (["03/03/2026"], "03 07:00", None),
        (["05.03.2026"], "05 07:00", None),
        # two figures for the year
        (["26-03-05", "26-03-06", "26-03-07"], "05 07:00", None),
        (["05/03/26", "06/03/26"], "05 07:00", "days come first (05/03/26 is 2026-03-05)"),
    ],
)
def test_days_or_months_first_is_decided_by_the_file(dates, first_utc, said):
    rows = [f"{day} {8 + i:02}:00,5.4" for i, day in enumerate(dates)]
    found = read("\n".join(["time,mmol/L", *rows]))
    assert hours(found)[0] == first_utc
    assert {f"{r.at:%Y-%m}" for r in found.readings} == {"2026-03"}
    told = [w for w in found.warnings if "come first" in w]
    assert told == [] if said is None else told[0].startswith(said)


@pytest.mark.parametrize("dates", [["05/03/2026"], ["05/03/2026", "05/03/2026"], ["3-5-26"]])
def test_truly_open_days_and_months_are_asked_about(dates):
    rows = [f"{day} {8 + i:02}:00,5.4" for i, day in enumerate(dates)]
    with pytest.raises(AskFile, match="which one is it") as asked:
        read("\n".join(["time,mmol/L", *rows]))
    assert asked.value.about == "day_first"
    for day_first, option in zip((True, False), asked.value.options, strict=True):
        found = read("\n".join(["time,mmol/L", *rows]), day_first=day_first)
        assert {f"{r.at:%Y-%m-%d}" for r in found.readings} == {option}


def test_an_answer_about_days_does_not_undo_what_is_plain():
    found = read("time,mmol/L\n03/13/2026 08:00,5.4\n", day_first=True)
    assert hours(found) == ["13 07:00"]


def test_what_would_lie_in_the_future_settles_the_order():
    text = "time,mmol/L\n03/05/2026 08:00,5.4\n"
    found = read(text, now=utc("2026-03-06 12:00"))
    assert hours(found) == ["05 07:00"]
    assert found.warnings[0].startswith("months come first")


@pytest.mark.parametrize(
    ("heading", "values", "unit"),
    [
        ("glucose mmol/L", ["5.4", "6"], "mmol/L"),
        ("glucose", ["5.4", "6"], "mmol/L"),
        ("glucose", ["98", "104"], "mg/dL"),
        ("glucose [mg/dl]", ["30", "33"], "mg/dL"),
        ("glucose mmol/L", ["30", "33"], "mmol/L"),
        ("glucose", ["98 mg/dL", "5.4 mmol/L"], "mg/dL"),
    ],
)
def test_the_unit(heading, values, unit):
    rows = [f"2026-03-02 0{i}:00,{value}" for i, value in enumerate(values)]
    found = read("\n".join([f"time,{heading}", *rows]))
    assert found.unit == unit
    assert len(found.readings) == len(values)
    judged = heading == "glucose" and " " not in values[0]
    assert any("judged by their size" in w for w in found.warnings) is judged


def test_a_unit_in_each_row_counts_for_that_row():
    found = read("time,value,unit\n2026-03-02 08:00,90.091,mg/dL\n2026-03-02 08:05,5.5,mmol/L\n")
    assert [r.mmol for r in found.readings] == pytest.approx([5.0, 5.5])  # 90.091 / 18.0182 = 5
    assert found.columns["unit"] == "unit"


def test_the_unit_asked_for_goes_first_unless_it_cannot_be():
    text = "time,glucose mmol/L\n2026-03-02 08:00,20\n2026-03-02 08:05,25\n"
    assert read(text, unit="mg/dL").unit == "mg/dL"
    with pytest.raises(BadFile, match=r"you said mmol/L"):
        read(text.replace(",2", ",12"), unit="mmol/L")
    with pytest.raises(BadFile, match="the heading said mmol/L, but values around 122"):
        read(text.replace(",2", ",12"))


def test_what_was_assumed_is_said():
    found = read("Zeit;Glukose\n02.03.2026 08:00;98\n")
    assert found.columns == {"time": "Zeit", "glucose": "Glukose", "separator": "semicolon"}
    assert found.warnings == (
        "the times state no zone: read as Europe/Vienna",
        "no unit is stated: judged by their size, the values are in mg/dL",
    )


def test_columns_without_a_header_go_by_their_number():
    found = read("02.03.2026;08:00;5,4\n02.03.2026;08:05;5,5\n")
    assert found.columns == {
        "date": "column 1",
        "time": "column 2",
        "glucose": "column 3",
        "separator": "semicolon",
    }


def test_notes_with_separators_line_breaks_and_a_stray_quote():
    found = read(
        "time,note,glucose mmol/L\n"
        '2026-03-02 08:00,"after the early shift, tired",5.4\n'
        '2026-03-02 08:05,"two\nlines",5.5\n'
        "2026-03-02 08:10,,55\n"
    )
    assert [r.mmol for r in found.readings] == [5.4, 5.5]
    assert found.problems[0].line == 5
    found = read('time,glucose mmol/L,note\n2026-03-02 08:00,5.4,"open\n2026-03-02 08:05,5.5,\n')
    assert [r.mmol for r in found.readings] == [5.4, 5.5]


def test_a_header_that_comes_again_and_a_last_line_of_totals():
    found = read(
        "time,glucose mmol/L\n2026-03-02 08:00,5.4\ntime,glucose mmol/L\n2026-03-02 08:05,5.5\n\nTotal,2\n"
    )
    assert [r.mmol for r in found.readings] == [5.4, 5.5]
    assert found.skipped == 2


def swap(row: str) -> str:
    time, one, other = row.split(",")
    return f"{time},{other},{one}"


def test_a_column_of_finger_pricks_is_read_beside_the_sensors():
    rows = [f"2026-03-02 08:{i:02},{5 + i / 10},{'5.9' if i == 3 else ''}" for i in range(10)]
    found = read("\n".join(["time,finger glucose mmol/L,sensor glucose mmol/L", *map(swap, rows)]))
    sensor = [5 + i / 10 for i in range(10)]
    assert [r.mmol for r in found.readings] == pytest.approx([*sensor[:4], 5.9, *sensor[4:]])
    assert [place for place, specimen in enumerate(found.specimens) if specimen] == [4]
    assert found.columns["blood"] == "finger glucose mmol/L"
    assert "“finger glucose mmol/L” was kept apart, as values of blood" in found.warnings
    assert found.skipped == found.duplicates == 0
