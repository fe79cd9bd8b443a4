"""Thousands of people with a month of data each, and how fast they are answered.

    python -m tests.load                                  # 10,000 people; some 25 minutes on two cores
    python -m tests.load --people 500 --messages 400      # a look in two minutes

The messenger is the loopback Bot API in the process that measures, which takes its share of the processor;
the bot's own limit of requests a second is off. One process on SQLite is measured beside an echo bot of the
same library in the same run, then 1, 2 and 4 workers on PostgreSQL. Reminders are due by the real clock: a
minute of an hour in which 100,000 fall due, and then many at once, to see how fast they are said.
"""

import argparse
import asyncio
import itertools
import os
import random
import signal
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.bench.test_bench_throughput import run_module
from tests.bot.channels.serving import run_serve
from tests.bot.store.postgresql import new_database, running_server
from tests.botapi import TOKEN
from tests.botapi.wire import Json
from tests.load.people import fill
from tests.load.reminders import lateness, plan_reminders
from tests.load.traffic import Crowd, Hand, Measured, in_server, write
from tests.trouble.workers import Worker, deliver, running_workers

AT_ONCE = 16
WORKERS = (1, 2, 4)
AN_HOUR = 100_000
_SETTINGS = {"TABLENOTE_LOG": "WARNING", "TABLENOTE_COPIES": "0"}
_START_S = 300.0
"""A file of some gigabytes is checked whole before it is used."""


@dataclass
class Asked:
    """How much is measured."""

    people: int
    messages: int
    due: int
    workers: tuple[int, ...]
    filled: str | None = None


def say(label: str, found: Measured) -> None:
    """Print a line of figures."""
    apart = ("question", "picture", "file")  # what may bring pictures, or has to be fetched
    quick = found.centiles(*(kind for kind in found.took if kind not in apart))
    line = f"{label}: {found.per_second:.0f} messages/s; answers p50 {quick[0]:.0f} ms, p99 {quick[1]:.0f} ms"
    for kind in apart:
        if kind in found.took:
            p50, p99 = found.centiles(kind)
            line += f"; {kind}s {p50:.0f} and {p99:.0f} ms"
    print(line + (f"; {found.unanswered} unanswered" if found.unanswered else ""), flush=True)


def traffic(api: Crowd, hand: Hand, asked: Asked, label: str, pids: list[int], *, mixed: bool) -> Measured:
    """Warm up, measure and print, with the processor's time, which others on the machine change little."""
    spent = 0.0
    for messages, seed in ((8 * AT_ONCE, 1), (asked.messages, 2)):
        spent = sum(map(processor_s, pids))
        found: Measured = in_server(
            api, write(api, hand, messages, asked.people, AT_ONCE, seed=seed, mixed=mixed)
        )
    spent = sum(map(processor_s, pids)) - spent
    say(f"{label} ({1000 * spent / asked.messages:.1f} ms of processor each)", found)
    return found


def echo_bot(api: Crowd, asked: Asked) -> Measured:
    """Measure a bare bot of the same library, for comparison."""
    with run_module("echo_bot", api.url, TOKEN, str(AT_ONCE)) as process:
        label = f"echo bot, {AT_ONCE} at once"
        return traffic(api, hand_by_push(api), asked, label, [process.pid], mixed=False)


def stop_in_traffic(api: Crowd, hand: Hand, asked: Asked, workers: list[Worker]) -> str:
    """Tell all workers to stop while people write, and say how long the last one took."""
    writing = write(api, hand, 10**6, asked.people, AT_ONCE, seed=4, mixed=True)
    future = asyncio.run_coroutine_threadsafe(writing, api._loop)
    time.sleep(5)
    began = time.monotonic()
    for worker in workers:
        worker.process.send_signal(signal.SIGTERM)
    codes = [worker.process.wait(60) for worker in workers]
    took = time.monotonic() - began
    future.cancel()
    return f"told to stop while {AT_ONCE} write, {len(workers)} workers: {took:.1f} s, exit codes {codes}"


