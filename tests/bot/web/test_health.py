"""Whether the bot is well is asked of what people notice: the file, the disk, the clock, the workers."""

import shutil
import socket
import time
from datetime import timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

from bot.store import health
from bot.web import desk
from tests.bot.web.rig import Door, open_door


def faults(door: Door) -> list[str]:
    answer = door.client.get("/health")
    if answer.status_code == 200:
        assert answer.json() == {"status": "ok"}
        return []
    assert answer.status_code == 503
    found: list[str] = answer.json()["faults"]
    return found


def test_a_file_that_is_gone_and_a_full_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "a.db"
    with open_door(f"sqlite:///{file}") as door:
        assert faults(door) == []
        full = shutil._ntuple_diskusage(10**9, 10**9 - 1000, 1000)
        monkeypatch.setattr(health.shutil, "disk_usage", lambda _: full)
        assert faults(door) == ["the disk is nearly full"]
        monkeypatch.undo()
        file.unlink()
        assert faults(door) == ["the database file is gone"]


def test_a_clock_that_stands_and_reminders_that_wait() -> None:
    with open_door() as door:
        door.talk.say("new sensor on at 6:00")
        door.talk.tick()
        assert faults(door) == []
        door.talk.clock.move_to(door.talk.clock.now() + timedelta(hours=9))
        assert faults(door) == ["the clock has stopped ticking", "reminders are late"]
        door.talk.tick()
        assert faults(door) == []


def test_workers_that_do_not_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(desk, "CHECK_WITHIN_S", 0.1)
    with open_door() as door:
        monkeypatch.setattr(door.talk.app, "check", lambda: time.sleep(0.6) or [])
        assert faults(door) == ["its workers do not answer"]


class Hook:
    path = "/hook"

    def admits(self, headers: Any) -> bool:
        return bool(headers.get("secret") == "ours")

    async def receive(self, body: bytes) -> int:
        return 200


def test_who_lacks_the_secret_is_sent_away_before_their_body_comes() -> None:
    with open_door(hook=Hook()) as door:
        host = urlsplit(str(door.url))
        with socket.create_connection((host.hostname, host.port), timeout=5) as line:
            line.sendall(b"POST /hook HTTP/1.1\r\nHost: a\r\nContent-Length: 900000\r\n\r\nonly a little")
            assert line.recv(100).startswith(b"HTTP/1.1 403")
        assert door.client.post("/hook", content=b"{}", headers={"secret": "ours"}).status_code == 200
