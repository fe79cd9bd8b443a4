"""Workbooks (.xlsx): their sheets as tables, read cell by cell from the XML inside.

Five things of the format are needed (sheets, shared texts, number formats, cells, the first day), and
they are read here: of the two libraries for it one reserves memory for every cell up to the last, and ends
the process when that is too much; the other opens no file with incomplete styles. Formulas are never
worked out: the value stored beside them counts. Elements as in ECMA-376 part 1, SpreadsheetML (from memory).
"""

import posixpath
import re
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import NoReturn
from xml.parsers import expat
from zipfile import ZipFile

from bot.intake.columns import WIDEST
from bot.intake.tables import LONGEST, Table, check_rows
from bot.intake.unpack import MAX_INFLATED, open_zip, read_member
from bot.model.errors import BadFile

Cell = str | datetime
Start = Callable[[str, dict[str, str]], None]

_DATE_FORMATS = {*range(14, 23), *range(27, 37), *range(45, 48), *range(50, 59)}  # the built-in ones
_NOT_FORMAT = re.compile(r'"[^"]*"|\\.|\[(?!h+\]|m+\]|s+\])[^\]]*\]', re.IGNORECASE)
_DATE_MARKS = re.compile(r"[ymdhs]", re.IGNORECASE)
_DAY_0, _DAY_0_OF_1904 = datetime(1899, 12, 30), datetime(1904, 1, 1)  # noqa: DTZ001 - wall clocks without a zone
_DAYS_BETWEEN = (_DAY_0_OF_1904 - _DAY_0).days
_LAST_DAY = 100_000
_FIRST_SERIAL = 30_000  # a number from here on may be a day without a date's format
_PLACE = re.compile(r"([A-Z]{1,3})\d+")


def read_workbook(data: bytes, name: str) -> list[Table]:
    """Return the sheets of a workbook that hold anything; BadFile when it cannot be read."""
    with open_zip(data, name) as archive:
        book = _Book(archive, name)
        tables = [table for sheet, path in book.sheets() if (table := book.read_sheet(sheet, path)).rows]
    if not tables:
        raise BadFile(f"{name} is an empty workbook; put the readings in and send it again.")
    return tables


