"""`tablenote serve` told to stop under load: it ends soon, and goes on after the restart."""

import signal
import sqlite3
import subprocess
import time
from contextlib import closing
from pathlib import Path

import pytest

from tests.bot.channels.serving import run_serve
from tests.botapi import BotApi, Fault

CHATS = range(100, 112)
STOPS_WITHIN_S = 5.0


def stop(process: subprocess.Popen[bytes]) -> float:
    began = time.monotonic()
    process.send_signal(signal.SIGTERM)
    assert process.wait(timeout=30) == 0
    return time.monotonic() - began


def rows(db: Path, sql: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(db)) as connection:
        return connection.execute(sql).fetchall()


def big_file() -> bytes:
    """Readings that take some seconds to read."""
    stamps = (
        f"20{y:02}-{m:02}-{d:02} {h:02}:{k:02}"
        for y in range(22, 26)
        for m in range(1, 13)
        for d in range(1, 29)
        for h in range(24)
        for k in range(0, 60, 15)
    )
    return (
        "time,glucose mmol/L\n" + "\n".join(f"{stamp},5.{n % 10}" for n, stamp in enumerate(stamps))
    ).encode()


def test_two_stops_under_load_end_soon_and_lose_nothing(api: BotApi, tmp_path: Path) -> None:
    """A file is being read, a picture drawn, sends are slow: only what was cut off twice is uncertain."""
    db, file = tmp_path / "bot.db", big_file()
    csv = "\n".join(f"2026-03-03 {6 + k // 12:02}:{k % 12 * 5:02},5.{k % 10}" for k in range(60))
    took = []
    for n in (1, 2):
        with run_serve(api, db) as process:
            api.document(99, "years.csv", file)
            api.document(98, "day.csv", f"time,glucose mmol/L\n{csv}".encode())
            api.fault("sendMessage", *[Fault("slow", 12)] * 6)
            api.fault("sendPhoto", Fault("slow", 12))
            for chat in CHATS:
                api.say(chat, f"{n} bowls of couscous")
            api.say(98, "show 3 March")
            api.wait_for(lambda: not api.unconfirmed(), timeout=60)  # a busy machine
            time.sleep(0.7)
            took.append(stop(process))
            api._faults.clear()
    assert max(took) < STOPS_WITHIN_S, took
    with run_serve(api, db) as process:
        waits = (
            "SELECT person, state, attempts, substr(text, 1, 40) FROM outbox WHERE state = 'unsent' "
            "UNION ALL SELECT person, state, attempts, error FROM inbox WHERE state != 'done'"
        )
        try:
            api.wait_for(lambda: not rows(db, waits), timeout=90)
        except AssertionError:
            pytest.fail(f"still waiting: {rows(db, waits)}")
        stop(process)
    twice_slow = "SELECT COUNT(*) FROM outbox WHERE state = 'uncertain'"
    assert rows(db, twice_slow)[0][0] <= 6 + 1  # type: ignore[operator]  # six messages and the picture
    for chat in CHATS:
        texts = [message.text for message in api.sent(chat)]
        for grams in ("200 g", "400 g"):
            assert 1 <= sum(f"couscous {grams}" in text for text in texts) <= 2, (grams, texts)
    assert [m.kind for m in api.sent(98)].count("photo") >= 2
    assert [count for (count,) in rows(db, "SELECT COUNT(*) FROM imports WHERE person = 'tg:99'")] == [1]
