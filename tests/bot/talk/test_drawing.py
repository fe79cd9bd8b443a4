"""Pictures are drawn in a process of their own, which may die, and dies with the bot."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from bot.model.messages import PictureSpec
from bot.store import open_store
from bot.talk.drawing import Drawer, draw
from tests.simulated.logged import FIRST, log_weeks

SPEC = PictureSpec("week", "week.png", since=FIRST, until=FIRST + timedelta(days=7))


@pytest.fixture(scope="module")
def url(tmp_path_factory: pytest.TempPathFactory) -> str:
    address = f"sqlite:///{tmp_path_factory.mktemp('drawing')}/bot.db"
    store = open_store(address)
    log_weeks(store, 7)
    store.close()
    return address


@pytest.fixture
def drawer(url: str) -> Iterator[Drawer]:
    drawer = Drawer(url)
    yield drawer
    drawer.close()


def pids(drawer: Drawer) -> list[int]:
    assert drawer._pool is not None
    return list(drawer._pool._processes)


def test_it_is_the_same_picture_and_one_that_dies_is_replaced(url: str, drawer: Drawer) -> None:
    store = open_store(url)
    assert drawer.draw(SPEC, "local").png == draw(store, SPEC, "local").png
    store.close()
    [first] = pids(drawer)
    os.kill(first, signal.SIGKILL)
    assert drawer.draw(SPEC, "local").png.startswith(b"\x89PNG")
    assert pids(drawer) != [first]


def test_what_cannot_be_drawn_is_raised_here(drawer: Drawer) -> None:
    with pytest.raises(LookupError):
        drawer.draw(SPEC, "nobody")


BOT = """
import sys, time
from bot.talk.drawing import Drawer
from tests.bot.talk.test_drawing import SPEC
if __name__ == "__main__":
    drawer = Drawer(sys.argv[1])
    drawer.draw(SPEC, "local")
    print(*drawer._pool._processes, flush=True)
    time.sleep(60)
"""


def test_it_ends_with_the_bot_however_that_ends(url: str, tmp_path: Path) -> None:
    script = tmp_path / "bot_for_test.py"
    script.write_text(BOT)
    environment = os.environ | {"PYTHONPATH": str(Path(__file__).parents[3])}
    process = subprocess.Popen(
        [sys.executable, script, url], stdout=subprocess.PIPE, text=True, env=environment
    )
    with process:
        assert process.stdout is not None
        drawing = int(process.stdout.readline())
        process.kill()
    until = time.monotonic() + 5
    while Path(f"/proc/{drawing}").exists() and "Z" not in Path(f"/proc/{drawing}/stat").read_text():
        assert time.monotonic() < until
        time.sleep(0.02)
