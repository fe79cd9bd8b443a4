"""Imports a made-up file of readings in a process of its own, for its time and its memory.

`python -m tests.bench.import_alone ROWS FOLDER` prints JSON: seconds of a whole turn of the bot (the file is
sent in the chat: read, stored, reminders planned, answered, committed), of the same file sent again, of its
reading alone, and of the baseline: a bare `pandas.read_csv` with a known format plus a bulk insert, which is
one `executemany` of the driver into an equal table of an equal SQLite file (its unique index, foreign keys
and checks, WAL, synchronous=FULL); and the peak memory in MB.
"""

import io
import json
import resource
import sqlite3
import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from bot.app import App
from bot.intake import read_file
from bot.model.clock import SettableClock
from bot.model.messages import Attachment, Incoming

NOW = datetime(2026, 6, 1, tzinfo=UTC)
INSERT = (
    "INSERT INTO readings (person, at, source, mmol, flag, specimen, import_id) VALUES (?, ?, ?, ?, ?, ?, ?)"
)
LOT = (
    "INSERT INTO imports (person, source, name, update_id, at, stored, known, differing) "
    "VALUES ('local', 'file', '', 'bare', 0, 0, 0, 0)"
)


def make(rows: int) -> bytes:
    start = NOW - timedelta(days=1, minutes=5 * rows)
    lines = [
        f"{start + timedelta(minutes=5 * i):%Y-%m-%d %H:%M},{4 + i * 7 % 50 / 10:.1f}" for i in range(rows)
    ]
    return "\n".join(["time (UTC),glucose mmol/L", *lines, ""]).encode()


def open_app(folder: Path, name: str) -> App:
    app = App(f"sqlite:///{folder / name}", zone="Europe/Vienna", clock=SettableClock(NOW))
    app.receive(Incoming("local", "hello", NOW, text="hello"))
    return app


def send(app: App, data: bytes, update_id: str) -> tuple[float, str]:
    """Return the seconds of a turn with a file, and what was answered."""
    started = time.perf_counter()
    replies = app.receive(Incoming("local", update_id, NOW, file=Attachment("readings.csv", data)))
    return time.perf_counter() - started, replies[0].text


def read_alone(data: bytes) -> float:
    started = time.perf_counter()
    read_file(data, "readings.csv", zone=ZoneInfo("Europe/Vienna"), now=NOW)
    return time.perf_counter() - started


def import_barely(data: bytes, path: Path) -> float:
    """Return the seconds of a reader that is told the format, and of one insert of all rows."""
    import pandas

    connection = sqlite3.connect(path, isolation_level=None)
    for pragma in ("foreign_keys = ON", "synchronous = FULL", "secure_delete = ON"):
        connection.execute(f"PRAGMA {pragma}")
    lot = connection.execute(LOT).lastrowid
    started = time.perf_counter()
    frame = pandas.read_csv(
        io.BytesIO(data), header=0, names=["at", "mmol"], parse_dates=["at"], date_format="%Y-%m-%d %H:%M"
    )
    stamps = (frame["at"].astype("datetime64[us]").astype("int64")).tolist()
    rows = [
        ("local", at, "file", mmol, "", "", lot)
        for at, mmol in zip(stamps, frame["mmol"].tolist(), strict=True)
    ]
    connection.execute("BEGIN")
    connection.executemany(INSERT, rows)
    connection.execute("COMMIT")
    taken = time.perf_counter() - started
    connection.close()
    return taken


def main() -> None:
    rows, folder = int(sys.argv[1]), Path(sys.argv[2])
    data = make(rows)
    warm = open_app(folder, "warm.db")
    send(warm, make(300), "warm")
    warm.close()
    app = open_app(folder, "import.db")
    import_s, said = send(app, data, "first")
    again_s, again = send(app, data, "second")
    with app.store.read() as tx:
        kept = tx.readings.count("local")
    app.close()
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    read_s = read_alone(data)
    for name in ("bare_warm.db", "bare.db"):
        open_app(folder, name).close()
    import_barely(make(300), folder / "bare_warm.db")
    bare_s = import_barely(data, folder / "bare.db")
    print(
        json.dumps(
            {
                "import_s": import_s,
                "again_s": again_s,
                "read_s": read_s,
                "bare_s": bare_s,
                "memory_mb": memory,
                "kept": kept,
                "first": said.startswith(f"{rows:,} new readings, "),
                "again": again.startswith(f"0 new readings, {rows:,} known already, "),
            }
        )
    )


if __name__ == "__main__":
    main()
