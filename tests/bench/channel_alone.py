"""Our channel with a talker that only remembers: python -m tests.bench.channel_alone API_URL TOKEN."""

import sys

from bot.channels.telegram_channel import TelegramChannel
from tests.bot.channels.telegram_rig import FakeTalker, HandRunner

if __name__ == "__main__":
    api_url, token = sys.argv[1:]
    TelegramChannel(
        FakeTalker(), token=token, api_url=api_url, runner_factory=HandRunner, allowed="open"
    ).run()
