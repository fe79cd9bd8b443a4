"""Imports a made-up file of readings in a process of its own, for its time and its memory.

`python -m tests.bench.import_alone ROWS FOLDER` prints JSON: seconds of reading and storing, those of a bare
`pandas.read_csv` with a known format plus a bulk insert of the same rows, and the peak memory in MB.
"""

import io
import json
import resource
import sqlite3
import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bot.app import App
from bot.clock import SettableClock
from bot.intake import read_file
from bot.messages import Incoming
from bot.receiving import store_file

NOW = datetime(2026, 6, 1, tzinfo=UTC)
TABLE = (
    "CREATE TABLE readings (person TEXT, at INTEGER, source TEXT, mmol REAL, flag TEXT, import_id INTEGER, "
    "PRIMARY KEY (person, at, source)) WITHOUT ROWID"
)


def make(rows: int) -> bytes:
    start = NOW - timedelta(days=1, minutes=5 * rows)
    lines = [
        f"{start + timedelta(minutes=5 * i):%Y-%m-%d %H:%M},{4 + i * 7 % 50 / 10:.1f}" for i in range(rows)
    ]
    return "\n".join(["time (UTC),glucose mmol/L", *lines, ""]).encode()


def import_into(app: App, data: bytes, update_id: str) -> tuple[float, float, int]:
    """Return the seconds of reading and of storing, and how many readings were new."""
    started = time.perf_counter()
    with app.store.begin() as unit:
        person = unit.people.ensure("local", zone="Europe/Vienna", unit="mmol/L", at=NOW)
        found = read_file(data, "readings.csv", zone=person.zone, now=NOW)
        read = time.perf_counter()
        incoming = Incoming("local", update_id, NOW)
        stored, _ = store_file(unit, person, found, "readings.csv", incoming)
    return read - started, time.perf_counter() - read, stored.stored


def import_barely(data: bytes, path: Path) -> float:
    """Return the seconds of a reader that is told the format, and of one insert of all rows."""
    import pandas

    started = time.perf_counter()
    frame = pandas.read_csv(
        io.BytesIO(data), header=0, names=["at", "mmol"], parse_dates=["at"], date_format="%Y-%m-%d %H:%M"
    )
    stamps = (frame["at"].astype("int64")).tolist()
    rows = [
        ("local", at, "file", mmol, "", 1) for at, mmol in zip(stamps, frame["mmol"].tolist(), strict=True)
    ]
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute(TABLE)
    connection.executemany("INSERT INTO readings VALUES (?, ?, ?, ?, ?, ?)", rows)
    connection.commit()
    connection.close()
    return time.perf_counter() - started


def main() -> None:
    rows, folder = int(sys.argv[1]), Path(sys.argv[2])
    data = make(rows)
    warm = App(f"sqlite:///{folder / 'warm.db'}", zone="Europe/Vienna", clock=SettableClock(NOW))
    import_into(warm, make(300), "warm")
    warm.close()
    app = App(f"sqlite:///{folder / 'import.db'}", zone="Europe/Vienna", clock=SettableClock(NOW))
    read, store, new = import_into(app, data, "first")
    _, again, known = import_into(app, data, "second")
    app.close()
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    import_barely(make(300), folder / "bare_warm.db")
    bare = import_barely(data, folder / "bare.db")
    print(
        json.dumps(
            {
                "read_s": read,
                "store_s": store,
                "again_s": again,
                "bare_s": bare,
                "memory_mb": memory,
                "new": new,
                "new_again": known,
            }
        )
    )


if __name__ == "__main__":
    main()
