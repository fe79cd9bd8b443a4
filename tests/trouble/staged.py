"""`tablenote serve` with a clock that can be stepped, and with short waits: `python -m tests.trouble.staged`.

All else is the real program: the whole bot on its database, the messenger's channel, the ticking runner. The
clock is the machine's moved by the seconds that stand in a file, so that another process can step it.
"""

import argparse
import logging
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bot.app import App
from bot.channels.telegram_channel import TelegramChannel
from bot.reminders.runner import Runner
from bot.store import store
from bot.talk.slash_commands import COMMANDS
from tests.botapi import TOKEN


class SteppedClock:
    """The machine's clock, moved by what a file says."""

    def __init__(self, file: Path) -> None:
        self._file = file

    def now(self) -> datetime:
        """Return the present instant, as this clock has it."""
        return datetime.now(UTC) + timedelta(seconds=float(self._file.read_text() or 0))


def main() -> None:
    """Serve until stopped."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--db", type=Path, required=True)
    parser.add_argument("--api", required=True)
    parser.add_argument("--clock", type=Path, required=True)
    parser.add_argument("--timeout", type=float, default=1.5)
    parser.add_argument("--busy", type=float, default=0.3)
    asked = parser.parse_args()
    logging.basicConfig(level=logging.INFO)
    store.BUSY_TIMEOUT_S = asked.busy
    clock = SteppedClock(asked.clock)
    bot = App(f"sqlite:///{asked.db}", zone="Europe/Vienna", clock=clock, serves="tg:%", cards=True)
    TelegramChannel(
        bot,
        token=TOKEN,
        api_url=asked.api,
        runner_factory=lambda tick: Runner(tick, 0.5),
        allowed="open",
        commands=COMMANDS,
        clock=clock,
        timeout_s=asked.timeout,
        listen_s=0,
    ).run()
    bot.close()


if __name__ == "__main__":
    main()
