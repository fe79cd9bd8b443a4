"""What kind of file it is, and the tables that it holds: text, workbook, JSON, FHIR, packed or not."""

from dataclasses import replace

from bot.intake.decoding import decode, is_json
from bot.intake.json_tables import read_json
from bot.intake.layout import read_text
from bot.intake.tables import Table, check_tables
from bot.intake.unpack import unpack
from bot.intake.wide import unfold
from bot.intake.workbooks import read_workbook
from bot.model.errors import BadFile


def read_tables(data: bytes, name: str) -> tuple[list[Table], list[str]]:
    """Return the tables of a file, and in words which files of an archive were passed over and why.

    BadFile when there is no table at all: the sentence about the first file that was tried.
    """
    files = unpack(data, name)
    tables: list[Table] = []
    passed: list[BadFile] = []
    for label, content in files:
        called = f"{name}: {label}" if label else name
        try:
            found = _read_content(content, called)
        except BadFile as error:
            passed.append(error)
            continue
        check_tables(len(tables) + len(found), name)
        for table in found:
            part = " ".join(part for part in (label if len(files) > 1 else "", table.part) if part)
            tables.append(replace(unfold(table, called), part=part))
    if not tables:
        raise passed[0]
    return tables, [f"passed over: {error}".rstrip(".") for error in passed]


def _read_content(data: bytes, name: str) -> list[Table]:
    if data.startswith(b"PK\x03\x04"):
        return read_workbook(data, name)
    text = decode(data, name)
    return read_json(text, name) if is_json(text) else [read_text(text, name)]