class _Book:
    """An open workbook; its parts are read when they are needed, within the limits of unpacking."""

    def __init__(self, archive: ZipFile, name: str) -> None:
        self._archive, self._name = archive, name
        self._members = {member.filename.lower(): member for member in archive.infolist()}
        self._left = MAX_INFLATED
        self._from_1904 = False
        self._texts: list[str] = []
        self._dated: list[bool] = []
        if "xl/workbook.xml" not in self._members:
            raise BadFile(f"{name} is no .xlsx workbook; save it as .xlsx or CSV text and send that.")

    def sheets(self) -> list[tuple[str, str]]:
        """Return the name and the path of each sheet that is shown; texts and formats are read on the way."""
        found: list[tuple[str, str]] = []
        paths: dict[str, str] = {}

        def on_link(tag: str, attributes: dict[str, str]) -> None:
            if tag == "Relationship":
                path = posixpath.normpath(posixpath.join("/xl", attributes.get("Target", ""))).lstrip("/")
                paths[attributes.get("Id", "")] = path
                paths[attributes.get("Type", "").rsplit("/", 1)[-1]] = path

        def on_book(tag: str, attributes: dict[str, str]) -> None:
            if tag == "workbookPr":
                self._from_1904 = attributes.get("date1904") in {"1", "true"}
            elif tag == "sheet" and attributes.get("state", "visible") == "visible":
                link = next((value for key, value in attributes.items() if key.endswith(":id")), "")
                found.append((attributes.get("name", ""), paths.get(link, "")))

        self._walk("xl/_rels/workbook.xml.rels", on_link)
        self._walk("xl/workbook.xml", on_book)
        self._read_texts(paths.get("sharedStrings", "xl/sharedStrings.xml"))
        self._read_formats(paths.get("styles", "xl/styles.xml"))
        # a sheet counts once, however often the book names it
        return list({path: (sheet, path) for sheet, path in reversed(found)}.values())[::-1]

    def read_sheet(self, sheet: str, path: str) -> Table:
        """Return a sheet's rows that hold anything, with their numbers."""
        rows: list[list[Cell]] = []
        lines: list[int] = []
        text: list[str] = []
        row: list[Cell] = []
        number, column = 0, -1
        kind, dated, inside = "n", False, False

        def on_start(tag: str, attributes: dict[str, str]) -> None:
            nonlocal number, column, kind, dated, inside, row
            if tag == "c":
                column = _column(attributes.get("r", ""), column + 1)
                kind, dated = attributes.get("t", "n"), self._is_dated(attributes.get("s", ""))
                text.clear()
            elif tag == "row":
                row, column = [], -1
                given = attributes.get("r", "")
                number = int(given) if given.isdecimal() and len(given) < 9 else number + 1
            inside = tag in {"v", "t"}

        def on_end(tag: str) -> None:
            nonlocal inside
            inside = False
            if tag == "c" and text and 0 <= column < WIDEST:
                row.extend([""] * (column + 1 - len(row)))
                row[column] = self._value("".join(text), kind, dated)
            elif tag == "row" and any(row):
                rows.append(row)
                lines.append(number)
                check_rows(len(rows), self._name)

        def on_text(words: str) -> None:
            if inside:
                text.append(words)

        self._walk(path, on_start, on_end, on_text)
        return Table(_write_out(rows), lines, "sheet", part=" ".join(sheet.split())[:40])

    def _read_texts(self, path: str) -> None:
        parts: list[str] = []
        inside = aside = False

        def on_start(tag: str, attributes: dict[str, str]) -> None:
            nonlocal inside, aside
            if tag == "si":
                parts.clear()
            aside = aside or tag == "rPh"  # how the text is pronounced
            inside = tag == "t" and not aside

        def on_end(tag: str) -> None:
            nonlocal inside, aside
            inside = False
            aside = aside and tag != "rPh"
            if tag == "si":
                self._texts.append("".join(parts)[:LONGEST])

        def on_text(words: str) -> None:
            if inside:
                parts.append(words)

        self._walk(path, on_start, on_end, on_text)

    def _read_formats(self, path: str) -> None:
        formats: dict[str, bool] = {str(number): True for number in _DATE_FORMATS}
        in_cells = False

        def on_start(tag: str, attributes: dict[str, str]) -> None:
            nonlocal in_cells
            if tag == "numFmt":
                code = _NOT_FORMAT.sub("", attributes.get("formatCode", ""))
                is_date = code.lower() != "general" and _DATE_MARKS.search(code) is not None
                formats[attributes.get("numFmtId", "")] = is_date
            elif tag == "xf" and in_cells:
                self._dated.append(formats.get(attributes.get("numFmtId", ""), False))
            elif tag in {"cellXfs", "cellStyleXfs", "cellStyles"}:
                in_cells = tag == "cellXfs"

        self._walk(path, on_start)

    def _is_dated(self, style: str) -> bool:
        place = int(style) if style.isdecimal() and len(style) < 7 else -1
        return 0 <= place < len(self._dated) and self._dated[place]

    def _value(self, text: str, kind: str, dated: bool) -> Cell:
        """Return a cell's value: text, a date or a clock time where its number is shown as one."""
        if kind == "s":
            place = int(text) if text.isdecimal() and len(text) < 9 else -1
            return self._texts[place] if 0 <= place < len(self._texts) else ""
        if kind == "e":
            return ""
        if kind != "n":
            return text.removesuffix("Z") if kind == "d" else text
        try:
            number = float(text)
        except ValueError:
            return text
        if dated and 0 <= number < 1:
            return f"{_to_second(_DAY_0 + timedelta(days=number)):%H:%M:%S}"
        if dated and 1 <= number < _LAST_DAY:
            return _to_second((_DAY_0_OF_1904 if self._from_1904 else _DAY_0) + timedelta(days=number))
        if self._from_1904 and _FIRST_SERIAL < number < _LAST_DAY:
            number += _DAYS_BETWEEN
        return str(int(number)) if number.is_integer() and number < 1e19 else repr(number)

    def _walk(
        self,
        path: str,
        on_start: Start,
        on_end: Callable[[str], None] | None = None,
        on_text: Callable[[str], None] | None = None,
    ) -> None:
        """Go through the XML of a part; tags and most attributes come without the names of their spaces."""
        member = self._members.get(path.lower())
        if member is None:
            return
        xml = read_member(self._archive, member, self._left, self._name)
        self._left -= len(xml)
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartDoctypeDeclHandler = self._refuse  # no sheet has one: entities could grow without end
        parser.StartElementHandler = lambda tag, attributes: on_start(tag.rpartition(":")[2], attributes)
        if on_end is not None:
            parser.EndElementHandler = lambda tag: on_end(tag.rpartition(":")[2])
        if on_text is not None:
            parser.CharacterDataHandler = on_text
        try:
            parser.Parse(xml, True)
        except (expat.ExpatError, ValueError, LookupError):  # the last two: an encoding that there is not
            self._refuse()

    def _refuse(self, *_: object) -> NoReturn:
        raise BadFile(f"{self._name} is a damaged workbook; save it again, or as CSV text, and send that.")


def _column(place: str, otherwise: int) -> int:
    found = _PLACE.fullmatch(place)
    if found is None:
        return otherwise
    column = 0
    for letter in found[1]:
        column = 26 * column + ord(letter) - 64
    return column - 1


def _write_out(rows: list[list[Cell]]) -> list[list[str]]:
    """Return cells in words; instants as ISO 8601, those of a column that are all midnights as days."""
    timed = {
        i
        for row in rows
        for i, cell in enumerate(row)
        if isinstance(cell, datetime) and (cell.hour or cell.minute or cell.second)
    }

    def write(cell: Cell, place: int) -> str:
        if isinstance(cell, str):
            return cell
        return cell.isoformat(" ") if place in timed else cell.date().isoformat()

    return [[write(cell, i) for i, cell in enumerate(row)] for row in rows]


def _to_second(at: datetime) -> datetime:
    """Return an instant on its whole second where it is next to it: sheets count days, which is not exact."""
    whole = (at + timedelta(milliseconds=5)).replace(microsecond=0)
    return whole if abs(at - whole) < timedelta(milliseconds=10) else at
