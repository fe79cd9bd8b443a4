"""One chat floods, the others write as ever: `python -m tests.trouble.flood [--seconds 30]`.

The real program with its limits as they are by default, on an SQLite file and the loopback Bot API. One chat
sends 50 messages a second, and a file of 20 MB now and then; the others ask for `/help` every two seconds.
What counts is how long these wait for their answer, in words or as a mark.
"""

import argparse
import sys
import tempfile
import time
from pathlib import Path

from tests.bot.channels.serving import run_serve
from tests.botapi import BotApi

FLOODER, OTHERS = 7, range(100, 120)
A_SECOND = 50
MOST_S = 1.0
LIMITS = {"TABLENOTE_MESSAGES_PER_MINUTE": "", "TABLENOTE_FILES_PER_DAY": ""}


def measure(seconds: float) -> list[float]:
    """Return how long each question of the others waited, in seconds, the shortest first."""
    big = b"time,glucose mmol/L\n" + b"2026-03-03 08:00,5.1\n" * 990_000
    with tempfile.TemporaryDirectory() as folder, BotApi() as api:
        with run_serve(api, Path(folder) / "bot.db", **LIMITS) as process:
            for chat in OTHERS:
                api.say(chat, "2 bowls of couscous")
            api.wait_for(lambda: all(api.sent(chat) for chat in OTHERS), timeout=120)
            before, sent = {chat: len(api.sent(chat)) for chat in OTHERS}, {chat: [] for chat in OTHERS}
            began, n = time.monotonic(), 0
            while time.monotonic() - began < seconds:
                n += 1
                api.say(FLOODER, f"{n} bowls of couscous")
                if n % (5 * A_SECOND) == 1:
                    api.document(FLOODER, f"years{n}.csv", big)
                if n % 5 == 0:  # of twenty chats one every tenth of a second
                    chat = OTHERS[n // 5 % len(OTHERS)]
                    sent[chat].append(time.monotonic())
                    api.say(chat, "/help")
                time.sleep(max(0.0, began + n / A_SECOND - time.monotonic()))
            notes = sum(map(len, sent.values()))
            api.wait_for(
                lambda: sum(len(api.sent(chat)) - before[chat] for chat in OTHERS) >= notes, timeout=120
            )
            process.terminate()
            process.wait(timeout=30)
        waits = []
        for chat in OTHERS:
            answers = [message.at for message in api.sent(chat)[before[chat] :]]
            waits += [at - asked for at, asked in zip(answers, sent[chat], strict=False)]
        return sorted(waits)


def main() -> None:
    """Measure, print, and end with 1 where the others wait for too long."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=30)
    waits = measure(parser.parse_args().seconds)
    p50, p99 = (waits[min(len(waits) - 1, int(q * len(waits)))] for q in (0.5, 0.99))
    print(f"{len(waits)} answers to the others: p50 {p50:.2f} s, p99 {p99:.2f} s, longest {waits[-1]:.2f} s")
    sys.exit(p99 >= MOST_S)


if __name__ == "__main__":
    main()
