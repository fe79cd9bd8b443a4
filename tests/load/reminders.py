"""Reminders of many people at once, and how late each came."""

import random
import sqlite3
import time
from collections.abc import Iterable, Sequence
from contextlib import closing
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import psycopg
from sqlalchemy import make_url

from bot.model.clock import SystemClock
from tests.load.people import plain

ZONES = ("UTC", "Asia/Tokyo", "Pacific/Auckland", "America/Los_Angeles", "Asia/Karachi")
_ASK = "sync"
_SYNCED_BEFORE = timedelta(hours=7, minutes=30)
_STORED_A_SECOND = 5000


def plan_reminders(address: str, people: Iterable[int], over_s: float) -> dict[int, float]:
    """Have one reminder to sync fall due for each, one after the other from when all are stored; return when.

    Each synced long enough before it for it, and lives where it is day. Who comes when is drawn.
    """
    numbers = list(people)
    random.Random(1).shuffle(numbers)
    now = SystemClock().now()
    zone = next(one for one in ZONES if 9 <= now.astimezone(ZoneInfo(one)).hour < 20)
    began = time.time() + 1 + len(numbers) / _STORED_A_SECOND
    due = {n: began + over_s * k / len(numbers) for k, n in enumerate(numbers)}
    entries, reminders = [], []
    for n, at in due.items():
        synced = datetime.fromtimestamp(at, UTC) - _SYNCED_BEFORE
        micros = int(synced.timestamp() * 1e6)
        body = f'{{"at": "{synced.isoformat()}"}}'
        entries.append((f"tg:{n}", "sync", micros, "synced", body, f"sync{n}-{began}", 0, micros))
        reminders.append((f"tg:{n}", _ASK, int(1e6 * at), "pending"))
    columns = ("person", "kind", "at", "said", "body", "update_id", "ordinal", "logged_at")
    moved = [(zone, f"tg:{n}") for n in numbers]
    if address.startswith("sqlite"):
        with closing(sqlite3.connect(str(make_url(address).database), timeout=30)) as file, file:
            file.executemany("UPDATE people SET zone = ? WHERE id = ?", moved)
            file.executemany(
                "DELETE FROM reminders WHERE person = ? AND state = 'pending'", [(one,) for _, one in moved]
            )
            for table, names, rows in _tables(columns, entries, reminders):
                places = ", ".join("?" for _ in names)
                file.executemany(f"INSERT INTO {table} ({', '.join(names)}) VALUES ({places})", rows)
        return due
    with psycopg.connect(plain(address)) as server, server.cursor() as cursor:
        whose = [one for _, one in moved]
        cursor.execute("UPDATE people SET zone = %s WHERE id = ANY(%s)", (zone, whose))
        cursor.execute("DELETE FROM reminders WHERE person = ANY(%s) AND state = 'pending'", (whose,))
        for table, names, rows in _tables(columns, entries, reminders):
            with cursor.copy(f"COPY {table} ({', '.join(names)}) FROM STDIN") as copy:
                for row in rows:
                    copy.write_row(row)
    return due


def lateness(due: dict[int, float], reached: list[tuple[int, float]]) -> str:
    """Say how long after it fell due each was sent, and how many were not."""
    first: dict[int, float] = {}
    for chat, at in reached:
        if chat in due and at >= due[chat]:
            first.setdefault(chat, at)
    late = sorted(at - due[chat] for chat, at in first.items())
    if not late:
        return "none was said"
    p50, p99 = late[len(late) // 2], late[int(len(late) * 0.99)]
    said = f"late by p50 {p50:.1f} s, p99 {p99:.1f} s, at most {late[-1]:.1f} s"
    return f"{said}; {len(due) - len(late)} not said"


Rows = Sequence[tuple[object, ...]]


def _tables(
    columns: tuple[str, ...], entries: Rows, reminders: Rows
) -> tuple[tuple[str, tuple[str, ...], Rows], ...]:
    return ("entries", columns, entries), ("reminders", ("person", "kind", "due_at", "state"), reminders)
