"""A PostgreSQL server that keeps going away while people write: `python -m tests.trouble.cut_off`.

The real program, polling the loopback Bot API, on a database whose connections are ended in the middle of
what they do ("cut"), that takes none for some seconds ("away"), or fewer than the bot wants ("full"), or
whose server ends, half of the times as in a crash, and is started anew ("restart"). Then it is left alone
until nothing waits, without a restart of its own, and what was written is compared with what was kept.
"""

import argparse
import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import psycopg
from sqlalchemy import URL, make_url

from tests.bot.channels.serving import run_serve
from tests.bot.store.postgresql import OwnServer, new_database, own_server
from tests.botapi import BotApi

FAULTS = ("none", "cut", "away", "full", "restart")
LEFT_WITHIN_S = 60.0
ROLE = "tablenote_of_a_test"


@dataclass(frozen=True)
class Outcome:
    """What a run came to; `twice`: notes whose answer came more than once."""

    notes: int
    harms: int
    lost: int
    doubled: int
    unanswered: int
    twice: int
    ended: bool
    seconds: float

    @property
    def is_good(self) -> bool:
        """Nothing lost, no entry doubled, and the bot still runs."""
        return not self.ended and self.lost + self.doubled + self.unanswered == 0


class Keeper:
    """Whoever keeps the server, and does harm to the bot's database."""

    def __init__(self, server: OwnServer, address: str, draw: random.Random) -> None:
        self._server, self._draw = server, draw
        self._name = make_url(address).database
        self.do("ALTER SYSTEM RESET synchronous_commit")  # what is committed outlives a crash of the server
        self.do("SELECT pg_reload_conf()")
        self.do(f"DROP ROLE IF EXISTS {ROLE}")
        self.do(f"CREATE ROLE {ROLE} LOGIN")  # not one that may do everything, which no limit holds for
        self.do(f'ALTER DATABASE "{self._name}" OWNER TO {ROLE}')

    def do(self, sql: str) -> None:
        """Make a statement."""
        with psycopg.connect(_plain(self._server.url), autocommit=True) as connection:
            connection.execute(sql.encode())

    def cut(self) -> None:
        """End all connections of the bot."""
        self.do(f"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '{self._name}'")

    def go_away(self) -> None:
        """Take no connection for some seconds."""
        self.do(f'ALTER DATABASE "{self._name}" ALLOW_CONNECTIONS false')
        self.cut()
        time.sleep(self._draw.uniform(1, 6))
        self.do(f'ALTER DATABASE "{self._name}" ALLOW_CONNECTIONS true')

    def fill(self) -> None:
        """Let the bot have two connections at most for a while, where it works with more."""
        self.do(f"ALTER ROLE {ROLE} CONNECTION LIMIT 2")
        self.cut()
        time.sleep(self._draw.uniform(1, 6))
        self.do(f"ALTER ROLE {ROLE} CONNECTION LIMIT -1")

    def restart(self) -> None:
        """End the server, half of the times as if it had crashed, and start it again after a while."""
        self._server.restart(self._draw.uniform(0, 4), crashes=self._draw.random() < 0.5)

    def harm(self, fault: str) -> Callable[[], None]:
        """Return what does this fault once."""
        harms = {"cut": self.cut, "away": self.go_away, "full": self.fill, "restart": self.restart}
        return harms.get(fault, lambda: None)


def _plain(url: URL) -> str:
    return url.set(drivername="postgresql").render_as_string(hide_password=False)


def run(fault: str, notes: int, seed: int) -> Outcome:
    """Play it, and say what came of it."""
    draw = random.Random(seed)
    with (
        tempfile.TemporaryDirectory() as folder,
        own_server() as server,
        new_database(server.url) as address,
        BotApi() as api,
    ):
        harm, harms = Keeper(server, address, draw).harm(fault), 0
        own = make_url(address).set(username=ROLE).render_as_string(hide_password=False)
        with run_serve(api, Path(folder) / "none.db", within_s=60, address=own) as process:
            api.say(999, "/help")
            api.wait_for(1, chat_id=999, timeout=60)  # it has begun; what it cannot use then ends a start
            began = time.monotonic()
            for number in range(notes):
                api.say(1000 + number, f"{draw.randint(2, 400)} g cheese")  # each in a chat of its own
                time.sleep(draw.expovariate(10))
                if draw.random() < 0.1:
                    harm()
                    harms += 1
            outcome = _judge(api, address, notes, harms, began, lambda: process.poll() is not None)
            if not outcome.is_good:
                print((Path(folder) / "serve.log").read_text()[-4000:], file=sys.stderr)
            return outcome


def _judge(
    api: BotApi, address: str, notes: int, harms: int, began: float, is_over: Callable[[], bool]
) -> Outcome:
    with psycopg.connect(_plain(make_url(address)), autocommit=True) as connection:
        waits = "SELECT 1 FROM inbox WHERE state = 'new' UNION SELECT 1 FROM outbox WHERE state = 'unsent'"
        end = time.monotonic() + LEFT_WITHIN_S
        while (api.unconfirmed() or connection.execute(waits).fetchall()) and time.monotonic() < end:
            time.sleep(0.2)
        noted = Counter(who for (who,) in connection.execute("SELECT person FROM entries"))
        answered = connection.execute(
            "SELECT DISTINCT person FROM outbox WHERE state = 'sent' AND update_id IS NOT NULL "
            "AND person <> 'tg:999'"
        ).fetchall()
    marks = Counter(str(fields["chat_id"]) for name, fields in api.calls if name == "setMessageReaction")
    said = Counter(str(message.chat_id) for message in api.messages if message.text.startswith("Noted"))
    return Outcome(
        notes,
        harms,
        lost=notes - len(noted),
        doubled=sum(count - 1 for count in noted.values()),
        unanswered=notes - len(answered),
        twice=sum(count > 1 for count in (marks + said).values()),
        ended=is_over(),
        seconds=round(time.monotonic() - began, 1),
    )


def main() -> None:
    """Run it for each fault and print what came of it; exit code 1 when anything was lost."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--notes", type=int, default=150)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--fault", choices=FAULTS)
    asked = parser.parse_args()
    outcomes = []
    for fault in [asked.fault] if asked.fault else FAULTS:
        outcomes.append(run(fault, asked.notes, asked.seed))
        print(fault, outcomes[-1], flush=True)
    sys.exit(not all(outcome.is_good for outcome in outcomes))


if __name__ == "__main__":
    main()
