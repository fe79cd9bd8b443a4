"""Lines to cells, and what a cell can be: the separators of delimited text, quotes, and kinds of content."""

import csv
import re
from collections.abc import Sequence
from functools import lru_cache
from typing import Literal

from bot.intake.clocks import read_clock
from bot.intake.dates import read_dates
from bot.intake.stamps import read_epoch, read_serial, split_stamp
from bot.intake.values import is_nothing, read_flag, read_number
from bot.intake.words import clean

Kind = Literal["stamp", "epoch", "serial", "date", "clock", "value", "flag", "nothing", "text"]
SEPARATORS = {"\t": "tab", ";": "semicolon", "|": "pipe", ",": "comma", " ": "spaces"}

_LONGEST = 100  # no cell that is read has more characters
_CLOCK_MARK = re.compile(r":|\dh(?:\d|$)|^\d{1,2}\s*[ap]\.?\s?m\b", re.IGNORECASE)
_HALF_OF_DAY = re.compile(r"(\d)\s+([ap]\.?m\b\.?)", re.IGNORECASE)


def split_lines(text: str) -> list[str]:
    """Return the lines of a text, whichever way they end."""
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def split_rows(lines: Sequence[str], separator: str) -> tuple[list[list[str]], Sequence[int]]:
    """Return the cells of each record and the number (from 1) of the line it ends on.

    A quoted cell may hold the separator and line breaks; where the quotes do not close properly each line
    is taken for itself, so that one stray quote cannot swallow the rest of a file.
    """
    numbers = range(1, len(lines) + 1)
    if separator == " ":
        return [_HALF_OF_DAY.sub(r"\1\2", line).split() for line in lines], numbers
    if not any('"' in line for line in lines):
        return [line.split(separator) for line in lines], numbers

    options = {"delimiter": separator, "skipinitialspace": separator != "\t", "strict": True}
    try:
        rows = list(csv.reader(lines, **options))  # type: ignore[arg-type]
    except csv.Error:
        return [_split_line(line, separator) for line in lines], numbers
    if len(rows) == len(lines):
        return rows, numbers
    reader = csv.reader(lines, **options)  # type: ignore[arg-type]
    return rows, [reader.line_num for _ in reader]  # some cells hold line breaks


def kind_of(cell: str) -> Kind:
    """Say what a cell's content looks like; a plain number is a value before it is anything else."""
    if len(cell) > _LONGEST:
        return "text" if cell.strip() else "nothing"
    return _kind_of(cell)


@lru_cache(maxsize=8192)
def _kind_of(cell: str) -> Kind:
    cell = clean(cell)
    if is_nothing(cell):
        return "nothing"
    if read_epoch(cell) is not None:
        return "epoch"
    parts = split_stamp(cell)
    if parts and read_dates(parts[0]) and read_clock(parts[1]):
        return "stamp"
    if read_dates(cell):
        return "date"
    if read_serial(cell) is not None:
        return "serial"
    if read_number(cell) is not None:
        return "value"
    if read_flag(cell) is not None:
        return "flag"
    if _CLOCK_MARK.search(cell) and read_clock(cell):
        return "clock"
    return "text"


def glue_decimals(rows: Sequence[list[str]], glucose: int) -> None:
    """Join a number that its own decimal comma has parted, in place: `5` and `4` become `5.4`."""
    for row in rows:
        if len(row) > glucose + 1 and row[glucose].strip().isdigit() and row[glucose + 1].strip().isdigit():
            row[glucose : glucose + 2] = [f"{row[glucose].strip()}.{row[glucose + 1].strip()}"]


def _split_line(line: str, separator: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=separator, skipinitialspace=separator != "\t"), [])
    except csv.Error:  # a cell beyond the reader's size limit: no reading, so a row of one odd cell
        return [line]
