"""The files of this folder: how each is made, and what must come out of it."""
# ruff: noqa: E501 - a case reads best in one piece

import gzip
import json
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from tests.intake.more_cases import KINDS, SHAPES
from tests.intake.writing import (
    CLOCK,
    DAY,
    MMOL,
    PAIRS,
    STAMP,
    Case,
    bad,
    bundle,
    cell,
    comma,
    good,
    half,
    hour12,
    iso,
    local,
    mg,
    observation,
    serial,
    stamp,
    table,
    workbook,
    zipped,
)

FIVE = table("time,glucose mmol/L\n", lambda at, v: f"{at:%Y-%m-%d %H:%M},{v}")
JUDGED = "judged by their size"


def cells(at: datetime, mmol: float) -> list[str]:
    return [cell(serial(at), STAMP), cell(mmol)]


HEAD = [cell("Time"), cell("Glucose mmol/L")]

TEXTS = [
    good("plain.csv", FIVE, unit="mmol/L", warns=["the times state no zone"]),
    good("semicolon_decimal_comma.csv", table(
        "Zeitpunkt;Gewebezucker (mmol/l)\n", lambda at, v: f"{at:%d.%m.%Y %H:%M};{comma(v)}")),
    good("pipes_iso_offset.txt", table("|at|value|\n", lambda at, v: f"| {at.isoformat()} | {mg(v)} mg/dL |"),
         unit="mg/dL"),
    good("tab_month_first.tsv", table("Date\tGlucose (mg/dL)\n", lambda at, v:
         f"{at:%m/%d/%Y} {hour12(at)}:{at:%M:%S} {half(at)}\t{mg(v)}"), unit="mg/dL"),
    good("no_header.txt", table("", lambda at, v: f"{stamp(at)} {v}"), warns=[JUDGED]),
    good("no_header_value_first.csv", table("", lambda at, v: f"{v};{at:%d.%m.%Y};{at:%H:%M:%S}")),
    good("preamble_and_summary.csv", table(
        "Record of a tram driver\n\nMade;20.03.2026 08:00\nWeeks;2\n\nDatum;Zeit;Glukose mg/dl;Puls\n",
        lambda at, v: f"{at:%d.%m.%Y};{at:%H:%M};{mg(v)};61", tail="\nMittelwert;;109;61\nAnzahl;12\n"),
        skipped=2, unit="mg/dL"),
    good("units_row.csv", table("time,temperature,glucose\nlocal,°C,mg/dL\n", lambda at, v:
         f"{stamp(at)},21.5,{mg(v)}"), unit="mg/dL"),
    good("epoch_seconds.csv", table("t,bg\n", lambda at, v: f"{at.timestamp():.0f},{mg(v)}")),
    good("epoch_milliseconds_thousands.csv", table("epoch;glucose\n", lambda at, v:
         f"{int(at.timestamp() * 1000):,};{v}")),
    good("serial_days.csv", table("when;glucose mmol/L\n", lambda at, v: f"{comma(round(serial(at), 8))};{comma(v)}")),
    good("serial_day_and_part.csv", table("date,time,glucose mmol/L\n", lambda at, v:
         f"{int(serial(at))},{serial(at) % 1!r},{v}")),
    good("offset_column.csv", table("time,utc offset,glucose\n", lambda at, v: f"{stamp(at)},+01:00,{v}"),
         options={"zone": "America/Chicago"}),
    good("offset_minutes.csv", table("time,offset,glucose\n", lambda at, v: f"{stamp(at)},60,{v}"),
         options={"zone": "America/Chicago"}),
    good("zone_column.csv", table("time,zone,glucose\n", lambda at, v:
         f"{stamp(at.astimezone(ZoneInfo('America/Chicago')))},America/Chicago,{v}")),
    good("utc_heading.csv", table("time (UTC),glucose\n", lambda at, v: f"{stamp(at.astimezone(UTC))},{v}")),
    good("quoted_line_breaks.csv", table('"time","note","glucose mmol/L"\n', lambda at, v:
         f'"{stamp(at)}","rye toast,\nthen tea","{comma(v)}"')),
    good("text_formulas.csv", table("time,glucose\n", lambda at, v: f'="{stamp(at)}",="{v}"')),
    good("unsorted.csv", table("time,glucose\n", lambda at, v: f"{stamp(at)},{v}", PAIRS[6:] + PAIRS[:6])),
    good("newest_first.csv", table("time,glucose\n", lambda at, v: f"{stamp(at)},{v}", PAIRS[::-1])),
    good("repeated_rows.csv", FIVE + f"{stamp(local(PAIRS[3][0]))},9.9\n{stamp(local(PAIRS[4][0]))},8.2\n",
         duplicates=2, warns=["different values: 1"]),
    good("markers.csv", table("time;glucose mg/dL\n", lambda at, v:
         f"{stamp(at)};" + {5.4: "LO", 5.6: "<40", 6.1: "HI", 7.3: "> 500", 8.2: "High"}.get(v, mg(v))),
         PAIRS[5:], limits=[[iso(at), what] for (at, _), what in zip(
             PAIRS, ["low limit"] * 2 + ["high limit"] * 3, strict=False)]),
    good("marker_words.csv", table("Zeit;Glukose mmol/l\n", lambda at, v:
         f"{stamp(at)};" + {5.4: "niedrig", 5.6: "HOCH", 6.1: "---", 7.3: "n/a"}.get(v, comma(v))),
         PAIRS[4:], skipped=2, limits=[[iso(PAIRS[0][0]), "low limit"], [iso(PAIRS[1][0]), "high limit"]]),
    good("historic_and_scan.csv", table("time,kind,historic glucose mmol/L,scan glucose mmol/L\n", lambda at, v:
         f"{stamp(at)},1,,{v}" if at.minute == 30 else f"{stamp(at)},0,{v},"), warns=["were read together"]),
    good("both_units.csv", table("time,glucose mmol/L,glucose mg/dL\n", lambda at, v: f"{stamp(at)},{v},{mg(v)}"),
         warns=["says the same as"]),
    good("chosen_column.csv", table("time,left glucose,right glucose\n", lambda at, v: f"{stamp(at)},{v + 1},{v}"),
         options={"column": "right glucose"}),
    good("chosen_column_number.csv", table("", lambda at, v: f"{stamp(at)},{v + 1:.1f},{v}"),
         options={"column": "column 3"}),
    good("many_columns.csv", table("id,created,measured,carbs g,insulin,heart rate,glucose,trend\n", lambda at, v:
         f"9,2026-04-01 00:00,{stamp(at)},30,4.5,61,{mg(v)},-0.4")),
    good("days_first_answered.csv", table("time,mmol/L\n", lambda at, v: f"05/03/2026 {at:%H:%M},{v}", PAIRS[6:]),
         [(at - timedelta(days=8), v) for at, v in PAIRS[6:]], options={"day_first": True}),
    good("months_first_answered.csv", table("time,mmol/L\n", lambda at, v: f"03/05/2026 {at:%H:%M},{v}", PAIRS[6:]),
         [(at - timedelta(days=8), v) for at, v in PAIRS[6:]], options={"day_first": False}),
    good("months_first_by_today.csv", table("time,mmol/L\n", lambda at, v: f"03/05/2026 {at:%H:%M},{v}", PAIRS[6:]),
         [(at - timedelta(days=8), v) for at, v in PAIRS[6:]], options={"now": "2026-03-06T12:00:00+00:00"}),
    # 2026-10-25: 03:00 CEST becomes 02:00 CET; 2026-03-29: 02:00 CET becomes 03:00 CEST (IANA time zones)
    good("hour_twice.csv", "time,mmol/L\n" + "".join(f"2026-10-25 {t},5.{i}\n" for i, t in enumerate(
        ["01:30", "02:00", "02:30", "02:00", "02:30", "03:00"])),
        [(datetime(2026, 10, 24, 23, 30, tzinfo=UTC) + timedelta(minutes=30 * i), 5 + i / 10) for i in range(6)]),
    good("hour_missing.csv", "time,mmol/L\n2026-03-29 01:30,5.1\n2026-03-29 02:30,5.2\n2026-03-29 03:00,5.3\n",
         [(datetime(2026, 3, 29, 0, 30, tzinfo=UTC), 5.1), (datetime(2026, 3, 29, 1, 0, tzinfo=UTC), 5.3)],
         skipped=1, problems=["never was"]),
    good("future.csv", FIVE, PAIRS[:4], skipped=8, problems=["in the future"],
         options={"now": iso(PAIRS[3][0])}),
]  # fmt: skip

