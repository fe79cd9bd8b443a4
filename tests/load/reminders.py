"""Reminders of many people at once, and how late each came."""

import sqlite3
import time
from collections.abc import Iterable
from contextlib import closing
from datetime import timedelta
from zoneinfo import ZoneInfo

import psycopg
from sqlalchemy import make_url

from bot.model.clock import SystemClock
from tests.load.people import plain

ZONES = ("UTC", "Asia/Tokyo", "Pacific/Auckland", "America/Los_Angeles", "Asia/Karachi")
_ASK = "sync"


def plan_reminders(address: str, people: Iterable[int], over_s: float) -> dict[int, float]:
    """Have one reminder to sync fall due for each, one after the other from now on; return when.

    Each synced long enough ago for it, and lives where it is day.
    """
    numbers, now = list(people), SystemClock().now()
    zone = next(one for one in ZONES if 9 <= now.astimezone(ZoneInfo(one)).hour < 20)
    began = time.time() + 1
    due = {n: began + over_s * k / len(numbers) for k, n in enumerate(numbers)}
    synced = now - timedelta(hours=7, minutes=30)
    at, stamp = int(synced.timestamp() * 1e6), synced.isoformat()
    entries = [
        (f"tg:{n}", "sync", at, "synced", f'{{"at": "{stamp}"}}', f"sync{n}-{began}", 0, at) for n in numbers
    ]
    rows = [(f"tg:{n}", _ASK, int(1e6 * due[n]), "pending") for n in numbers]
    entry_columns = ("person", "kind", "at", "said", "body", "update_id", "ordinal", "logged_at")
    _run(
        address,
        ("UPDATE people SET zone = ? WHERE id = ?", [(zone, f"tg:{n}") for n in numbers]),
        ("DELETE FROM reminders WHERE person = ? AND state = 'pending'", [(f"tg:{n}",) for n in numbers]),
        (f"INSERT INTO entries ({', '.join(entry_columns)}) VALUES ({_places(entry_columns)})", entries),
        ("INSERT INTO reminders (person, kind, due_at, state) VALUES (?, ?, ?, ?)", rows),
    )
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
    return f"late by p50 {p50:.1f} s, p99 {p99:.1f} s; {len(due) - len(late)} not said"


def _places(columns: Iterable[str]) -> str:
    return ", ".join("?" for _ in columns)


def _run(address: str, *statements: tuple[str, list[tuple[object, ...]]]) -> None:
    if address.startswith("sqlite"):
        with closing(sqlite3.connect(str(make_url(address).database), timeout=30)) as file, file:
            for statement, rows in statements:
                file.executemany(statement, rows)
        return
    with psycopg.connect(plain(address)) as server, server.cursor() as cursor:
        for statement, rows in statements:
            cursor.executemany(statement.replace("?", "%s"), rows)