def processor_s(pid: int) -> float:
    """Return how long a process has computed so far, but for what it started."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def memory_mb(pid: int) -> str:
    """Return how much memory a process has, and had at most."""
    lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    sizes = {line.split(":")[0]: int(line.split()[1]) // 1024 for line in lines if line.startswith("Vm")}
    return f"{sizes['VmRSS']} MB, at most {sizes['VmHWM']} MB"


def reminders(api: Crowd, address: str, hand: Hand, asked: Asked, label: str) -> None:
    """Measure how late reminders are, alone at the pace of a busy hour, and all at once beside messages."""
    if not asked.due:
        return
    a_minute = min(AN_HOUR // 60, asked.people // 3)
    api.reached, api.remember = [], True
    due = plan_reminders(address, range(a_minute), over_s=60)
    time.sleep(max(due.values()) - time.time() + 25)
    late = lateness(due, api.reached)
    print(f"{label}, {a_minute} reminders due over a minute: {late}", flush=True)
    api.reached = []
    at_once = min(asked.due, asked.people - a_minute)
    due = plan_reminders(address, range(a_minute, a_minute + at_once), over_s=0)
    found = in_server(api, write(api, hand, asked.messages, a_minute, AT_ONCE, seed=3, mixed=True))
    say(f"{label}, while {at_once} reminders are said", found)
    until = time.time() + 600
    while len({chat for chat, _ in api.reached} & due.keys()) < at_once and time.time() < until:
        time.sleep(0.5)
    times = sorted(at for chat, at in api.reached if chat in due)
    spent = times[-1] - times[0]
    print(f"{label}, {at_once} due at once: {lateness(due, api.reached)}; {len(times) / spent:.0f} a second")
    api.remember = False


def on_sqlite(asked: Asked, folder: Path) -> None:
    """Measure one process on an SQLite file, beside the echo bot."""
    db = folder / "load.db"
    with timed(f"{asked.people} people into SQLite"):
        rows = fill(f"sqlite:///{db}", asked.people)
    print(f"{rows} rows, {db.stat().st_size / 1e9:.2f} GB")
    with Crowd(asked.people) as api:
        pushed = hand_by_push(api)
        for _ in range(2):  # twice, as other work on the machine comes and goes
            echo = echo_bot(api, asked)
            with run_serve(api, db, within_s=_START_S, **_SETTINGS) as process:
                own = traffic(api, pushed, asked, "SQLite, one process, notes", [process.pid], mixed=False)
                print(f"{own.per_second / echo.per_second:.2f} of the echo bot")
                traffic(api, pushed, asked, "SQLite, one process, mixed", [process.pid], mixed=True)
                print(f"its memory: {memory_mb(process.pid)}")
        with run_serve(api, db, within_s=_START_S, **_SETTINGS):
            reminders(api, f"sqlite:///{db}", pushed, asked, "SQLite, one process")


def on_postgresql(asked: Asked, folder: Path) -> None:
    """Measure several workers on one PostgreSQL."""
    with filled_postgresql(asked.people, given=asked.filled) as address:
        with Crowd(asked.people) as api:
            echo_bot(api, asked)
        for n in asked.workers:
            own = folder / f"workers{n}"
            own.mkdir()
            with (
                Crowd(asked.people) as api,
                running_workers(api, address, own, n, TABLENOTE_LOG="WARNING") as workers,
            ):
                hand = hand_to(workers)
                label, pids = f"PostgreSQL, {n} workers", [worker.process.pid for worker in workers]
                traffic(api, hand, asked, f"{label}, notes", pids, mixed=False)
                traffic(api, hand, asked, f"{label}, mixed", pids, mixed=True)
                for worker in workers:
                    print(f"its memory: {memory_mb(worker.process.pid)}")
                if n == 2 and asked.due:
                    reminders(api, address, hand, asked, label)
                print(stop_in_traffic(api, hand, asked, workers), flush=True)


@contextmanager
def filled_postgresql(people: int, recent: int = 0, given: str | None = None) -> Iterator[str]:
    """Give the address of a database with so many people; one that is given is full already, and stays."""
    if given is not None:
        yield given
        return
    with running_server() as server, new_database(server) as address:
        with timed(f"{people} people with a month, {recent} with a day, into PostgreSQL"):
            print(f"{fill(address, people, recent)} rows")
        yield address


def hand_to(workers: list[Worker]) -> Hand:
    """Return what a proxy does: one of the workers gets it."""
    numbers, draw = itertools.count(int(time.time()) * 1000), random.Random(1)

    async def hand(update: Json) -> None:
        await deliver({"update_id": next(numbers)} | update, workers, draw)

    return hand


def hand_by_push(api: Crowd) -> Hand:
    """Return what lets an update be fetched by who polls."""

    async def hand(update: Json) -> None:
        await api._push((update,))

    return hand


@contextmanager
def timed(what: str) -> Iterator[None]:
    """Print how long a block takes."""
    began = time.monotonic()
    yield
    print(f"{what}: {time.monotonic() - began:.0f} s", flush=True)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--people", type=int, default=10_000)
    parser.add_argument("--messages", type=int, default=2000)
    parser.add_argument("--due", type=int, default=5000, help="reminders due at once; 0: none at all")
    parser.add_argument("--only", choices=("sqlite", "postgresql"))
    parser.add_argument("--workers", type=int, nargs="+", default=WORKERS)
    parser.add_argument("--filled", help="the address of a PostgreSQL database that is full already")
    given = parser.parse_args()
    asked = Asked(given.people, given.messages, given.due, tuple(given.workers), given.filled)
    for name, measure in (("sqlite", on_sqlite), ("postgresql", on_postgresql)):
        if given.only in (None, name):
            with tempfile.TemporaryDirectory() as folder:
                measure(asked, Path(folder))


if __name__ == "__main__":
    main()