LANGUAGES = [
    good("french_latin1.csv", table("Horodatage;Glycémie mmol/L\n", lambda at, v:
         f"{at:%d/%m/%Y %Hh%M};{comma(v)}").encode("latin-1")),
    good("spanish_halves.csv", table("Fecha y hora;Glucosa (mg/dL)\n", lambda at, v:
         f"{at:%d/%m/%Y} {hour12(at)}:{at:%M} {half(at, 'a. m.', 'p. m.')};{mg(v)}")),
    good("italian.csv", table("Data;Ora;Glicemia\n", lambda at, v: f"{at:%d/%m/%Y};{at:%H.%M};{mg(v)}")),
    good("dutch_utf16.csv", table("Datum\tTijd\tSuiker mmol/l\n", lambda at, v:
         f"{at:%d-%m-%Y}\t{at:%H:%M}\t{comma(v)}").encode("utf-16")),
    good("portuguese.csv", table("Dia;Hora;Glicose mg/dL\n", lambda at, v:
         f"{at.day} de março de {at.year};{at:%H:%M};{mg(v)}")),
    good("polish.csv", table("Data i godzina;Cukier mg/dl\n", lambda at, v:
         f"{at.day} marca {at.year} {at:%H:%M};{mg(v)}").encode("cp1250")),
    good("czech_cp1250.csv", table("Datum;Čas;Glykémie\n", lambda at, v:
         f"{at.day}. {at.month}. {at.year};{at:%H:%M};{comma(v)}").encode("cp1250")),
    good("swedish.csv", table("Tidpunkt;Blodsocker mmol/l\n", lambda at, v: f"{stamp(at)};{comma(v)}")),
    good("danish.csv", table("Dato;Klokkeslæt;Blodsukker\n", lambda at, v:
         f"{at:%d-%m-%Y};{at:%H.%M};{comma(v)}")),
    good("norwegian.csv", table("Dato;Klokkeslett;Blodsukker (mmol/l)\n", lambda at, v:
         f"{at:%d.%m.%Y};kl. {at:%H:%M};{comma(v)}")),
    good("finnish.csv", table("Päivämäärä;Kellonaika;Verensokeri\n", lambda at, v:
         f"{at.day}. maaliskuuta {at.year};{at:%H.%M};{comma(v)}")),
    good("turkish_cp1254.csv", table("Tarih;Saat;Kan şekeri mg/dl\n", lambda at, v:
         f"{at:%d.%m.%Y};{at:%H:%M};{mg(v)}").encode("cp1254")),
    good("hungarian_halves.csv", table("Időpont;Vércukor (mmol/l)\n", lambda at, v:
         f"{at.year}. március {at.day}. {half(at, 'de.', 'du.')} {hour12(at)}:{at:%M};{comma(v)}")),
    good("russian_cp1251.csv", table("Дата и время;Глюкоза, ммоль/л\n", lambda at, v:
         f"{at:%d.%m.%Y %H:%M};{comma(v)}").encode("cp1251")),
    good("russian_utf16_no_mark.csv", table("Дата\tВремя\tСахар\n", lambda at, v:
         f"{at.day} марта {at.year} г.\t{at:%H:%M}\t{comma(v)}").encode("utf-16-le")),
    good("greek_halves.csv", table("Ημερομηνία;Ώρα;Γλυκόζη (mg/dL)\n", lambda at, v:
         f"{at:%d/%m/%Y};{hour12(at)}:{at:%M} {half(at, 'π.μ.', 'μ.μ.')};{mg(v)}")),
    good("japanese_shift_jis.csv", table("測定日時,血糖値(mg/dL)\n", lambda at, v:
         f"{at.year}年{at.month}月{at.day}日 {at.hour}時{at.minute}分,{mg(v)}").encode("shift_jis")),
    good("chinese_halves_gb18030.csv", table("时间,葡萄糖\n", lambda at, v:
         f"{at:%Y/%m/%d} {half(at, '上午', '下午')}{hour12(at)}:{at:%M},{v}").encode("gb18030")),
    good("korean.csv", table("측정시간,혈당 (mg/dL)\n", lambda at, v:
         f"{at.year}. {at.month}. {at.day}. {half(at, '오전', '오후')} {hour12(at)}:{at:%M},{mg(v)}")),
]  # fmt: skip

