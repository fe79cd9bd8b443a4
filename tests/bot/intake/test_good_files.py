"""Files in many layouts, each with what must come out of it. The layouts are made up for these tests."""

from datetime import UTC, timedelta

import pytest

from bot.intake import read_file
from bot.model.entries import Reading
from tests.bot.intake.files import START, VIENNA, Style, readings, write

# Molar mass of glucose as in bot.model.units; written out here so that the check does not lean on the code.
MGDL = 18.0182


def mg(mmol: float) -> list[str]:
    return [f"{mmol * MGDL:.0f}"]


GOOD = {
    "plain comma": Style(),
    "iso with T and seconds": Style(stamp=lambda at: [f"{at:%Y-%m-%dT%H:%M:%S}"]),
    "iso with offset": Style(stamp=lambda at: [at.isoformat()]),
    "iso in utc": Style(stamp=lambda at: [f"{at.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"]),
    "iso with milliseconds": Style(stamp=lambda at: [f"{at:%Y-%m-%dT%H:%M:%S}.000+0100"]),
    "iso compact": Style(stamp=lambda at: [f"{at:%Y%m%dT%H%M%S}"]),
    "fourteen digits": Style(stamp=lambda at: [f"{at:%Y%m%d%H%M%S}"]),
    "year first with slashes": Style(stamp=lambda at: [f"{at:%Y/%m/%d %H:%M}"]),
    "heading says utc": Style(
        stamp=lambda at: [f"{at.astimezone(UTC):%Y-%m-%d %H:%M}"], header=("time (UTC)", "glucose mmol/L")
    ),
    "semicolon, decimal comma, German": Style(
        stamp=lambda at: [f"{at:%d.%m.%Y %H:%M}"],
        value=lambda v: [f"{v:.1f}".replace(".", ",")],
        separator=";",
        header=("Zeitpunkt", "Glukose in mmol/l"),
    ),
    "tab, French, latin-1": Style(
        stamp=lambda at: [f"{at:%d/%m/%Y %Hh%M}"],
        value=lambda v: [f"{v:.1f}".replace(".", ",")],
        separator="\t",
        header=("Relevé à l'heure", "Glycémie mmol/L"),
        encoding="latin-1",
    ),
    "pipe, Spanish, mg/dL": Style(
        stamp=lambda at: [f"{at:%d-%m-%Y %H:%M}"],
        value=mg,
        separator="|",
        header=("Fecha y hora", "Glucosa mg/dL"),
    ),
    "pipes all round": Style(
        stamp=lambda at: ["", f" {at:%Y-%m-%d %H:%M} "],
        value=lambda v: [f" {v} ", ""],
        separator="|",
        header=("", " time ", " glucose mmol/L ", ""),
    ),
    "blanks only": Style(separator="  ", header=None),
    "blanks, 12-hour clock": Style(stamp=lambda at: [f"{at:%Y-%m-%d %I:%M %p}"], separator=" ", header=None),
    "month first": Style(stamp=lambda at: [f"{at:%m/%d/%Y %H:%M}"]),
    "month first, 12-hour clock": Style(stamp=lambda at: [f"{at:%m/%d/%Y %I:%M:%S %p}"]),
    "12-hour clock with points": Style(
        stamp=lambda at: [f"{at.day}/{at.month}/{at.year} {at:%I:%M} " + ("a.m." if at.hour < 12 else "p.m.")]
    ),
    "two-digit year": Style(stamp=lambda at: [f"{at.day}.{at.month}.{at:%y} {at:%H:%M}"], separator=";"),
    "month by name": Style(stamp=lambda at: [f"{at.day} {at:%b} {at.year} {at:%H:%M}"]),
    "month by name, American, quoted": Style(
        stamp=lambda at: [f'"{at:%b} {at.day}, {at.year} {at:%I:%M %p}"'], separator=","
    ),
    "weekday and month by name": Style(stamp=lambda at: [f"Tue {at.day}-{at:%b}-{at.year} {at:%H:%M:%S}"]),
    "clock before date": Style(stamp=lambda at: [f"{at:%H:%M %d.%m.%Y}"]),
    "two columns for date and clock": Style(
        stamp=lambda at: [f"{at:%d.%m.%Y}", f"{at:%H:%M}"],
        separator=";",
        header=("Datum", "Uhrzeit", "mmol/l"),
    ),
    "two columns, 12-hour clock": Style(
        stamp=lambda at: [f"{at:%Y-%m-%d}", f"{at:%I:%M %p}"], header=("date", "time", "glucose mmol/L")
    ),
    "two columns without header": Style(stamp=lambda at: [f"{at:%Y-%m-%d}", f"{at:%H:%M:%S}"], header=None),
    "epoch seconds": Style(stamp=lambda at: [f"{at.timestamp():.0f}"], header=("timestamp", "value")),
    "epoch milliseconds": Style(stamp=lambda at: [f"{at.timestamp() * 1000:.0f}"], header=("t", "glucose")),
    "epoch without header": Style(stamp=lambda at: [f"{at.timestamp():.0f}"], header=None),
    "value before time": Style(value_first=True, header=("Glucose mmol/L", "Time")),
    "value before time without header": Style(value_first=True, header=None),
    "no header": Style(header=None),
    "no header, mg/dL": Style(header=None, value=mg),
    "header of unknown words": Style(header=("kpl", "sokeri")),
    "unit in its own column": Style(value=lambda v: [*mg(v), "mg/dL"], header=("time", "value", "unit")),
    "unit in each cell": Style(value=lambda v: [f"{v} mmol/L"], header=("time", "result")),
    "units in a second heading": Style(header=("time", "glucose\nhh:mm,mg/dl"), value=mg),
    "unit in the preamble": Style(
        header=("time", "glucose"), value=mg, preamble=("Report of one person", "Glucose unit: mg/dL", "")
    ),
    "unit by magnitude": Style(header=("time", "glucose"), value=mg),
    "preamble of odd width": Style(
        preamble=("A record", "made,2026-03-26 10:00,by,me,and,you", "", "weeks,2", "")
    ),
    "both units side by side": Style(
        value=lambda v: [f"{v}", *mg(v)], header=("time", "glucose mmol/L", "glucose mg/dL")
    ),
    "other columns around": Style(
        stamp=lambda at: ["17", f"{at:%Y-%m-%d %H:%M}"],
        value=lambda v: [f"{v}", "3", "61", "at home, resting".replace(",", ""), "-0.1"],
        header=("id", "time", "glucose mmol/L", "trend", "heart rate", "note", "delta"),
    ),
    "counter and constant without header": Style(
        stamp=lambda at: [f"{(at - START) / timedelta(minutes=15) + 1:.0f}", f"{at:%Y-%m-%d %H:%M}"],
        value=lambda v: [f"{v}", "2"],
        header=None,
    ),
    "quotes everywhere": Style(
        stamp=lambda at: [f'"{at:%Y-%m-%d %H:%M}"'],
        value=lambda v: [f'"{v}"'.replace(".", ",")],
        header=('"time"', '"glucose, mmol/L"'),
    ),
    "decimal comma is the separator too": Style(
        stamp=lambda at: [f"{at:%d.%m.%Y %H:%M}"], value=lambda v: [f"{v}".replace(".", ",")]
    ),
    "decimal comma is the separator too, no header": Style(
        value=lambda v: [f"{v}".replace(".", ",")], header=None
    ),
    "created beside measured": Style(
        stamp=lambda at: [f"{at + timedelta(days=9):%Y-%m-%d %H:%M}", f"{at:%Y-%m-%d %H:%M}"],
        header=("created at", "measured at", "mmol/L"),
    ),
    "byte order mark": Style(encoding="utf-8-sig"),
    "utf-16": Style(encoding="utf-16"),
    "utf-16 without mark": Style(encoding="utf-16-be"),
    "windows line ends": Style(newline="\r\n"),
    "old line ends": Style(newline="\r"),
    "separator named first": Style(separator=";", preamble=("sep=;",)),
}


@pytest.mark.parametrize("style", GOOD.values(), ids=GOOD.keys())
def test_every_layout_gives_the_same_readings(style):
    pairs = readings()
    found = read_file(write(pairs, style), "readings.csv", zone=VIENNA)
    assert [r.at for r in found.readings] == [at for at, _ in pairs]
    # values written as whole mg/dL are up to half of one away
    assert [r.mmol for r in found.readings] == pytest.approx([v for _, v in pairs], abs=0.5 / MGDL + 1e-9)
    assert (found.flagged, found.skipped, found.duplicates) == (0, 0, 0), found.problems
    assert all(type(r) is Reading and r.at is not None and r.at.tzinfo is UTC for r in found.readings)
