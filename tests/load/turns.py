"""What one turn costs alone: plain notes of people with a month behind them, in one thread, no messenger.

python -m tests.load.turns                 # 500 notes: processor's time and statements of a turn
python -m tests.load.turns --profile 40    # and the 40 functions that take longest
python -m tests.load.turns --statements    # and how often each statement is made
"""

import argparse
import cProfile
import json
import pstats
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from statistics import median

from sqlalchemy import event

from bot.app import App
from bot.model.clock import SettableClock, SystemClock
from bot.model.messages import Incoming
from bot.store import Store
from tests.load.people import fill
from tests.load.traffic import NOTES

PEOPLE, WARM = 100, 60


@dataclass(frozen=True)
class Cost:
    """What a turn costs: milliseconds of the processor (median), statements and transactions (mean)."""

    ms: float
    statements: Counter[str]
    notes: int

    def __str__(self) -> str:
        """Say it in a line."""
        each = self.statements.total() / self.notes
        return f"{self.notes} notes: {self.ms:.2f} ms of processor a turn, {each:.1f} statements"


def measure(folder: Path, notes: int, profile: cProfile.Profile | None = None) -> Cost:
    """Have people note meals, one after the other, as `serve` would; profile the last notes."""
    address = f"sqlite:///{folder / 'turns.db'}"
    fill(address, PEOPLE)
    clock = SettableClock(SystemClock().now())
    app = App(address, zone="UTC", clock=clock, cards=True, serves="tg:%")
    app.prepare()
    try:
        _play(app, clock, range(WARM))
        with _counting(app.store) as statements:
            _play(app, clock, range(WARM, WARM + notes))
        with profile or nullcontext():
            spent = _play(app, clock, range(WARM + notes, WARM + 2 * notes))
    finally:
        app.close()
    return Cost(1000 * median(spent), statements, notes)


def _play(app: App, clock: SettableClock, numbers: range) -> list[float]:
    spent = []
    for n in numbers:
        person = n % PEOPLE
        clock.move_to(clock.now() + timedelta(minutes=1))
        text = NOTES[(n + n // PEOPLE) % len(NOTES)]
        app.accept([(f"u{n}", f"tg:{person}", json.dumps({"update_id": n, "message": {"text": text}}))])
        incoming = Incoming(
            person=f"tg:{person}", update_id=f"u{n}", message_id=str(n), text=text, sent_at=clock.now()
        )
        began = time.process_time()
        said = app.receive(incoming, quick=True)
        spent.append(time.process_time() - began)
        app.sent({one.id: str(10_000 + one.id) for one in said if one.id is not None})
    return spent


@contextmanager
def _counting(store: Store) -> Iterator[Counter[str]]:
    """Count the statements made in a block."""
    found: Counter[str] = Counter()

    def count(*given: object) -> None:
        found[" ".join(str(given[2]).split())] += 1

    event.listen(store._engine, "before_cursor_execute", count)
    yield found
    event.remove(store._engine, "before_cursor_execute", count)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--notes", type=int, default=500)
    parser.add_argument("--profile", type=int, default=0, help="so many functions, those that take longest")
    parser.add_argument("--statements", action="store_true")
    given = parser.parse_args()
    profile = cProfile.Profile() if given.profile else None
    with tempfile.TemporaryDirectory() as folder:
        found = measure(Path(folder), given.notes, profile)
    print(found)
    if given.statements:
        for statement, times in found.statements.most_common():
            print(f"{times / found.notes:6.2f}  {statement}")
    if profile:
        pstats.Stats(profile).sort_stats("cumulative").print_stats(given.profile)


if __name__ == "__main__":
    main()
