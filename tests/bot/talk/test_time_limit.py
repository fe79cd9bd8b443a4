"""A turn that does not end is ended, changes nothing, and leaves the bot to everybody else."""

import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

import pytest

from bot.reply import fixed
from bot.talk import time_limit as limits
from bot.talk import turn
from bot.talk.time_limit import OutOfTime, within
from tests.talk import talking

ROOT = Path(__file__).parents[3]


def _work_for(seconds: float) -> None:
    until = time.perf_counter() + seconds
    while time.perf_counter() < until:
        pass


def test_code_that_never_ends_is_ended_where_it_stands() -> None:
    started = time.monotonic()
    with pytest.raises(OutOfTime):
        within(0.05, partial(_work_for, 3600))
    assert time.monotonic() - started < 5


def test_what_ends_in_time_is_left_alone_and_so_is_what_follows() -> None:
    """Blocks that end just when their time is up: each ends or is ended, and nothing is raised after one."""

    def run(seed: int) -> int:
        ended = 0
        for n in range(150):
            try:
                within(0.003, partial(_work_for, 0.003 + (seed + n) % 7 * 1e-4 - 3e-4))
            except OutOfTime:
                ended += 1
            sum(range(2000))  # where one that came late would be raised
        return ended

    with ThreadPoolExecutor(4) as pool:
        counts = list(pool.map(run, range(4)))
    assert 0 < sum(counts) < 600


def test_the_person_is_told_and_the_next_message_is_handled(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(turn, "TURN_S", 0.2)
    real = turn.hear

    def hear(heard):
        while "for ever" in heard.incoming.text:
            pass
        return real(heard)

    monkeypatch.setattr(turn, "hear", hear)
    with talking() as talk:
        assert talk.say("50 g cheese for ever") == fixed.BROKEN
        assert talk.meals() == []
        monkeypatch.setattr(turn, "TURN_S", limits.TURN_S)
        talk.say("50 g cheese")
        assert len(talk.meals()) == 1


def test_a_process_that_cannot_be_freed_ends() -> None:
    """Code in C that waits for ever, here a sleep, cannot be interrupted in a thread."""
    code = (
        "import threading, time\n"
        "from bot.talk.time_limit import within\n"
        "thread = threading.Thread(target=lambda: within(0.2, lambda: time.sleep(600), 0.2))\n"
        "thread.start()\n"
        "thread.join()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, timeout=60, check=False, capture_output=True
    )
    assert done.returncode == limits.STUCK
    assert b"cannot be ended" in done.stderr