OTHER_KINDS = [
    good("packed.csv.gz", gzip.compress(FIVE.encode(), mtime=0)),
    good("packed_twice.csv.gz", gzip.compress(FIVE[:200].encode(), mtime=0) + gzip.compress(
        FIVE[200:].encode(), mtime=0)),
    good("one_member.zip", zipped({"a/readings.csv": FIVE}, packed=True)),
    good("members.zip", zipped({
        "early.csv": table("time,glucose\n", lambda at, v: f"{stamp(at)},{v}", PAIRS[:8]),
        "late.csv": table("Zeit;Glukose\n", lambda at, v: f"{at:%d.%m.%Y %H:%M};{comma(v)}", PAIRS[6:]),
        "meals.csv": "time,carbs g\n2026-03-12 23:00,40\n2026-03-12 23:30,45\n",
        "photo.png": b"\x89PNG\r\n\x1a\n", "__MACOSX/._early.csv": b"\x00\x01"}),
        duplicates=2, warns=["read together", "passed over"]),
    good("chosen_member.zip", zipped({"left.csv": FIVE.replace(",5", ",9"), "right.csv": FIVE}),
         options={"column": "right.csv"}),
    good("stamps.xlsx", workbook({"Days": [HEAD, *(cells(at, v) for at, v in PAIRS)]})),
    good("date_and_clock.xlsx", workbook({"Sheet1": [[cell("A record")], [], [cell("Datum"), cell("Uhrzeit"), cell(
        "mg/dL")], *([cell(int(serial(at)), DAY), cell(serial(at) % 1, CLOCK), cell(int(mg(v)))] for at, v in PAIRS)]})),
    good("formulas.xlsx", workbook({"Days": [HEAD, *([cell(serial(at), STAMP, "A1+1/96"), cell(v, 0, "B1*2")] for
         at, v in PAIRS), [cell("Mean"), cell(6.1, 0, "AVERAGE(B2:B13)")]]}), skipped=1),
    good("text_cells.xlsx", workbook({"Days": [HEAD, *([cell(f"{local(at):%d.%m.%Y %H:%M}"), cell(comma(v))] for
         at, v in PAIRS)]})),
    good("serials_from_1904.xlsx", workbook({"Days": [HEAD, *([cell(serial(at) - 1462), cell(v)] for
         at, v in PAIRS)]}, from_1904=True)),
    good("several_sheets.xlsx", workbook({
        "About": [[cell("A tram driver's weeks")]], "Glucose": [HEAD, *(cells(at, v) for at, v in PAIRS)],
        "Pulse": [[cell("Time"), cell("Pulse")], *([cell(serial(at), STAMP), cell(61 + i % 3)] for i, (at, _) in
                                                   enumerate(PAIRS))]})),
    good("objects.json", json.dumps([{"measuredAt": at.isoformat(), "glucose": {"value": v, "unit": "mmol/L"}}
         for at, v in PAIRS])),
    good("inside_objects.json", json.dumps({"made": "2026-03-20T08:00:00Z", "unit": "mg/dL", "days": [
        {"date": day, "list": [{"clock": f"{local(at):%H:%M}", "value": int(mg(v))} for at, v in PAIRS
                               if f"{local(at):%Y-%m-%d}" == day]} for day in ("2026-03-12", "2026-03-13")]})),
    good("columns.json", json.dumps({"timestamps": [int(at.timestamp()) for at, _ in PAIRS], "glucose": MMOL})),
    good("by_time.json", json.dumps({"glucose": {at.isoformat(): v for at, v in PAIRS}})),
    good("arrays.json", json.dumps([["time", "pulse", "glucose"], *([at.isoformat(), 61, v] for at, v in PAIRS)])),
    good("other_lists.json", json.dumps({
        "pulse": [{"t": at.isoformat(), "v": 61 + i % 3} for i, (at, _) in enumerate(PAIRS)],
        "glucose": [{"t": at.isoformat(), "v": v} for at, v in PAIRS]})),
    good("lines.jsonl", "".join(json.dumps({"ts": int(at.timestamp() * 1000), "bg": int(mg(v)), "note": None}) + "\n"
         for at, v in PAIRS) + '{"ts": 17', warns=["not JSON: 1"]),
    good("bundle.json", json.dumps(bundle([
        *(observation(at, int(mg(v)), "mg/dL", "99504-3") for at, v in PAIRS),
        observation(PAIRS[0][0] + timedelta(minutes=5), None, "", "99504-3", dataAbsentReason={"text": "sensor off"}),
        observation("2026-03-13", 5.5, "mmol/L", "105272-9"),
        observation("2026-03-13T08:00:00", 5.5, "mmol/L", "105272-9"),
        observation(PAIRS[0][0], 110, "mg/dL", "97507-8"),
        {"resourceType": "Patient"}])), skipped=4, specimens=["interstitial"] * 12,
        problems=["sensor off", "offset", "summary"]),
    good("lines_of_resources.ndjson", "\n".join(json.dumps(observation(local(at), v, "mmol/L", loinc)) for (at, v), loinc
         in zip(PAIRS, ["105272-9", "41653-7", "14749-6"] * 4, strict=True)),
         specimens=["interstitial", "capillary", "plasma"] * 4),
    good("bundle_comparators.json", json.dumps(bundle([
        *(observation(at, v, "mmol/L", "105272-9") for at, v in PAIRS[1:]),
        observation(PAIRS[0][0], 2.2, "", "105272-9", valueQuantity={
            "value": 2.2, "comparator": "<", "code": "mmol/L"})])), PAIRS[1:],
        limits=[[iso(PAIRS[0][0]), "low limit"]], specimens=["interstitial"] * 11),
]  # fmt: skip

