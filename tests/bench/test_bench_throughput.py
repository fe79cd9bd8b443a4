"""Messages per second through the loopback Bot API, beside bare echo bots of the same library.

    pytest tests/bench/test_bench_throughput.py -s

Every bot is a process of its own, and all meet the same server in the same run. A round queues its messages
at once, over 50 chats, and the time runs until the last answer; the figure is the median of five rounds.
"""

import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.bot.channels.serving import ROOT, run_serve
from tests.botapi import TOKEN, BotApi, in_chat

ROUNDS, MESSAGES, CHATS = 5, 400, 50
NOTES = ("2 slices rye toast with butter", "porridge with 60 g oats", "an apple", "150 g rice with lentils")


@contextmanager
def run_module(name: str, *arguments: str) -> Iterator["subprocess.Popen[bytes]"]:
    process = subprocess.Popen([sys.executable, "-m", f"tests.bench.{name}", *arguments], cwd=ROOT)
    try:
        yield process
    finally:
        process.kill()
        process.wait()


def send_round(api: BotApi, messages: int) -> float:
    """Send so many messages and return how many a second were answered."""
    before = len(api.messages)
    notes = [
        {
            "message_id": 10_000_000 + before + n,
            "date": int(time.time()),
            **in_chat(1 + n % CHATS),
            "text": NOTES[n % len(NOTES)],
        }
        for n in range(messages)
    ]
    began = time.monotonic()
    api.push(*({"message": note} for note in notes))
    api.wait_for(before + messages, timeout=120)
    return messages / (api.messages[-1].at - began)


def rate(api: BotApi) -> float:
    """Return the median of the rounds, after one to warm up."""
    send_round(api, 2 * CHATS)
    return statistics.median(send_round(api, MESSAGES) for _ in range(ROUNDS))


def test_throughput(tmp_path: Path) -> None:
    with BotApi() as api:
        for chat_id in range(1, CHATS + 1):
            api.know(chat_id)
        rates = {}
        for at_once in (1, 16):
            with run_module("echo_bot", api.url, TOKEN, str(at_once)):
                rates[f"echo bot, {at_once} at once"] = rate(api)
        with run_module("channel_alone", api.url, TOKEN):
            rates["our channel, nothing stored"] = rate(api)
        with run_serve(api, tmp_path / "bench.db", TABLENOTE_LOG="WARNING"):
            rates["tablenote, logging meals"] = rate(api)
    own = rates["tablenote, logging meals"]
    for name, found in rates.items():
        print(f"{name}: {found:.0f} messages/s, {own / found:.2f} of it")
