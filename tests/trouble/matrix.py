"""Every fault against all that the bot does: `python -m tests.trouble.matrix [--fault 500] [--work replies]`.

The real program (`tests.trouble.staged`) runs on an SQLite file and the loopback Bot API. While it takes in
updates, replies, shows pictures or reminds, something goes wrong several times over; then it is left alone
until nothing waits, without a restart. A cell of the table says

- lost: notes without an entry, or what should have come to a chat and did not
- twice: notes with two entries, or what came to a chat more than once
- late: seconds until the last of it was there, beside the same without a fault (first line)

A message whose answer was cut off may have arrived, so that one more copy of it is the price of losing none.
"""

import argparse
import resource
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from tests.botapi import BotApi, Fault

ROOT = Path(__file__).parents[2]
NOON = datetime(2026, 3, 3, 11, tzinfo=UTC)
NOTES, CHATS = 12, range(100, 106)
HOUR_S = 3600.0
SETTLED_WITHIN_S = 120.0
AT_ONCE = 4
TIMES = {"429": 3, "500": 4, "502": 4, "slow": 3, "drop_before": 3, "drop_after": 3}
"""So often in a row each method goes wrong in this way."""
FAULTS = ("none", *TIMES, "disk full", "locked", "clock forward", "clock back")
FORMAT = "{:14}" + "{:>22}" * 4


@dataclass(frozen=True)
class Cell:
    """What came of one fault while one kind of work was done."""

    lost: int
    twice: int
    late_s: float

    def __str__(self) -> str:
        return f"{self.lost} / {self.twice} / {self.late_s:.1f}"


class Stage:
    """The bot at work in a process of its own, the chats, and what can go wrong."""

    def __init__(self, api: BotApi, folder: Path) -> None:
        self.api, self.db, self._clock = api, folder / "bot.db", folder / "clock"
        self.step_to(NOON)
        command = ("-m", "tests.trouble.staged", "--db", self.db, "--api", api.url, "--clock", self._clock)
        self.process = subprocess.Popen(
            [sys.executable, *command], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
        )
        self._keeping = threading.Thread(target=self._keep_log, args=(folder / "log",))
        self._keeping.start()

    def _keep_log(self, file: Path) -> None:
        """Write down what the process says; it cannot itself while its disk is full."""
        assert self.process.stdout is not None
        with self.process.stdout as said, file.open("wb") as log:
            shutil.copyfileobj(said, log)

    def end(self) -> None:
        """Stop the process, or kill it where it does not stop."""
        self.process.terminate()
        try:
            self.process.wait(timeout=10)
        finally:
            self.process.kill()
            self.process.wait()
            self._keeping.join()

    def now(self) -> float:
        """Return the instant that the bot's clock shows."""
        return time.time() + float(self._clock.read_text())

    def step_to(self, at: datetime) -> None:
        """Set the bot's clock."""
        self._write_clock(at.timestamp() - time.time())

    def step(self, seconds: float) -> None:
        """Move the bot's clock forward or back."""
        self._write_clock(float(self._clock.read_text()) + seconds)

    def _write_clock(self, ahead_s: float) -> None:
        new = self._clock.with_suffix(".new")
        new.write_text(str(ahead_s))
        new.replace(self._clock)  # in one step, as it is read all the time

    def say(self, chat: int, text: str) -> None:
        """Have a person write."""
        self.api.say(chat, text, date=int(self.now()))

    def count(self, sql: str) -> int:
        """Return the first number of a query."""
        with closing(sqlite3.connect(self.db, timeout=20)) as connection:
            return int(connection.execute(sql).fetchone()[0])

    def settle(self) -> None:
        """Wait until nothing waits any more; after a long time, go on all the same."""
        end, quiet = time.monotonic() + SETTLED_WITHIN_S, 0
        while time.monotonic() < end and quiet < 5:
            time.sleep(0.2)
            waits = self.count("SELECT COUNT(*) FROM inbox WHERE state IN ('new', 'failed')")
            waits += self.count("SELECT COUNT(*) FROM outbox WHERE state = 'unsent'")
            quiet = 0 if waits or self.api.unconfirmed() else quiet + 1

    @contextmanager
    def full_disk(self) -> Iterator[None]:
        """Let the process write to no file, as on a full disk."""
        _, most = resource.prlimit(self.process.pid, resource.RLIMIT_FSIZE)
        resource.prlimit(self.process.pid, resource.RLIMIT_FSIZE, (0, most))
        try:
            yield
        finally:
            resource.prlimit(self.process.pid, resource.RLIMIT_FSIZE, (most, most))

    @contextmanager
    def locked(self) -> Iterator[None]:
        """Hold the database as another program that writes."""
        with closing(sqlite3.connect(self.db, timeout=20, isolation_level=None)) as connection:
            connection.execute("BEGIN IMMEDIATE")
            yield
            connection.execute("ROLLBACK")

    def trouble(self, fault: str, methods: tuple[str, ...]) -> Callable[[], None]:
        """Let a fault begin; return what has to be called while the work is under way."""
        if fault in TIMES:
            for method in methods:
                self.api.fault(method, *[Fault(fault, 2)] * TIMES[fault])  # type: ignore[arg-type]
        elif fault.startswith("clock"):
            self.api.fault(methods[0], *[Fault("500")] * 3)  # so that something waits when the clock steps
            return lambda: self.step(HOUR_S if fault == "clock forward" else -HOUR_S)
        elif fault != "none":
            return lambda: self._on_and_off(self.full_disk if fault == "disk full" else self.locked)
        return lambda: None

    def _on_and_off(self, fault: Callable[[], object]) -> None:
        for on_s, off_s in ((0.6, 0.1), (0.3, 0.05), (0.8, 0.2), (0.4, 0.05), (1.5, 0.3), (0.5, 0.0)):
            with fault():  # type: ignore[attr-defined]
                time.sleep(on_s)
            time.sleep(off_s)