LOCKED = bytearray(zipped({"readings.csv": FIVE}))
for header, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):  # bit 0 of the flags: the member is encrypted
    LOCKED[LOCKED.index(header) + flags] |= 1

BAD = [
    bad("empty.csv", "", "is empty"),
    bad("blank_lines.csv", "\r\n\n \t\n", "is empty"),
    bad("header_only.csv", "time,glucose mmol/L\n", "holds no readings"),
    bad("letter.txt", "Dear friend,\nat 8:05 I had 2 rolls, at 9 a walk.\n", "holds no readings"),
    bad("days_only.csv", table("date,glucose\n", lambda at, v: f"{at:%Y-%m-%d},{v}"), "a day but no clock time"),
    bad("clocks_only.csv", table("time,glucose\n", lambda at, v: f"{at:%H:%M},{v}"), "a clock time but no day"),
    bad("steps.csv", table("time,steps\n", lambda at, v: f"{stamp(at)},{int(v)}"), "no column of glucose"),
    bad("wrong_unit.csv", table("time,glucose mmol/L\n", lambda at, v: f"{stamp(at)},{mg(v)}"), "said mmol/L"),
    bad("too_high.csv", table("time,glucose\n", lambda at, v: f"{stamp(at)},{v * 1000:.0f}"), "no column of glucose"),
    bad("page.html", "<!DOCTYPE html><html><table><tr><td>2026-03-12 08:00<td>5.4</table></html>", "is a web page"),
    bad("records.xml", '<?xml version="1.0"?><r at="2026-03-12T08:00:00Z">5.4</r>', "is an XML file"),
    bad("printed.pdf", b"%PDF-1.7\n1 0 obj <</Type /Catalog>> endobj\n", "is a PDF"),
    bad("photo.png", b"\x89PNG\r\n\x1a\n" + bytes(64), "is a picture"),
    bad("photo.jpg", b"\xff\xd8\xff\xe0" + bytes(64), "is a picture"),
    bad("noise.csv", bytes(i * 7919 % 251 for i in range(2000)), "is not a text file"),
    bad("broken_off.csv.gz", gzip.compress(FIVE.encode(), mtime=0)[:-30], "breaks off"),
    bad("damaged.zip", zipped({"readings.csv": FIVE})[:-30], "damaged"),
    bad("locked.zip", bytes(LOCKED), "locked with a password"),
    bad("locked.xlsx", b"\xd0\xcf\x11\xe0" + bytes(60) + "EncryptedPackage".encode("utf-16-le") + bytes(60),
        "locked with a password"),
    bad("bomb.csv.gz", gzip.compress(bytes(30_000_000), mtime=0), "unpacks to far more"),
    bad("bomb.zip", zipped({f"{i}.csv": bytes(10_000_000) for i in range(4)}, packed=True), "unpacks to far more"),
    bad("many_members.zip", zipped({f"{i}.csv": b"" for i in range(101)}), "holds 101 files"),
    bad("pictures_only.zip", zipped({"photo.png": b"\x89PNG\r\n\x1a\n"}), "photo.png is a picture"),
    bad("too_many_rows.csv.gz", gzip.compress(b"a,1\n" * 2_000_001, mtime=0), "more than 2,000,000 rows"),
    bad("far_cell.xlsx", workbook({"Days": [HEAD, ['<c r="XFD1048576"><v>1</v></c>']]}), "holds no readings"),
    bad("formulas_never_worked_out.xlsx", workbook({"Days": [HEAD, *([cell(serial(at), STAMP), "<c><f>B1*2</f></c>"]
        for at, _ in PAIRS)]}), "no column of glucose"),
    bad("document.docx", zipped({"[Content_Types].xml": "<Types/>", "word/document.xml": "<w/>"}), "no .xlsx workbook"),
    bad("broken.json", json.dumps([{"time": iso(at), "mmol": v} for at, v in PAIRS])[:-40], "is broken JSON"),
    bad("deep.json", "[" * 20_000, "JSON"),
    bad("other_resource.json", json.dumps({"resourceType": "Patient"}), "FHIR without Observations"),
    bad("two_people.json", json.dumps(bundle(observation(at, v, "mmol/L", "105272-9", subject={
        "reference": f"Patient/{i % 2}"}) for i, (at, v) in enumerate(PAIRS))), "readings of 2 people"),
    bad("other_unit.json", json.dumps(bundle([observation(at, v, "g/L", "105272-9") for at, v in PAIRS])),
        "neither mmol/L nor mg/dL"),
]  # fmt: skip

ASKED = [
    bad("day_or_month.csv", table("time,mmol/L\n", lambda at, v: f"05/03/2026 {at:%H:%M},{v}", PAIRS[6:]),
        "“05/03/2026” can be", about="day_first", options_offered=["2026-03-05", "2026-05-03"]),
    bad("two_columns_apart.csv", table("time,left glucose,right glucose\n", lambda at, v: f"{stamp(at)},{v},{v + 1}"),
        "do not agree (5.4 and 6.4 mmol/L", about="column", options_offered=["left glucose", "right glucose"]),
    bad("two_columns_no_header.csv", table("", lambda at, v: f"{stamp(at)},{v},{11.5 - v:.1f}"),
        "could both be the glucose", about="column", options_offered=["column 2", "column 3"]),
    bad("members_apart.zip", zipped({"left.csv": FIVE.replace(",5", ",9"), "right.csv": FIVE}),
        "different values for the same times", about="column", options_offered=["left.csv", "right.csv"]),
    bad("no_such_column.csv", FIVE, "has no column “sugar”", options={"column": "sugar"}),
]  # fmt: skip

CASES: list[Case] = [*TEXTS, *LANGUAGES, *OTHER_KINDS, *KINDS, *SHAPES, *BAD, *ASKED]
