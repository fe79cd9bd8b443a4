"""Workbooks (.xlsx): their sheets as tables. Formulas are never worked out; their stored values count."""

import re
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from io import BytesIO
from zipfile import ZipFile

from bot.errors import BadFile
from bot.intake.tables import MAX_ROWS, Table
from bot.intake.unpack import MAX_INFLATED, open_zip, read_member

MAX_CELLS = 6_000_000
"""Of the rectangle that a sheet's cells span: the reader holds all of it, however few are filled."""

_PLACE = re.compile(rb"""\sr\s*=\s*["']([A-Z]{0,3})(\d{1,7})["']""", re.IGNORECASE)
_FROM_1904 = re.compile(rb"""\bdate1904\s*=\s*["'](?:1|true)["']""")
_DAYS_TO_1904 = 1462
_MIDNIGHT = time()
_A_DAY = timedelta(days=1)


def read_workbook(data: bytes, name: str) -> list[Table]:
    """Return the sheets of a workbook that hold anything; BadFile when it cannot be read."""
    safe, from_1904 = _check(data, name)
    from python_calamine import CalamineError, CalamineWorkbook

    tables = []
    try:
        with CalamineWorkbook.from_filelike(safe) as book:
            for sheet in book.sheet_names:
                rows = book.get_sheet_by_name(sheet).to_python(skip_empty_area=False)
                if rows:
                    cells = _write_out(rows, from_1904)
                    tables.append(Table(cells, range(1, len(cells) + 1), "sheet", part=sheet))
    except (CalamineError, ValueError, OSError, OverflowError) as error:
        raise BadFile(
            f"{name} is a workbook that cannot be read ({_shorten(error)}); send CSV text."
        ) from None
    if not tables:
        raise BadFile(f"{name} is an empty workbook; put the readings in and send it again.")
    return tables


def _check(data: bytes, name: str) -> tuple[BytesIO, bool]:
    """Look through a workbook; return it with just what was seen, and whether its days count from 1904.

    The reader gets it unpacked, so that nothing can hide from this check by a trick of packing.
    """
    safe = BytesIO()
    from_1904 = found = False
    left = MAX_INFLATED
    with open_zip(data, name) as archive, ZipFile(safe, "w") as checked:
        for member in archive.infolist():
            part = read_member(archive, member, left, name)
            left -= len(part)
            _check_part(part, name)
            if member.filename.lower() == "xl/workbook.xml":
                found, from_1904 = True, _FROM_1904.search(part) is not None
            if member.filename not in checked.NameToInfo:
                checked.writestr(member.filename, part)
    if not found:
        raise BadFile(f"{name} is no .xlsx workbook; save it as .xlsx or CSV text and send that.")
    safe.seek(0)
    return safe, from_1904


def _check_part(part: bytes, name: str) -> None:
    rows = columns = 0
    for letters, digits in set(_PLACE.findall(part)):
        rows = max(rows, int(digits))
        columns = max(columns, _column(letters))
    if rows > MAX_ROWS or rows * columns > MAX_CELLS:
        raise BadFile(f"{name} is a workbook of more than {MAX_CELLS:,} cells; send a shorter span of days.")


def _column(letters: bytes) -> int:
    found = 0
    for letter in letters.upper():
        found = 26 * found + letter - 64
    return found


def _write_out(rows: Sequence[Sequence[object]], from_1904: bool) -> list[list[str]]:
    """Return cells in words: instants as ISO 8601, a day alone as its midnight where others have a time."""
    timed = {i for row in rows for i, cell in enumerate(row) if isinstance(cell, datetime)}
    return [[_write(cell, i in timed, from_1904) for i, cell in enumerate(row)] for row in rows]


def _write(cell: object, timed: bool, from_1904: bool) -> str:
    if isinstance(cell, str):
        return cell
    if isinstance(cell, bool):
        return str(cell)
    if isinstance(cell, float | int):
        serial = 30_000 < cell < 80_000  # days counted from the workbook's own first day
        number = float(cell + _DAYS_TO_1904 if from_1904 and serial else cell)
        return str(int(number)) if number.is_integer() else repr(number)
    if isinstance(cell, datetime):  # a sheet counts days, so that seconds come out a little off
        whole = (cell + timedelta(milliseconds=5)).replace(microsecond=0)
        return (whole if abs(cell - whole) < timedelta(milliseconds=10) else cell).isoformat(" ")
    if isinstance(cell, date):
        return f"{cell.isoformat()} 00:00:00" if timed else cell.isoformat()
    if isinstance(cell, time):
        return cell.replace(microsecond=0).isoformat()
    if isinstance(cell, timedelta) and timedelta() <= cell < _A_DAY:
        return (datetime.combine(date(2000, 1, 1), _MIDNIGHT) + cell).time().isoformat()
    return str(cell)


def _shorten(error: Exception) -> str:
    return " ".join(str(error).split())[:80] or type(error).__name__