def updates(stage: Stage, fault: str) -> Cell:
    """Take in notes and files of readings."""
    meanwhile = stage.trouble(fault, ("getUpdates", "getFile", "download"))
    began = time.monotonic()
    rows = "\n".join(f"2026-03-03 {6 + k // 12:02}:{k % 12 * 5:02},{5 + k % 7 / 3:.2f}" for k in range(48))
    with ThreadPoolExecutor(1) as beside:
        running = beside.submit(meanwhile)
        for n in range(NOTES):
            stage.say(200 + n, f"{n + 1} g cheese")
            time.sleep(0.1)
        for chat in CHATS[:2]:
            stage.api.document(chat, "readings.csv", f"time,glucose mmol/L\n{rows}".encode())
        running.result()
    stage.settle()
    late = time.monotonic() - began
    with closing(sqlite3.connect(stage.db)) as connection:
        said = Counter(s for (s,) in connection.execute("SELECT said FROM entries WHERE said LIKE '%cheese'"))
    missing = 2 * 48 - stage.count("SELECT COUNT(*) FROM readings")
    undone = NOTES + 2 - stage.count("SELECT COUNT(*) FROM inbox WHERE state = 'done'")
    return Cell(NOTES - len(said) + max(0, missing) + max(0, undone), said.total() - len(said), late)


def replies(stage: Stage, fault: str) -> Cell:
    """Answer notes in words, and others with a mark."""
    meanwhile = stage.trouble(fault, ("sendMessage", "setMessageReaction"))
    began = time.monotonic()
    with ThreadPoolExecutor(1) as beside:
        for chat in CHATS:
            stage.say(chat, "2 bowls of couscous")
            stage.say(chat + 100, "50 g cheese")
        time.sleep(0.3)
        beside.submit(meanwhile).result()
    stage.settle()
    came = [stage.api.sent(chat) for chat in CHATS]
    marks = sum(1 for sign in stage.api.reactions.values() if sign) + _count(
        [stage.api.sent(chat + 100) for chat in CHATS], "cheese"
    )
    return _judge([[m for m in of if "couscous" in m.text] for of in came], began, len(CHATS) - marks)


