"""Lets `tablenote serve` work for long and looks whether it grows: `python -m tests.trouble.soak`.

The real program with an SQLite file on the loopback Bot API, and people who write all the time: notes,
corrections, questions with pictures, files of readings, photos, presses, the report and all that is held now
and then, posts over HTTP with wrong tokens, and a messenger that fails for a moment. Twice a minute it is
looked at from outside: resident memory of it and of the process that draws, open files, threads, size of the
database.

What may grow is the record: by what was written. All else has to stay: each figure's middle over the last
third of the run is compared with that over the second (the first warms up), and growth beyond its bound is
exit code 1. So are turns that broke, errors in the log, and answers that never came.
"""

import argparse
import io
import random
import sqlite3
import statistics
import sys
import tempfile
import time
from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

import httpx
from PIL import Image

from tests.bot.channels.serving import run_serve
from tests.bot.web.rig import free_port
from tests.botapi import BotApi, Fault

CHATS = tuple(range(300, 312))
EVERY_S = 30.0
BOUNDS = {"memory_mb": 0.10, "drawing_mb": 0.25, "open_files": 0.10, "threads": 0.5, "bytes_an_update": 0.25}
"""By so much of itself a figure may grow from the second third to the last.

Pools of threads fill slowly, and a report of more days is drawn in more memory."""
WORDS = (
    "350 g cooked rice with 120 g grilled chicken", "2 slices rye toast with butter", "no, 250 g rice",
    "undo", "an apple", "walked 15 min after lunch", "slept 22:30 to 6:15", "tired", "synced", "5.4 at 9:10",
    "how was lunch?", "what did I eat today?", "summary", "status", "my muesli is 60 g oats and 20 g raisins",
    "the rice was couscous", "what does rice do to me?",
)  # fmt: skip
PICTURES = ("show today", "average day", "best and worst this week", "how complete is my record?")
FILES = ("send me the report", "send me all my data")


@dataclass(frozen=True)
class Look:
    """What the process and its database came to at one moment."""

    at_s: float
    memory_mb: float
    drawing_mb: float
    open_files: float
    threads: float
    database_mb: float
    updates: int

    @property
    def bytes_an_update(self) -> float:
        """What one update adds to the database, on average."""
        return self.database_mb * 1e6 / max(1, self.updates)


@dataclass
class Soak:
    """People who write to a bot, and what it came to."""

    api: BotApi
    draw: random.Random
    posts: str
    updates: int = 0
    looks: list[Look] = field(default_factory=list)

    def send(self) -> None:
        """Have somebody do something, of all that people do."""
        self.updates += 1
        chat, kind = self.draw.choice(CHATS), self.draw.random()
        shown = [(message, label) for message in self.api.sent(chat)[-5:] for label in message.labels]
        buttons = [(message, label) for message, label in shown if message.labels.count(label) == 1]
        if kind < 0.06:
            self.api.document(chat, f"readings-{self.updates}.csv", self._readings())
        elif kind < 0.09:
            self.api.photo(chat, self.draw.choice(("", "150 g pasta with pesto")), self._photo())
        elif kind < 0.15 and buttons:
            self.api.press(chat, *self.draw.choice(buttons))
        elif kind < 0.21:
            self.api.say(chat, self.draw.choice(PICTURES))
        elif kind < 0.215:
            self.api.say(chat, self.draw.choice(FILES))
        elif kind < 0.23:
            self.api.fault("sendMessage", Fault(self.draw.choice(("429", "500", "502", "drop_before")), 0.2))
            self.api.say(chat, "a banana")
        elif kind < 0.25:
            self.updates -= 1
            httpx.post(f"{self.posts}/readings", content=b"x", headers={"Authorization": "Bearer wrong"})
        else:
            self.api.say(chat, self.draw.choice(WORDS))

    def _readings(self) -> bytes:
        """Return a day's readings, one in five minutes, until now."""
        now = datetime.now(UTC)
        times = [now - timedelta(minutes=5 * number) for number in range(96)]
        rows = "\n".join(f"{at.isoformat()},{self.draw.uniform(4.5, 8.5):.1f}" for at in times)
        return f"time,glucose mmol/L\n{rows}".encode()

    def _photo(self) -> bytes:
        photo = io.BytesIO()
        Image.frombytes("RGB", (320, 240), self.draw.randbytes(3 * 320 * 240)).save(photo, "JPEG")
        return photo.getvalue()

    def look(self, pid: int, db: Path, at_s: float) -> None:
        """Look at the process from outside, and print what it came to."""
        status = _status(pid)
        threads = Path(f"/proc/{pid}/task").glob("*/children")  # each names what it started
        children = [int(child) for listed in threads for child in listed.read_text().split()]
        memory_kb = [int(_status(each).get("VmRSS", "0").split()[0]) for each in (pid, *children)]
        files = [file for file in (db, Path(f"{db}-wal")) if file.exists()]
        look = Look(
            at_s=at_s,
            memory_mb=memory_kb[0] / 1024,
            drawing_mb=sum(memory_kb[1:]) / 1024,
            open_files=len(list(Path(f"/proc/{pid}/fd").iterdir())),
            threads=int(status["Threads"]),
            database_mb=sum(file.stat().st_size for file in files) / 1e6,
            updates=self.updates,
        )
        self.looks.append(look)
        print(
            f"{at_s / 60:5.1f} min {look.updates:6} updates",
            f"{look.memory_mb:5.0f} + {look.drawing_mb:.0f} MB",
            f"{look.open_files:3.0f} files {look.threads:3.0f} threads",
            f"{look.database_mb:6.1f} MB database",
            flush=True,
        )


