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

from bot.model.messages import Picture, PictureSpec
from bot.store import open_store
from bot.talk import drawing
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


def pids_left(drawer: Drawer) -> list[int]:
    return [] if drawer._pool is None else pids(drawer)


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


_HOARD: list[bytes] = []
HELD_MB = 60


def hoard(db: str, spec: PictureSpec, person: str) -> Picture:
    """Draw as a library would that gives nothing back."""
    _HOARD.append(os.urandom(HELD_MB * 1_000_000))
    return Picture(str(os.getpid()), b"", "")


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="the system does not tell")
def test_whatever_keeps_memory_a_process_that_draws_is_bounded(
    url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(drawing, "_draw", hoard)
    drawer, drawn_by, held = Drawer(url, most_mb=4 * HELD_MB), [], []
    for _ in range(8):
        drawn_by.append(drawer.draw(SPEC, "local").name)
        held += [int(Path(f"/proc/{one}/statm").read_text().split()[1]) for one in pids_left(drawer)]
    drawer.close()
    assert 2 <= len(set(drawn_by)) < 8, "one process draws several pictures, and not all"
    assert max(held) * os.sysconf("SC_PAGE_SIZE") / 1e6 <= 4 * HELD_MB


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
