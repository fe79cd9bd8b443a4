"""Runs `tablenote serve` as a process of its own against the loopback Bot API server."""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.bot.web.rig import free_port
from tests.botapi import TOKEN, BotApi

ROOT = Path(__file__).parents[3]


@contextmanager
def run_serve(
    api: BotApi, db: Path, *, within_s: float = 20, **settings: str
) -> Iterator[subprocess.Popen[bytes]]:
    """Start it and wait until it polls; at the end it is killed if it still runs."""
    polls = api.polls
    with start_serve(api, db, **settings) as process:
        api.wait_for(lambda: api.polls > polls or process.poll() is not None, timeout=within_s)
        assert process.poll() is None, (db.parent / "serve.log").read_text()
        yield process


@contextmanager
def start_serve(
    api: BotApi, db: Path, address: str = "", **settings: str
) -> Iterator[subprocess.Popen[bytes]]:
    """Start it on an SQLite file, or on another database; at the end it is killed if it still runs."""
    environment = {name: value for name, value in os.environ.items() if not name.startswith("TABLENOTE_")}
    environment |= {
        "TABLENOTE_PORT": str(free_port()),
        "TABLENOTE_TOKEN": TOKEN,
        "TABLENOTE_API_URL": api.url,
        "TABLENOTE_ALLOWED": "open",
        "TABLENOTE_MESSAGES_PER_MINUTE": "0",
        "TABLENOTE_FILES_PER_DAY": "0",
        "TABLENOTE_PER_SECOND": "0",
        "TABLENOTE_TZ": "Europe/Vienna",
    }
    command = [sys.executable, "-m", "bot", "serve", "--db", address or f"sqlite:///{db}"]
    with (db.parent / "serve.log").open("ab") as log:
        process = subprocess.Popen(command, cwd=ROOT, env=environment | settings, stdout=log, stderr=log)
    try:
        yield process
    finally:
        process.kill()
        process.wait()
