"""Small writers for the files of this folder: tables, workbooks, archives, resources; no library needed."""

import io
import zipfile
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

VIENNA = ZoneInfo("Europe/Vienna")
MGDL = 18.0182  # mg/dL in 1 mmol/L; as in analysis.units, but not taken from there
START = datetime(2026, 3, 12, 21, 30, tzinfo=UTC)  # 22:30 in Vienna: two days, and one of them a 13th
MMOL = [5.4, 5.6, 6.1, 7.3, 8.2, 7.7, 6.4, 5.9, 5.2, 4.8, 5.0, 5.1]
PAIRS = [(START + timedelta(minutes=15 * i), mmol) for i, mmol in enumerate(MMOL)]

Pair = tuple[datetime, float]
_OFFICE = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_ZIP_DATE = (2026, 3, 13, 0, 0, 0)


@dataclass(frozen=True)
class Case:
    """A file and what is expected: of reading it (`read_file`) with these options."""

    name: str
    data: bytes
    expected: dict[str, Any] = field(default_factory=dict)


def good(name: str, data: bytes | str, pairs: Iterable[Pair] = PAIRS, **more: Any) -> Case:
    """A file that gives these readings; `more`: options, unit, limits, skipped, duplicates and the like."""
    raw = data.encode() if isinstance(data, str) else data
    expected = {"readings": [[iso(at), mmol] for at, mmol in sorted(pairs)], **more}
    return Case(name, raw, expected)


def bad(name: str, data: bytes | str, says: str, **more: Any) -> Case:
    """A file that is refused with a sentence that holds `says`."""
    return Case(name, data.encode() if isinstance(data, str) else data, {"says": says, **more})


def iso(at: datetime) -> str:
    return f"{at.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"


def stamp(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M}"


def local(at: datetime) -> datetime:
    return at.astimezone(VIENNA)


def half(at: datetime, before: str = "AM", after: str = "PM") -> str:
    return before if at.hour < 12 else after


def hour12(at: datetime) -> int:
    return at.hour % 12 or 12


def mg(mmol: float) -> str:
    return f"{mmol * MGDL:.0f}"


def comma(number: object) -> str:
    return str(number).replace(".", ",")


def serial(at: datetime) -> float:
    """Days since 1899-12-30 on the wall clock, as spreadsheets count."""
    return (local(at).replace(tzinfo=None) - datetime(1899, 12, 30)) / timedelta(days=1)  # noqa: DTZ001


def table(
    head: str, row: Callable[[datetime, float], str], pairs: Iterable[Pair] = PAIRS, tail: str = ""
) -> str:
    """Lines below a head; `row` gets the local time and the value."""
    return "".join([head, *(row(local(at), mmol) + "\n" for at, mmol in pairs), tail])


def zipped(members: dict[str, bytes | str], *, packed: bool = False) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, data in members.items():
            info = zipfile.ZipInfo(name, _ZIP_DATE)
            info.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
            archive.writestr(info, data)
    return out.getvalue()


def workbook(sheets: dict[str, Sequence[Sequence[str]]], *, from_1904: bool = False) -> bytes:
    """A workbook of ready-made cells, see `cell`."""
    kind = "http://schemas.openxmlformats.org"
    links_kind, main = f"{kind}/package/2006/relationships", f"{kind}/spreadsheetml/2006/main"
    office = f"{kind}/officeDocument/2006/relationships"
    head = '<?xml version="1.0" encoding="UTF-8"?>'
    names = list(sheets)
    listed = "".join(f'<sheet name="{n}" sheetId="{i}" r:id="rId{i}"/>' for i, n in enumerate(names, 1))
    links = "".join(
        f'<Relationship Id="rId{i}" Type="{office}/worksheet" Target="worksheets/sheet{i}.xml"/>'
        for i in range(1, len(names) + 1)
    )
    parts: dict[str, bytes | str] = {
        "[Content_Types].xml": f'{head}<Types xmlns="{kind}/package/2006/content-types">'
        '<Default Extension="xml" ContentType="application/xml"/>'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{_OFFICE}.sheet.main+xml"/>'
        f'<Override PartName="/xl/styles.xml" ContentType="{_OFFICE}.styles+xml"/></Types>',
        "_rels/.rels": f'{head}<Relationships xmlns="{links_kind}"><Relationship Id="rId1" '
        f'Type="{office}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'{head}<workbook xmlns="{main}" '
        f'xmlns:r="{office}">'
        f'<workbookPr date1904="{int(from_1904)}"/><sheets>{listed}</sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'{head}<Relationships xmlns="{links_kind}">{links}'
        f'<Relationship Id="rId99" Type="{office}/styles" '
        'Target="styles.xml"/></Relationships>',
        "xl/styles.xml": f'{head}<styleSheet xmlns="{main}">'
        '<fonts count="1"><font/></fonts><fills count="1"><fill/></fills><borders count="1">'
        "<border/></borders>"
        '<cellStyleXfs count="1"><xf/></cellStyleXfs><cellXfs count="4">'
        + "".join(f'<xf numFmtId="{number}" applyNumberFormat="1"/>' for number in (0, 22, 14, 20))
        + "</cellXfs></styleSheet>",
    }
    for i, rows in enumerate(sheets.values(), 1):
        cells = "".join(f'<row r="{n}">{"".join(row)}</row>' for n, row in enumerate(rows, 1))
        parts[f"xl/worksheets/sheet{i}.xml"] = (
            f'{head}<worksheet xmlns="{main}"><sheetData>{cells}</sheetData></worksheet>'
        )
    return zipped(parts)


STAMP, DAY, CLOCK = 1, 2, 3  # the styles above: 22 is a date with a time, 14 a date, 20 a time


def cell(value: str | float, style: int = 0, formula: str = "") -> str:
    """A cell of a sheet: text, or a number in a style, or a formula with the value it had."""
    if isinstance(value, str) and not formula:
        return f'<c t="inlineStr"><is><t>{value}</t></is></c>'
    return f'<c s="{style}">' + (f"<f>{formula}</f>" if formula else "") + f"<v>{value}</v></c>"


def observation(
    at: datetime | str, value: float | None, unit: str, loinc: str, **more: Any
) -> dict[str, Any]:
    """A glucose Observation of HL7 FHIR R4; without a value its reason is in `more`."""
    found: dict[str, Any] = {
        "resourceType": "Observation",
        "status": "final",
        "code": {"coding": [{"system": "http://loinc.org", "code": loinc}]},
        "subject": {"reference": "Patient/driver"},
        "effectiveDateTime": at if isinstance(at, str) else at.isoformat(),
    }
    if value is not None:
        found["valueQuantity"] = {
            "value": value,
            "unit": unit,
            "system": "http://unitsofmeasure.org",
            "code": unit,
        }
    return found | more


def bundle(resources: Iterable[dict[str, Any]]) -> dict[str, Any]:
    return {
        "resourceType": "Bundle",
        "type": "collection",
        "entry": [{"resource": each} for each in resources],
    }
