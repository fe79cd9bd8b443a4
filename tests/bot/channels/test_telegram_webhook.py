"""Receiving by webhook: the same talk, pushed instead of fetched."""

import asyncio
import socket
from typing import Any

import pytest

from bot.channels.telegram_channel import TelegramChannel
from bot.errors import BadSetting
from tests.bot.channels.telegram_rig import ME, FakeTalker, HandRunner, serving
from tests.botapi import BotApi, post_json


@pytest.fixture
def hook() -> dict[str, Any]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    url = f"http://127.0.0.1:{port}/hook"
    return {"webhook_url": url, "secret": "only-we-know", "port": port}


def test_messages_are_pushed_and_answered_in_order(api: BotApi, hook: dict[str, Any]) -> None:
    talker = FakeTalker()
    with serving(api, talker, **hook):
        for n in range(10):
            api.say(ME, str(n))
        replies = api.wait_for(10, chat_id=ME)
    assert [reply.text for reply in replies] == [f"noted {n}" for n in range(10)]
    assert api.webhook_answers == [200] * 10
    assert api.webhook["max_connections"] == "1"
    assert api.polls == 0


@pytest.mark.parametrize("secret", ["a guess", "", None])
def test_wrong_secret_is_forbidden(api: BotApi, hook: dict[str, Any], secret: str | None) -> None:
    talker = FakeTalker()
    with serving(api, talker, **hook):
        forged = {
            "update_id": 5,
            "message": {"message_id": 1, "date": 1, "chat": {"id": ME, "type": "private"}},
        }
        status = asyncio.run(post_json(hook["webhook_url"], forged, secret=secret))
        api.say(ME, "egg")
        api.wait_for(1, chat_id=ME)
    assert status == 403
    assert list(talker.inbox) == ["tg:1000"]


def test_what_could_not_be_stored_is_pushed_again(api: BotApi, hook: dict[str, Any]) -> None:
    talker = FakeTalker()
    talker.accept_errors = 2
    with serving(api, talker, **hook):
        api.say(ME, "egg")
        api.wait_for(1, chat_id=ME)
    assert api.webhook_answers == [500, 500, 200]
    assert [i.text for i in talker.received] == ["egg"]


def test_a_webhook_needs_a_secret() -> None:
    with pytest.raises(BadSetting, match="TABLENOTE_WEBHOOK_SECRET"):
        TelegramChannel(
            FakeTalker(), token="1:x", runner_factory=HandRunner, webhook_url="https://bot.example/hook"
        )


def test_back_to_polling_takes_the_webhook_away(api: BotApi, hook: dict[str, Any]) -> None:
    talker = FakeTalker()
    with serving(api, talker, **hook):
        api.say(ME, "egg")
        api.wait_for(1, chat_id=ME)
    with serving(api, talker):
        api.say(ME, "apple")
        api.wait_for(2, chat_id=ME)
    assert api.webhook == {}
    assert [i.text for i in talker.received] == ["egg", "apple"]