def _status(pid: int) -> dict[str, str]:
    """Return what the system says of a process; nothing once it ended."""
    try:
        lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    except (FileNotFoundError, ProcessLookupError):
        return {}
    return dict(line.split(":", 1) for line in lines if ":" in line)


def grown(looks: list[Look]) -> dict[str, tuple[float, float]]:
    """Return of each figure its middle over the second third of the looks, and over the last."""
    third = len(looks) // 3
    before, after = looks[third : 2 * third], looks[2 * third :]
    return {
        name: tuple(statistics.median(getattr(look, name) for look in part) for part in (before, after))
        for name in BOUNDS
    }


def beyond(figures: dict[str, tuple[float, float]]) -> list[str]:
    """Return what grew more than it may."""
    return [name for name, (before, after) in figures.items() if after > before * (1 + BOUNDS[name])]


def run(minutes: float, a_second: float, seed: int, every_s: float = EVERY_S) -> list[str]:
    """Play it, print what it came to, and return what is wrong."""
    draw, port = random.Random(seed), free_port()
    with tempfile.TemporaryDirectory() as folder, BotApi() as api:
        db, log = Path(folder) / "bot.db", Path(folder) / "serve.log"
        soak = Soak(api, draw, f"http://127.0.0.1:{port}")
        with run_serve(api, db, TABLENOTE_PORT=str(port), TABLENOTE_METRICS="local") as process:
            begun = time.monotonic()
            next_look = begun + every_s
            while (now := time.monotonic()) < begun + 60 * minutes:
                soak.send()
                if now >= next_look:
                    soak.look(process.pid, db, now - begun)
                    next_look += every_s
                time.sleep(draw.expovariate(a_second))
            api.wait_for(lambda: not api.unconfirmed() and not _waits(db), timeout=120)
            counted = httpx.get(f"{soak.posts}/metrics").text
            process.terminate()
            process.wait(timeout=30)
        errors = [line for line in log.read_text().splitlines() if " ERROR bot." in line]
        left = _waits(db)
    figures = grown(soak.looks)
    for name, (before, after) in figures.items():
        print(f"{name:16} {before:9.1f} -> {after:9.1f}  (at most {100 * BOUNDS[name]:.0f} % more)")
    print("\n".join(line for line in counted.splitlines() if line.startswith(_SHOWN)))
    print("\n".join(errors[:10]))
    broken = [f"{len(errors)} errors in the log"] if errors else []
    return beyond(figures) + broken + ([f"{left} not handled or not sent"] if left else [])


_SHOWN = ("tablenote_updates_total", "tablenote_turn_seconds_sum", "tablenote_turn_seconds_count",
          "tablenote_turns_broken_total", "tablenote_deliveries_total", "tablenote_delivery_retries_total",
          "tablenote_files_read_total")  # fmt: skip


def _waits(db: Path) -> int:
    with closing(sqlite3.connect(db)) as connection:
        waiting = "SELECT (SELECT COUNT(*) FROM inbox WHERE state IN ('new', 'failed'))"
        [(found,)] = connection.execute(f"{waiting} + (SELECT COUNT(*) FROM outbox WHERE state = 'unsent')")
    return int(found)


def main() -> None:
    """Run it; exit code 1 when anything grew, broke or was lost."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=20)
    parser.add_argument("--a-second", type=float, default=4, help="so many updates a second on average")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    wrong = run(asked.minutes, asked.a_second, asked.seed)
    print("wrong: " + ", ".join(wrong) if wrong else "nothing grew, broke or was lost")
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
