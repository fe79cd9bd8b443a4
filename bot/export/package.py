"""Everything held about one person as named files, in a folder or packed."""

import io
import json
import zipfile
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from datetime import UTC, date, datetime, time
from pathlib import Path

from bot.export.bundle import write_bundle
from bot.export.sheets import write_foods, write_meals, write_notes, write_readings
from bot.frames.servings import occasions_between
from bot.model.entries_json import KINDS
from bot.model.files import write_private_in
from bot.model.messages import Picture, PictureSpec
from bot.report.sending import report_between
from bot.store import Person, Transaction
from bot.store.everything import Row

README = """Everything that tablenote holds about you.

everything.json  every row of every table that names you, as it is kept (instants in UTC)
readings.csv     glucose, one reading a line, in both units
notes.csv        what you noted, one note a line
foods.csv        each food of each meal, with grams and nutrients
meals.csv        each meal with the measures of its curve (mmol/L, minutes)
record.fhir.json readings and notes as a FHIR R4 bundle
report.html      the report with its pictures; in the chat that of the last four weeks, for others ask me
files/           files and photos that you sent; of many photos, some come in packages of their own
"""
File = tuple[str, Iterable[bytes]]
"""The name of a file, and what it holds, piece by piece."""
ALT = "Everything I hold about you, as a ZIP file."
_JPEG = b"\xff\xd8\xff"
_EVER = (datetime(1970, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC))


def gather(
    tx: Transaction,
    person: Person,
    pictured: Collection[int] | None = None,
    reported_since: datetime = _EVER[0],
) -> Iterator[File]:
    """Give each file of the export: its name, and what it holds.

    pictured: the ids of the photos that are among the files, all by default
    reported_since: where the report begins
    """
    tables = tx.everything(person.id, pictured)
    zone, readings = person.zone, tables.get("readings", [])
    entries = tx.log.between(person.id, tuple(KINDS), None, None)
    meals = [logged for logged in entries if logged.kind == "meal"]
    yield "README.txt", [README.encode()]
    for name, content in _take_files(tables).items():
        yield name, [content]
    yield "everything.json", _write_tables(tables)
    yield "readings.csv", [write_readings(readings, zone).encode()]
    yield "notes.csv", [write_notes(entries, zone).encode()]
    yield "foods.csv", [write_foods(meals, zone).encode()]
    yield "meals.csv", [write_meals(occasions_between(tx, person, *_EVER), zone).encode()]
    yield "record.fhir.json", write_bundle(readings, entries, zone)
    with suppress(LookupError):  # nothing is on record that a report could show
        yield "report.html", [report_between(tx, person, reported_since, _EVER[1])]


def write_folder(tx: Transaction, person: Person, folder: Path) -> list[Path]:
    """Write the export into a folder, new or not; return the files."""
    return [write_private_in(folder, name, content) for name, content in gather(tx, person)]


def draw_package(tx: Transaction, spec: PictureSpec, person_id: str) -> Picture:
    """Make the package that `spec` names; LookupError when the person is gone."""
    person = tx.people.get(person_id)
    if person is None:
        raise LookupError(f"no person {person_id}")
    ((what, photos),) = spec.groups
    if what == "all":
        return Picture(spec.name, b"", ALT, pack(gather(tx, person, photos, spec.since or _EVER[0])))
    kept = tx.photos.bytes_of(person_id, photos)
    files = ((_name_file("photos", photo, "jpeg", data), [data]) for photo, data in kept)
    return Picture(spec.name, b"", ALT, pack(files))


def pack(files: Iterable[File]) -> bytes:
    """Return files as one ZIP file."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content in files:
            with packed.open(name, "w", force_zip64=True) as file:
                file.writelines(content)
    return out.getvalue()


def _take_files(tables: Mapping[str, Sequence[Row]]) -> dict[str, bytes]:
    """Return what is bytes in the rows as files, whose names stand in their place then."""
    files: dict[str, bytes] = {}
    for table, rows in tables.items():
        for row in rows:
            for key, value in row.items():
                if isinstance(value, bytes):
                    row[key] = _name_file(table, row["id"], key, value)
                    files[row[key]] = value
                elif (table, key) == ("photos", "jpeg"):  # it comes in another package
                    row[key] = _name_file(table, row["id"], key, _JPEG)
    return files


def _name_file(table: str, row_id: int, key: str, content: bytes) -> str:
    ending = ".jpg" if content.startswith(_JPEG) else ""
    return f"files/{table}-{row_id}-{key}{ending}"


def _write_tables(tables: Mapping[str, Sequence[Row]]) -> Iterator[bytes]:
    """Give the rows as JSON, a line each."""
    before = "{\n"
    for table, rows in tables.items():
        yield f'{before}"{table}": ['.encode()
        for number, row in enumerate(rows):
            line = json.dumps(row, ensure_ascii=False, default=_plain)
            yield f"{',' if number else ''}\n{line}".encode()
        yield b"\n]"
        before = ",\n"
    yield b"\n}"


def _plain(value: object) -> str:
    """Return a value as JSON has it."""
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    raise TypeError(f"no plain form of {type(value)}")
