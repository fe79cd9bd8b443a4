"""Posts of 96 readings (8 h of 5 minutes) a second: real HTTP, the whole bot, SQLite in a file."""

import threading
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import httpx
import pytest

from tests.bot.web.rig import Door, csv_of, open_door
from tests.talk import MORNING

POSTS, CLIENTS = 400, 4
KINDS = {"all new": 96, "one new": 1, "all known": 0}


@pytest.mark.parametrize("kind", KINDS)
def test_posts_a_second(kind: str, tmp_path: Path) -> None:
    step = timedelta(minutes=5 * KINDS[kind])
    start = MORNING - timedelta(days=300)
    with open_door(f"sqlite:///{tmp_path / 'a.db'}", burst=10 * POSTS) as door:
        bodies = [csv_of(start + n * step, [5.0 + n % 9 / 10] * 96).encode() for n in range(2 * POSTS)]
        one = _rate(lambda: _post(door, bodies[:POSTS]), POSTS)
        lots = [bodies[POSTS + k :: CLIENTS] for k in range(CLIENTS)]
        threads = [threading.Thread(target=_post, args=(door, lot)) for lot in lots]
        several = _rate(lambda: _run(threads), POSTS)
        with door.talk.app.store.read() as tx:
            assert tx.readings.count("local") == 96 + (2 * POSTS - 1) * KINDS[kind]
    print(f"\n96 readings, {kind}: {one:.0f} posts/s by one client, {several:.0f} by {CLIENTS}")


def _post(door: Door, bodies: list[bytes]) -> None:
    with httpx.Client(base_url=door.url, headers={"Authorization": f"Bearer {door.token}"}) as client:
        for body in bodies:
            assert client.post("/readings", content=body).status_code == 200


def _run(threads: list[threading.Thread]) -> None:
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def _rate(work: Callable[[], None], posts: int) -> float:
    began = time.perf_counter()
    work()
    return posts / (time.perf_counter() - began)
