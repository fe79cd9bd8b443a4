"""Several workers on one PostgreSQL, and only one on an SQLite file."""

import os
import subprocess
import sys
from pathlib import Path

from bot.store import lock_single
from tests.bot.channels.serving import ROOT
from tests.bot.store.postgresql import new_database, running_server
from tests.botapi import TOKEN, BotApi
from tests.trouble.workers import play


def test_two_workers_and_one_killed(tmp_path: Path) -> None:
    """200 notes of 20 chats, to whichever worker; one is killed in the middle."""
    with running_server() as server, new_database(server) as address, BotApi() as api:
        outcome = play(api, address, tmp_path, chats=20, each=10, workers=2, seed=1, kill=True)
    assert outcome.is_good, outcome
    assert outcome.answered_twice <= 20, "at most one a chat, which was on its way when its worker was killed"


def test_a_second_worker_on_an_sqlite_file_is_refused(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'bot.db'}"
    environment = os.environ | {"TABLENOTE_TOKEN": TOKEN, "TABLENOTE_API_URL": "http://127.0.0.1:9"}
    with lock_single(url):
        done = subprocess.run(
            [sys.executable, "-m", "bot", "serve", "--db", url],
            cwd=ROOT,
            env=environment,
            capture_output=True,
            text=True,
            check=False,
        )
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1
    assert "SQLite serves one at a time" in done.stderr
    assert "PostgreSQL" in done.stderr
