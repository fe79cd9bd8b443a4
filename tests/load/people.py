"""Thousands of people with a month of data each, written straight into the tables."""

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing
from pathlib import Path

import psycopg
from sqlalchemy import make_url

from bot.model.clock import SystemClock
from bot.store import open_store
from tests.simulated.logged import FIRST, log_weeks

DAYS = 28
EVERY_MIN = 15
Row = tuple[object, ...]
"""A row as the driver takes it."""

_BATCH = 200
_BOOLEANS = {
    "people": ("nudge", "unit_chosen", "card", "reviews", "evening", "scores"),
    "outbox": ("reminder", "silent", "pinned"),
}


class Template:
    """The month of one simulated person, as rows of the tables, ending today."""

    def __init__(self, folder: Path) -> None:
        file = folder / "template.db"
        store = open_store(f"sqlite:///{file}")
        log_weeks(store, DAYS)
        store.close()
        self.columns: dict[str, list[str]] = {}
        self.rows: dict[str, list[Row]] = {}
        shift = int((SystemClock().now() - FIRST).days - DAYS) * 86_400_000_000
        with closing(sqlite3.connect(file)) as connection:
            for table, instants in (
                ("people", ("created_at",)),
                ("imports", ("at",)),
                ("entries", ("at", "logged_at")),
                ("readings", ("at",)),
            ):
                found = connection.execute(f"SELECT * FROM {table}")
                names = [one[0] for one in found.description]
                places = [names.index(one) for one in instants]
                self.columns[table] = names
                self.rows[table] = [_moved(row, places, shift) for row in found]
        at = self.columns["readings"].index("at")
        self.rows["readings"] = [
            row for row in self.rows["readings"] if int(str(row[at])) // 60_000_000 % EVERY_MIN == 0
        ]

    def of(self, table: str, n: int) -> Iterator[Row]:
        """Return the rows of person number `n`, whose values are a little different from others'."""
        if table == "readings":
            yield from self._readings(n)
            return
        names = self.columns[table]
        numbered = table != "people" and "id" in names
        mine, update = names.index("id" if table == "people" else "person"), "update_id" in names
        base = 1 + n * len(self.rows[table])
        for k, row in enumerate(self.rows[table]):
            values = list(row)
            values[mine] = f"tg:{n}"
            if update:
                values[names.index("update_id")] = f"m{n}-{k}"
            if numbered:
                values[names.index("id")] = base + k
            yield tuple(values)

    def _readings(self, n: int) -> Iterator[Row]:
        names = self.columns["readings"]
        mine, mmol, lot = (names.index(one) for one in ("person", "mmol", "import_id"))
        person, more, number = f"tg:{n}", n % 20 / 20, 1 + n * len(self.rows["imports"])
        for row in self.rows["readings"]:
            values = list(row)
            values[mine], values[mmol], values[lot] = person, float(str(row[mmol])) + more, number
            yield tuple(values)

    def messages(self, n: int) -> Iterator[tuple[Row, Row]]:
        """Return rows of inbox and outbox: each entry came by a message, which was answered by one."""
        at = self.columns["entries"].index("logged_at")
        base = 1 + n * len(self.rows["entries"])
        for k, row in enumerate(self.rows["entries"]):
            update = f"m{n}-{k}"
            yield (
                (base + k, update, f"tg:{n}", "", "done", 1, row[at], row[at]),
                (base + k, f"tg:{n}", "Noted.", "[]", 0, 0, 0, update, "sent", 1, str(k), row[at], row[at]),
            )


INBOX = ("id", "update_id", "person", "raw", "state", "attempts", "received_at", "settled_at")
OUTBOX = (
    "id",
    "person",
    "text",
    "buttons",
    "reminder",
    "silent",
    "pinned",
    "update_id",
    "state",
    "attempts",
    "ref",
    "queued_at",
    "settled_at",
)


def fill(address: str, people: int, folder: Path) -> int:
    """Write so many people into a new database; return how many rows that are."""
    open_store(address).close()
    template = Template(folder)
    rows = 0
    for first in range(0, people, _BATCH):
        numbers = range(first, min(people, first + _BATCH))
        tables = {
            table: [row for n in numbers for row in template.of(table, n)] for table in template.columns
        }
        both = [pair for n in numbers for pair in template.messages(n)]
        columns = {**template.columns, "inbox": INBOX, "outbox": OUTBOX}
        tables |= {"inbox": [pair[0] for pair in both], "outbox": [pair[1] for pair in both]}
        _write(address, columns, tables)
        rows += sum(map(len, tables.values()))
    _finish(address)
    return rows


def _write(address: str, columns: dict[str, Iterable[str]], tables: dict[str, list[Row]]) -> None:
    if address.startswith("sqlite"):
        with closing(sqlite3.connect(str(make_url(address).database))) as file, file:
            file.execute("PRAGMA synchronous = OFF")
            for table, rows in tables.items():
                names = list(columns[table])
                places = ", ".join("?" * len(names))
                file.executemany(f"INSERT INTO {table} ({', '.join(names)}) VALUES ({places})", rows)
        return
    with psycopg.connect(plain(address)) as server, server.cursor() as cursor:
        cursor.execute("SET synchronous_commit = off")
        for table, rows in tables.items():
            names = list(columns[table])
            truths = [names.index(one) for one in _BOOLEANS.get(table, ())]
            with cursor.copy(f"COPY {table} ({', '.join(names)}) FROM STDIN") as copy:
                if table == "readings":  # most rows by far, and nothing in them to be escaped
                    copy.write("".join("\t".join(map(_plain, row)) + "\n" for row in rows))
                    continue
                for row in rows:
                    values = list(row)
                    for place in truths:
                        values[place] = bool(values[place])
                    copy.write_row(values)


def _finish(address: str) -> None:
    """Let numbers go on after those that were given, and the planner know how much there is."""
    if address.startswith("sqlite"):
        return
    with psycopg.connect(plain(address), autocommit=True) as server:
        for table in ("imports", "entries", "inbox", "outbox"):
            server.execute(
                f"SELECT setval(pg_get_serial_sequence('{table}', 'id'), (SELECT max(id) FROM {table}))"
            )
        server.execute("VACUUM ANALYZE")


def plain(address: str) -> str:
    """Return the address as the driver reads it."""
    return make_url(address).set(drivername="postgresql").render_as_string(hide_password=False)


def _moved(row: Row, places: list[int], shift: int) -> Row:
    values = list(row)
    for place in places:
        if values[place] is not None:
            values[place] = int(str(values[place])) + shift
    return tuple(values)


def _plain(value: object) -> str:
    return "\\N" if value is None else str(value)
