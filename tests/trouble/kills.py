"""Kills `tablenote serve` at random while people write: `python -m tests.trouble.kills [--faults]`.

All goes through the real program, an SQLite file and the loopback Bot API: messages, files of readings,
presses of buttons, and reminders that fall due at once, as each chat's sensor was put on long ago. It is
killed from a fifth of a start to six seconds after one. With `--faults` the messenger fails now and then,
too. Afterwards the bot runs undisturbed until nothing waits, and is compared with what was sent:

- lost: updates without a mark that they were handled, notes without an entry, updates without an answer
- doubled: notes with two entries; deliveries beyond the first of one outbox row
"""

import argparse
import random
import sqlite3
import sys
import tempfile
import time
from collections import Counter
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from tests.bot.channels.serving import run_serve, start_serve
from tests.botapi import BotApi, Fault

CHATS = tuple(range(100, 120))
LEFT_WITHIN_S = 900
METHODS = ("sendMessage", "setMessageReaction", "editMessageText", "getUpdates")
KINDS = ("429", "500", "502", "drop_before", "drop_after", "slow")


@dataclass
class Outcome:
    """What a run came to; `uncertain`: outbox rows that may have been delivered, and are not sent again."""

    kills: int = 0
    updates: int = 0
    not_handled: int = 0
    parked: int = 0
    entries_lost: int = 0
    entries_doubled: int = 0
    replies_lost: int = 0
    delivered_twice: int = 0
    uncertain: int = 0

    @property
    def is_good(self) -> bool:
        """Nothing lost, no entry doubled, at most one double delivery a kill."""
        lost = self.not_handled + self.parked + self.entries_lost + self.entries_doubled + self.replies_lost
        return lost == 0 and self.delivered_twice <= self.kills


@dataclass
class People:
    """Those who write, and what they have sent."""

    api: BotApi
    draw: random.Random
    notes: list[str] = field(default_factory=list)
    updates: int = 0

    def send(self) -> None:
        """Send a note, now and then a file or a press."""
        self.updates += 1
        chat, kind = self.draw.choice(CHATS), self.draw.random()
        buttons = [message for message in self.api.sent(chat)[-5:] if "Undo" in message.labels]
        if kind < 0.1:
            at = [f"2026-03-02 {8 + k // 12:02}:{k % 12 * 5:02}" for k in range(24)]
            rows = "\n".join(f"{stamp},{5 + self.updates / 1000:.3f}" for stamp in at)
            self.api.document(chat, f"r{self.updates}.csv", f"time,glucose mmol/L\n{rows}".encode())
        elif kind < 0.2 and buttons:
            self.api.press(chat, self.draw.choice(buttons), "Undo")
        else:
            self.notes.append(f"tg:{1000 + self.updates}")  # a chat of its own: nothing it could change
            self.api.say(1000 + self.updates, f"{self.updates % 400 + 1} g cheese")


def run(kills: int, messages: int, seed: int, *, faults: bool) -> Outcome:
    """Play it, and say what came of it."""
    draw = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder, BotApi() as api:
        db, people = Path(folder) / "bot.db", People(api, draw)
        began = time.monotonic()
        with run_serve(api, db) as process:  # the first start makes the database
            start_s = time.monotonic() - began
            for chat in CHATS:
                api.say(chat, "new sensor on yesterday at 8:00")
            api.wait_for(lambda: not api.unconfirmed(), timeout=60)
            process.kill()
        for left in range(kills, 0, -1):
            with start_serve(api, db) as process:
                until = time.monotonic() + draw.uniform(0.2 * start_s, start_s + 6)
                for _ in range(-(-(messages - people.updates) // left)):
                    people.send()
                    if faults and draw.random() < 0.1:
                        api.fault(draw.choice(METHODS), Fault(draw.choice(KINDS), 0.2))
                    time.sleep(max(0.0, min(draw.expovariate(8), until - time.monotonic())))
                time.sleep(max(0.0, until - time.monotonic()))
                process.kill()
            if left % 20 == 0:
                print(f"{left} kills to go", file=sys.stderr, flush=True)
        with run_serve(api, db) as process:
            end = time.monotonic() + LEFT_WITHIN_S  # what is not done by then counts as lost
            while (api.unconfirmed() or _waits(db)) and time.monotonic() < end:
                time.sleep(0.5)
            process.terminate()
            process.wait(timeout=30)
        return _judge(people, db, kills)


def _waits(db: Path) -> int:
    inbox = _count(db, "SELECT COUNT(*) FROM inbox WHERE state IN ('new', 'failed')")
    return inbox + _count(db, "SELECT COUNT(*) FROM outbox WHERE state = 'unsent'")


def _count(db: Path, sql: str) -> int:
    with closing(sqlite3.connect(db)) as connection:
        return int(connection.execute(sql).fetchone()[0])


def _judge(people: People, db: Path, kills: int) -> Outcome:
    with closing(sqlite3.connect(db)) as connection:
        states = Counter(state for (state,) in connection.execute("SELECT state FROM inbox"))
        noted = Counter(
            person for (person,) in connection.execute("SELECT person FROM entries WHERE said LIKE '%cheese'")
        )
    answered = "SELECT update_id FROM outbox WHERE state IN ('sent', 'uncertain') AND update_id IS NOT NULL"
    unanswered = f"SELECT COUNT(*) FROM inbox WHERE state = 'done' AND update_id NOT IN ({answered})"
    new = "state = 'sent' AND ref IS NOT NULL AND replaces IS NULL AND reaction IS NULL"
    uncertain = _count(db, "SELECT COUNT(*) FROM outbox WHERE state = 'uncertain'")
    delivered = _count(db, f"SELECT COUNT(*) FROM outbox WHERE {new}")
    return Outcome(
        kills=kills,
        updates=people.updates + len(CHATS),
        not_handled=people.updates + len(CHATS) - states["done"] - states["parked"],
        parked=states["parked"],
        entries_lost=len(set(people.notes) - set(noted)),
        entries_doubled=sum(count - 1 for count in noted.values()),
        replies_lost=_count(db, unanswered),
        delivered_twice=max(0, len(people.api.messages) - delivered - uncertain),
        uncertain=uncertain,
    )


def main() -> None:
    """Run it and print what came of it; exit code 1 when anything was lost."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--messages", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--faults", action="store_true")
    asked = parser.parse_args()
    outcome = run(asked.kills, asked.messages, asked.seed, faults=asked.faults)
    print(outcome)
    sys.exit(not outcome.is_good)


if __name__ == "__main__":
    main()
