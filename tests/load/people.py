"""Thousands of people with a month of data each, written straight into the tables.

One month is simulated and stored as the bot stores it; the database itself copies it to everybody else.
"""

from datetime import timedelta

from sqlalchemy import Connection, create_engine, event, make_url, text
from sqlalchemy.exc import ProgrammingError

from bot.model.clock import SystemClock
from bot.store import open_store
from bot.store.tables import entries, imports, metadata, outbox, people, readings
from tests.simulated.logged import FIRST, log_weeks

DAYS = 28
EVERY_MIN = 15
FIRST_ONE = "tg:0"

_BATCH = 500
_INSTANTS = (
    (people, "created_at"),
    (imports, "at"),
    (entries, "at"),
    (entries, "logged_at"),
    (readings, "at"),
)
_NUMBERED = (imports, entries, metadata.tables["inbox"], outbox)
_NUMBERS = (
    "WITH RECURSIVE n(n) AS (SELECT CAST(:first AS INTEGER) UNION ALL SELECT n + 1 FROM n WHERE n < :last)"
)
_PERSON = "'tg:' || n"
_UPDATE = "'of' || n || '-' || t.id"
# Each entry came by a message, which was answered by one.
_INBOX = (
    "INSERT INTO inbox (id, update_id, person, raw, state, attempts, received_at, settled_at) "
    "SELECT id, update_id, person, '', 'done', 1, logged_at, logged_at FROM entries"
)
_OUTBOX = (
    "INSERT INTO outbox (id, person, text, buttons, reminder, update_id, state, attempts, ref, queued_at, "
    "settled_at) SELECT id, person, 'Noted.', '[]', {false}, update_id, 'sent', 1, "
    "CAST(id AS VARCHAR(9)), logged_at, logged_at FROM entries"
)


def fill(address: str, count: int, recent: int = 0) -> int:
    """Write so many people into a new database; return how many rows that are.

    recent: so many more, with no more than the latest day and what sensor they wear
    """
    store = open_store(address)
    log_weeks(store, DAYS, person=FIRST_ONE)
    store.close()
    engine = create_engine(address)
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", lambda raw, _: raw.execute("PRAGMA synchronous = OFF"))
    with engine.begin() as connection:
        _make_first(connection)
    for first in range(1, count + recent, _BATCH):
        last = min(first + _BATCH, count + recent) - 1
        with engine.begin() as connection:
            _hurry(connection)
            _copy(connection, first, min(last, count - 1), DAYS + 1)
            _copy(connection, max(first, count), last, 1)
    with engine.begin() as connection:
        for statement in (_INBOX, _OUTBOX):
            connection.execute(text(statement.format(false="false" if _is_postgresql(connection) else "0")))
        rows = sum(
            connection.scalar(text(f"SELECT count(*) FROM {table}")) or 0
            for table in ("people", "imports", "entries", "readings", "inbox", "outbox")
        )
        if _is_postgresql(connection):  # numbers go on after those that were given
            for table in _NUMBERED:
                serial = f"pg_get_serial_sequence('{table}', 'id')"
                connection.execute(text(f"SELECT setval({serial}, (SELECT max(id) FROM {table}))"))
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        connection.execute(text("VACUUM ANALYZE" if _is_postgresql(connection) else "ANALYZE"))
    engine.dispose()
    return rows


def _make_first(connection: Connection) -> None:
    """Have the month of the first one end today, with a reading every `EVERY_MIN`."""
    shift = int((SystemClock().now() - FIRST).days - DAYS) * 86_400_000_000
    kept = "at / 60000000 % :every = 0"
    connection.execute(text(f"DELETE FROM readings WHERE NOT ({kept})"), {"every": EVERY_MIN})
    connection.execute(text("UPDATE entries SET update_id = 'of0-' || id"))
    for table, column in _INSTANTS:
        # Away and back, as no two rows may have one key even for a moment.
        for by in (shift + 10**16, -(10**16)):
            connection.execute(text(f"UPDATE {table} SET {column} = {column} + :by"), {"by": by})


def _hurry(connection: Connection) -> None:
    """Have nothing looked up that is known to be there: whom and what each row belongs to."""
    if not _is_postgresql(connection):
        return
    connection.execute(text("SET LOCAL synchronous_commit = off"))
    try:
        with connection.begin_nested():
            connection.execute(text("SET LOCAL session_replication_role = replica"))
    except ProgrammingError:  # not a superuser: it only takes longer
        return


def _copy(connection: Connection, first: int, last: int, days: int) -> None:
    """Give people the latest days of the first one, with values a little different."""
    if first > last:
        return
    latest = SystemClock().now() - timedelta(days=days)
    of_first = {"whose": FIRST_ONE}
    spans = {
        table: connection.scalar(text(f"SELECT max(id) FROM {table} WHERE person = :whose"), of_first)
        for table in (imports, entries)
    }
    for table in (people, imports, entries, readings):
        mine = "id" if table is people else "person"
        made = {mine: _PERSON}
        if "update_id" in table.c:
            made["update_id"] = _UPDATE
        if table is readings:
            made |= {"mmol": "t.mmol + n % 20 / 20.0", "import_id": f"t.import_id + n * {spans[imports]}"}
        elif table is not people:
            made["id"] = f"t.id + n * {spans[table]}"
        columns = [column.name for column in table.c]
        values = [made.get(name, f"t.{name}") for name in columns]
        order = "n, t.at" if table is readings else "n, t.id"
        wanted = " AND t.at >= :latest" if table is readings else ""
        if table is entries:
            wanted = " AND (t.at >= :latest OR t.kind = 'sensor')"
        connection.execute(
            text(
                f"INSERT INTO {table} ({', '.join(columns)}) "
                f"{_NUMBERS} SELECT {', '.join(values)} FROM n CROSS JOIN {table} AS t "
                f"WHERE t.{mine} = :whose{wanted} ORDER BY {order}"
            ),
            of_first | {"first": first, "last": last, "latest": int(latest.timestamp() * 1e6)},
        )


def _is_postgresql(connection: Connection) -> bool:
    return connection.dialect.name == "postgresql"


def plain(address: str) -> str:
    """Return the address as the driver reads it."""
    return make_url(address).set(drivername="postgresql").render_as_string(hide_password=False)
