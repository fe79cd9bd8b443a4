"""Everything held about one person as named files, in a folder or packed."""

import io
import json
import zipfile
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, date, datetime, time
from pathlib import Path

from bot.export.bundle import write_bundle
from bot.export.sheets import write_foods, write_meals, write_notes, write_readings
from bot.frames.servings import occasions_between
from bot.model.entries_json import KINDS
from bot.report.sending import report_between
from bot.store import Person, Transaction

README = """Everything that tablenote holds about you.

everything.json  every row of every table that names you, as it is kept (instants in UTC)
readings.csv     glucose, one reading a line, in both units
notes.csv        what you noted, one note a line
foods.csv        each food of each meal, with grams and nutrients
meals.csv        each meal with the measures of its curve (mmol/L, minutes)
record.fhir.json readings and notes as a FHIR R4 bundle
report.html      the report of all of it, with its pictures
files/           files and pictures that you sent
"""
_EVER = (datetime(1970, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC))


def gather(tx: Transaction, person: Person) -> Iterator[tuple[str, bytes]]:
    """Give each file of the export: its name, and what it holds."""
    tables = tx.everything(person.id)
    zone, readings = person.zone, tables.get("readings", [])
    entries = tx.log.between(person.id, tuple(KINDS), None, None)
    meals = [logged for logged in entries if logged.kind == "meal"]
    yield "README.txt", README.encode()
    files: dict[str, bytes] = {}
    plain = {
        name: [{key: _plain(value, f"files/{name}-{number}-{key}", files) for key, value in row.items()}
               for number, row in enumerate(rows)]
        for name, rows in tables.items()
    }  # fmt: skip
    yield "everything.json", json.dumps(plain, ensure_ascii=False, indent=1).encode()
    yield from files.items()
    yield "readings.csv", write_readings(readings, zone).encode()
    yield "notes.csv", write_notes(entries, zone).encode()
    yield "foods.csv", write_foods(meals, zone).encode()
    yield "meals.csv", write_meals(occasions_between(tx, person, *_EVER), zone).encode()
    bundle = write_bundle(readings, entries, zone)
    yield "record.fhir.json", json.dumps(bundle, ensure_ascii=False).encode()
    with suppress(LookupError):  # nothing is on record that a report could show
        yield "report.html", report_between(tx, person, *_EVER)


def write_folder(tx: Transaction, person: Person, folder: Path) -> list[Path]:
    """Write the export into a folder, new or not; return the files."""
    written = []
    for name, content in gather(tx, person):
        place = folder / name
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(content)
        written.append(place)
    return written


def pack(tx: Transaction, person: Person) -> bytes:
    """Return the export as one ZIP file."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content in gather(tx, person):
            packed.writestr(name, content)
    return out.getvalue()


def _plain(value: object, name: str, files: dict[str, bytes]) -> object:
    """Return a value as JSON has it; bytes become a file of their own, and the value its name."""
    if isinstance(value, bytes):
        files[name] = value
        return name
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    return value
