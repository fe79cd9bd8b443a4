"""Receiving by webhook: the same talk, pushed instead of fetched."""

import asyncio
import socket
from typing import Any

import httpx
import pytest

from bot.channels.telegram_channel import TelegramChannel
from bot.model.errors import BadSetting
from tests.bot.channels.telegram_rig import ME, FakeTalker, HandRunner, serving
from tests.bot.web.rig import free_port
from tests.botapi import BotApi, post_json


@pytest.fixture
def hook() -> dict[str, Any]:
    port = free_port()
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


def test_one_port_serves_the_webhook_and_posted_readings(api: BotApi, hook: dict[str, Any]) -> None:
    api.know(ME)
    talker = FakeTalker()
    with serving(api, talker, **hook):
        root = hook["webhook_url"].removesuffix("/hook")
        assert httpx.get(f"{root}/health").json() == {"status": "ok"}
        posted = httpx.post(f"{root}/readings", content=b"12345", headers={"Authorization": "Bearer a-token"})
        assert posted.json() == {"stored": 5}
        api.say(ME, "egg")
        api.wait_for(2, chat_id=ME)
        assert httpx.get(hook["webhook_url"]).status_code == 405
    assert sorted(message.text for message in api.sent(ME)) == ["a new curve", "noted egg"]
    assert set(talker.states.values()) == {"sent"}


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"{", 400),
        (b"[1]", 400),
        (b"null", 400),
        (b"x" * 1_000_001, 413),
        (b'{"update_id": 5, "message": {"message_id": 1}}', 200),  # or it would be pushed again for ever
    ],
)
def test_what_is_no_update_holds_up_no_other(
    api: BotApi, hook: dict[str, Any], body: bytes, status: int
) -> None:
    with serving(api, FakeTalker(), **hook):
        secret = {"X-Telegram-Bot-Api-Secret-Token": "only-we-know"}
        assert httpx.post(hook["webhook_url"], content=body, headers=secret).status_code == status
        api.say(ME, "egg")
        api.wait_for(1, chat_id=ME)


def test_while_polling_readings_can_be_posted(api: BotApi) -> None:
    api.know(ME)
    port = free_port()
    with serving(api, FakeTalker(), port=port):
        url = f"http://127.0.0.1:{port}/readings"
        assert httpx.post(url, content=b"123", headers={"Authorization": "Bearer a-token"}).status_code == 200
        api.wait_for(1, chat_id=ME)
    with pytest.raises(httpx.ConnectError):
        httpx.get(f"http://127.0.0.1:{port}/health")


def test_who_is_shut_out_posts_nothing(api: BotApi) -> None:
    port = free_port()
    with serving(api, FakeTalker(), port=port, allowed=frozenset({ME + 1})):
        url = f"http://127.0.0.1:{port}/readings"
        assert httpx.post(url, content=b"1", headers={"Authorization": "Bearer a-token"}).status_code == 401


def test_a_port_that_is_taken_ends_the_webhook_but_not_the_polling(api: BotApi, hook: dict[str, Any]) -> None:
    with socket.create_server(("127.0.0.1", hook["port"])):
        with serving(api, FakeTalker(), fails=BadSetting, **hook):
            pass
        with serving(api, FakeTalker(), port=hook["port"]):
            api.say(ME, "egg")
            api.wait_for(1, chat_id=ME)


@pytest.mark.parametrize("path", ["readings", "health", "openapi.json"])
def test_the_webhook_needs_a_path_of_its_own(api: BotApi, path: str) -> None:
    with pytest.raises(BadSetting, match="TABLENOTE_WEBHOOK_URL"):
        TelegramChannel(
            FakeTalker(),
            token="1:x",
            runner_factory=HandRunner,
            webhook_url=f"https://bot.example/{path}",
            secret="s",
            port=1,
        )
