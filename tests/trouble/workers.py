"""Several workers on one PostgreSQL, one killed in the middle: `python -m tests.trouble.workers`.

Each is `tablenote serve` as a process of its own. People write to whichever of them a proxy would pick, one
message of a chat after the other; where a worker is gone, the proxy picks another. Compared afterwards:

- lost: updates without a mark that they were handled, notes without an entry, notes that were not answered
- doubled: notes with two entries; answers sent twice (at most those on their way at the kill)
- disorder: chats whose notes were handled, or answered, in another order than they were written
"""

import argparse
import asyncio
import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from subprocess import Popen

import psycopg
from sqlalchemy import make_url

from tests.bot.channels.serving import start_serve
from tests.bot.store.postgresql import new_database, running_server
from tests.bot.web.rig import free_port
from tests.botapi import BotApi, in_chat, post_json
from tests.botapi.wire import Json

SECRET = "between-us"
HOOK = "/hook"


@dataclass
class Outcome:
    """What a run came to."""

    updates: int
    not_handled: int
    entries_lost: int
    entries_doubled: int
    unanswered: int
    answered_twice: int
    in_disorder: int
    seconds: float

    @property
    def is_good(self) -> bool:
        """Nothing lost, nothing noted twice, all in order."""
        return not (
            self.not_handled + self.entries_lost + self.entries_doubled + self.unanswered + self.in_disorder
        )


@dataclass
class Worker:
    """One process and where it listens."""

    process: Popen[bytes]
    url: str


@contextmanager
def running_workers(
    api: BotApi, address: str, folder: Path, n: int, **settings: str
) -> Iterator[list[Worker]]:
    """Start so many workers on one database and wait until all listen."""
    with ExitStack() as stack:
        workers = []
        for number in range(n):
            port = free_port()
            own = folder / str(number)
            own.mkdir()
            more = settings | {
                "TABLENOTE_PORT": str(port),
                "TABLENOTE_WEBHOOK_URL": f"http://127.0.0.1:{port}{HOOK}",
                "TABLENOTE_WEBHOOK_SECRET": SECRET,
            }
            process = stack.enter_context(start_serve(api, own / "none.db", address=address, **more))
            workers.append(Worker(process, f"http://127.0.0.1:{port}{HOOK}"))
            api.wait_for(lambda: api.count("setWebhook") == len(workers), timeout=120)
        yield workers


def note(chat: int, number: int, update_id: int) -> Json:
    """A note of a chat; each is three hours later than the one before, so that it is a meal of its own."""
    at = int(time.time()) - 3600 * 3 * (50 - number)
    message = {"message_id": number, "date": at, "text": f"{100 + number} g rye bread", **in_chat(chat)}
    return {"update_id": update_id, "message": message}


async def deliver(update: Json, workers: list[Worker], draw: random.Random) -> None:
    """Give an update to a worker as a proxy would: where one is gone, to another."""
    while True:
        worker = draw.choice(workers)
        try:
            if await asyncio.wait_for(post_json(worker.url, update, secret=SECRET), 20) == 200:
                return
        except (OSError, asyncio.IncompleteReadError, TimeoutError):
            await asyncio.sleep(0.01)


async def write_all(
    workers: list[Worker], chats: int, each: int, draw: random.Random, kill_after: int | None
) -> None:
    """Have every chat write its notes, all chats at once; kill the first worker after so many of them."""
    sent = 0

    async def write(chat: int) -> None:
        nonlocal sent
        for number in range(1, each + 1):
            await deliver(note(chat, number, chat * 1000 + number), workers, draw)
            sent += 1
            if sent == kill_after:
                workers[0].process.kill()
            await asyncio.sleep(draw.uniform(0, 0.05))

    await asyncio.gather(*(write(chat) for chat in range(1, chats + 1)))


def judge(api: BotApi, address: str, chats: int, each: int, began: float) -> Outcome:
    """Compare what was written with what was kept and answered."""
    plain = make_url(address).set(drivername="postgresql").render_as_string(hide_password=False)
    with psycopg.connect(plain, autocommit=True) as connection:

        def ask(sql: str) -> list[tuple[object, ...]]:
            return connection.execute(sql).fetchall()

        waits = (
            "SELECT 1 FROM inbox WHERE state <> 'done' UNION ALL SELECT 1 FROM outbox WHERE state = 'unsent'"
        )
        api.wait_for(lambda: not ask(waits), timeout=60)
        done = Counter(update for (update,) in ask("SELECT update_id FROM inbox WHERE state = 'done'"))
        rows = ask("SELECT person, message_id, id FROM entries WHERE kind = 'meal' ORDER BY id")
        unanswered = ask(
            "SELECT 1 FROM inbox WHERE update_id NOT IN (SELECT update_id FROM outbox "
            "WHERE update_id IS NOT NULL AND state IN ('sent', 'uncertain'))"
        )
    noted = [(str(person), int(str(message))) for person, message, _ in rows]
    answered = [
        (f"tg:{fields['chat_id']}", int(fields["message_id"]))
        for method, fields in api.calls
        if method == "setMessageReaction"
    ]
    wanted = {(f"tg:{chat}", number) for chat in range(1, chats + 1) for number in range(1, each + 1)}
    people = {person for person, _ in wanted}
    return Outcome(
        updates=chats * each,
        not_handled=chats * each - len(done),
        entries_lost=len(wanted - set(noted)),
        entries_doubled=len(noted) - len(set(noted)),
        unanswered=len(unanswered),
        answered_twice=len(answered) - len(set(answered)),
        in_disorder=sum(not _in_order(found, person) for found in (noted, answered) for person in people),
        seconds=round(time.monotonic() - began, 1),
    )


def _in_order(found: list[tuple[str, int]], person: str) -> bool:
    """Tell whether a chat's notes stand in the order they were written, one that comes again aside."""
    numbers = list(dict.fromkeys(number for whose, number in found if whose == person))
    return numbers == sorted(numbers)


def run(chats: int, each: int, workers: int, seed: int, *, kill: bool) -> Outcome:
    """Play it, and say what came of it."""
    with (
        tempfile.TemporaryDirectory() as name,
        running_server() as server,
        new_database(server) as address,
        BotApi() as api,
    ):
        return play(api, address, Path(name), chats, each, workers, seed, kill=kill)


def play(
    api: BotApi, address: str, folder: Path, chats: int, each: int, workers: int, seed: int, *, kill: bool
) -> Outcome:
    """The same on a database that is there."""
    for chat in range(1, chats + 1):
        api.know(chat, range(1, each + 1))
    with running_workers(api, address, folder, workers) as running:
        began = time.monotonic()
        kill_after = chats * each // 2 if kill else None
        asyncio.run(write_all(running, chats, each, random.Random(seed), kill_after))
        return judge(api, address, chats, each, began)


def main() -> None:
    """Run it and print what came of it; exit code 1 when anything was lost or in disorder."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--chats", type=int, default=20)
    parser.add_argument("--each", type=int, default=40)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    outcome = run(asked.chats, asked.each, asked.workers, asked.seed, kill=asked.workers > 1)
    print(outcome)
    sys.exit(not outcome.is_good)


if __name__ == "__main__":
    main()
