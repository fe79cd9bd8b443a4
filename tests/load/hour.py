"""An hour in which 100,000 reminders fall due, in real time, on PostgreSQL, and how late each was sent.

    python -m tests.load.hour                                           # an hour and some twenty minutes
    python -m tests.load.hour --people 500 --recent 500 --due 1000 --over 36    # its pace, for half a minute
    python -m tests.load.hour --people 500 --recent 1500 --due 2000 --over 0    # all at once

The bot is so many workers of `tablenote serve`, the messenger the loopback Bot API, which answers at once;
the bot's own limit of requests a second is off, unless `--per-second` gives one. Of the people, `--people`
have a month behind them and `--recent` a day.
"""

import argparse
import tempfile
import time
from pathlib import Path

from tests.load.__main__ import filled_postgresql, memory_mb, processor_s
from tests.load.reminders import lateness, plan_reminders
from tests.load.traffic import Crowd
from tests.trouble.workers import running_workers

_GIVE_UP_S = 900


def measure(address: str, people: int, due: int, over_s: float, workers: int, per_second: int) -> None:
    """Let them fall due and print what came of it, each minute and at the end."""
    settings = {"TABLENOTE_LOG": "WARNING", "TABLENOTE_PER_SECOND": str(per_second)}
    with (
        tempfile.TemporaryDirectory() as folder,
        Crowd(people) as api,
        running_workers(api, address, Path(folder), workers, **settings) as running,
    ):
        pids = [worker.process.pid for worker in running]
        api.remember, spent = True, sum(map(processor_s, pids))
        due_at = plan_reminders(address, range(due), over_s)
        began, until = min(due_at.values()), max(due_at.values()) + _GIVE_UP_S
        said_after = time.time() + 60
        while len(api.reached) < due and time.time() < until:
            time.sleep(0.2)
            if time.time() > said_after:
                said_after += 60
                now = time.time()
                behind = sum(at <= now for at in due_at.values()) - len(api.reached)
                print(f"{now - began:5.0f} s: {len(api.reached)} said, {behind} wait", flush=True)
        ended = max(at for _, at in api.reached)
        spent = sum(map(processor_s, pids)) - spent
        twice = len(api.reached) - len({chat for chat, _ in api.reached})
        print(f"{due} due over {over_s:.0f} s, {workers} workers: {lateness(due_at, api.reached)}")
        print(f"{len(api.reached) / (ended - began):.0f} a second, {twice} more than once")
        print(
            f"{1000 * spent / len(api.reached):.1f} ms of processor each; {'; '.join(map(memory_mb, pids))}"
        )


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--people", type=int, default=10_000)
    parser.add_argument("--recent", type=int, default=90_000)
    parser.add_argument("--due", type=int, default=100_000)
    parser.add_argument("--over", type=float, default=3600, help="seconds")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--per-second", type=int, default=0)
    parser.add_argument("--filled", help="the address of a PostgreSQL database that is full already")
    given = parser.parse_args()
    with filled_postgresql(given.people, given.recent, given.filled) as address:
        people = given.people + given.recent
        measure(address, people, given.due, given.over, given.workers, given.per_second)


if __name__ == "__main__":
    main()
