"""A database with a row in every table, whatever its columns."""

from datetime import UTC, date, datetime, time
from typing import Any

from sqlalchemy import CheckConstraint, Column, Table, create_engine, insert

from bot.store.tables import metadata
from tests.bot.store.samples import TRAM

_SAMPLES = {
    "String": "wörd “x”",
    "Text": "line one\nline two ☕",
    "Integer": 7,
    "Float": 5.1,
    "Boolean": True,
    "JSON": {"ä": [1, 2.5, None, "x"]},
    "LargeBinary": b"\x00\xff bytes",
    "Time": time(22, 30),
    "Date": date(2026, 3, 2),
    "UtcDateTime": datetime(2026, 3, 2, 8, 0, 0, 123456, tzinfo=UTC),
}
_PLAIN = {"zone": "Europe/Vienna", "unit": "mmol/L", "person": TRAM, "other": TRAM}


def fill(url: str) -> None:
    """Put one row into each table, those that others refer to first."""
    engine = create_engine(url)
    with engine.begin() as connection:
        for table in metadata.sorted_tables:
            connection.execute(insert(table), _row(table))
    engine.dispose()


def _row(table: Table) -> dict[str, Any]:
    row = {column.name: _value(table, column) for column in table.c}
    if table.name == "people":
        row["id"] = TRAM
    return row


def _value(table: Table, column: Column[Any]) -> Any:
    if column.foreign_keys and column.name not in _PLAIN:
        return 1
    if column.name == "id" and type(column.type).__name__ == "Integer":
        return 1
    if (allowed := _allowed(table, column.name)) is not None:
        return allowed
    return _PLAIN.get(column.name, _SAMPLES[type(column.type).__name__])


def _allowed(table: Table, name: str) -> str | None:
    """Return the first word that a condition “name IN ('a', 'b')” of the table allows."""
    for rule in table.constraints:
        if isinstance(rule, CheckConstraint) and str(rule.sqltext).startswith(f"{name} IN ("):
            return str(rule.sqltext).split("'")[1]
    return None