def pictures(stage: Stage, fault: str) -> Cell:
    """Show a day."""
    rows = "\n".join(f"2026-03-03 {6 + k // 12:02}:{k % 12 * 5:02},{5 + k % 7 / 3:.2f}" for k in range(60))
    for chat in CHATS[:4]:
        stage.api.document(chat, "readings.csv", f"time,glucose mmol/L\n{rows}".encode())
    stage.settle()
    meanwhile = stage.trouble(fault, ("sendPhoto",))
    began = time.monotonic()
    with ThreadPoolExecutor(1) as beside:
        for chat in CHATS[:4]:
            stage.say(chat, "show today")
        time.sleep(0.3)
        beside.submit(meanwhile).result()
    stage.settle()
    came = [[m for m in stage.api.sent(chat) if m.kind == "photo"] for chat in CHATS[:4]]
    return _judge(came, began, 0)


def reminders(stage: Stage, fault: str) -> Cell:
    """Remind of readings that are about to be lost."""
    for chat in CHATS:
        stage.say(chat, "new sensor on at 11:50")
    stage.settle()
    meanwhile = stage.trouble(fault, ("sendMessage",))
    ahead_s = 600.0 if fault == "clock forward" else 1.0
    stage.step_to(datetime.fromtimestamp(DUE.timestamp() - ahead_s, UTC))
    began = time.monotonic()
    time.sleep(2.5)
    meanwhile()
    stage.settle()
    if fault == "clock back":  # what was said is not said again when its time comes once more
        stage.step_to(DUE)
        time.sleep(2)
        stage.settle()
    asks = [[m for m in stage.api.sent(chat) if "sync" in m.text.partition("\n")[0]] for chat in CHATS]
    return _judge(asks, began, 0)


DUE = datetime(2026, 3, 3, 17, 50, tzinfo=UTC)
"""When a sensor that was put on at 11:50 in Vienna, and keeps eight hours, is to be read."""
WORKS: dict[str, Callable[[Stage, str], Cell]] = {
    "updates": updates,
    "replies": replies,
    "pictures": pictures,
    "reminders": reminders,
}


def _count(came: list[list], words: str) -> int:  # type: ignore[type-arg]
    return sum(any(words in message.text for message in messages) for messages in came)


def _judge(came: list[list], began: float, more_lost: int) -> Cell:  # type: ignore[type-arg]
    lost = sum(not messages for messages in came) + more_lost
    twice = sum(max(0, len(messages) - 1) for messages in came)
    return Cell(lost, twice, max((m.at - began for messages in came for m in messages), default=0.0))


def play(work: str, fault: str, keep: Path | None = None) -> Cell:
    """Play one cell; `keep`: where the log of the bot is copied to."""
    with tempfile.TemporaryDirectory() as folder, BotApi() as api:
        stage = Stage(api, Path(folder))
        try:
            api.wait_for(lambda: api.polls, timeout=120)
            return WORKS[work](stage, fault)
        finally:
            try:
                stage.end()
            finally:
                if keep is not None:
                    keep.mkdir(exist_ok=True)
                    (Path(folder) / "log").rename(keep / f"{work} {fault}.log")


def main() -> None:
    """Play all cells and print the table; exit code 1 when anything was lost."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--fault", choices=FAULTS, action="append")
    parser.add_argument("--work", choices=tuple(WORKS), action="append")
    parser.add_argument("--logs", type=Path, help="A folder for the logs of the bot.")
    asked = parser.parse_args()
    faults, works = asked.fault or FAULTS, asked.work or tuple(WORKS)
    print(FORMAT.format("lost/twice/late s", *works, *[""] * (4 - len(works))), flush=True)
    lost = 0
    with ThreadPoolExecutor(AT_ONCE) as at_once:
        cells = {(f, w): at_once.submit(play, w, f, asked.logs) for f in faults for w in works}
        for fault in faults:
            row = [cells[fault, work].result() for work in works]
            lost += sum(cell.lost for cell in row)
            print(FORMAT.format(fault, *map(str, row), *[""] * (4 - len(works))), flush=True)
    sys.exit(bool(lost))


if __name__ == "__main__":
    main()
