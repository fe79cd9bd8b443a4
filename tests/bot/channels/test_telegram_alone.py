"""Two bots with one token: the second waits, says why, and takes over when the first stops."""

import logging

import httpx
import pytest

from bot.channels import telegram_alone
from bot.model.messages import Outgoing
from tests.bot.channels.telegram_rig import ME, FakeTalker, serving
from tests.bot.web.rig import free_port
from tests.botapi import BotApi


@pytest.fixture(autouse=True)
def _soon_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(telegram_alone, "AGAIN_S", (0.3, 0.4))


def test_the_second_waits_and_takes_over_when_the_first_stops(
    api: BotApi, caplog: pytest.LogCaptureFixture
) -> None:
    """It does nothing meanwhile: what is due, or was left unsent, is the first one's business."""
    caplog.set_level(logging.INFO)
    first, second, port = FakeTalker(), FakeTalker(), free_port()
    api.know(ME)
    second.put(Outgoing("tg:7", "left"))
    beginning = serving(api, first)
    beginning.__enter__()
    api.wait_for(lambda: api.polls)
    with serving(api, second, waits=True, listen_s=2, port=port):
        api.wait_for(lambda: telegram_alone.WAITS in caplog.text)
        health = httpx.get(f"http://127.0.0.1:{port}/health", timeout=10)
        api.say(ME, "egg")
        api.wait_for(1, chat_id=ME)
        assert health.status_code == 503
        assert "another bot fetches updates with this token" in health.json()["detail"]
        assert [i.text for i in first.received] == ["egg"]
        assert (second.received, second.states) == ([], {1: "unsent"})
        beginning.__exit__(None, None, None)
        api.say(ME, "apple")
        api.wait_for(3, chat_id=ME, timeout=20)
        assert httpx.get(f"http://127.0.0.1:{port}/health", timeout=10).status_code == 200
    assert [m.text for m in api.sent(ME)] == ["noted egg", "left", "noted apple"]
    assert [i.text for i in second.received] == ["apple"]


def test_what_waits_to_be_fetched_is_left_to_the_one_who_fetches_it(api: BotApi) -> None:
    """Listening acknowledges nothing; alone, it is taken once nobody else has come for it."""
    talker = FakeTalker()
    api.say(ME, "egg")
    with serving(api, talker, listen_s=2):
        api.wait_for(1, chat_id=ME)
    assert api.count("getUpdates") > 3
    assert [i.text for i in talker.received] == ["egg"]


def test_of_two_that_both_began_one_stands_back_and_nothing_is_lost(
    api: BotApi, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(telegram_alone, "_CONFLICTS", 2)
    monkeypatch.setattr(telegram_alone, "AGAIN_S", (2.5, 5.0))
    first, second = FakeTalker(), FakeTalker()
    with serving(api, first), serving(api, second):
        api.wait_for(lambda: telegram_alone.WAITS in caplog.text, timeout=20)
        for n in range(3):
            api.say(ME, f"{n} eggs")
        api.wait_for(3, chat_id=ME, timeout=20)
    assert sorted(i.text for i in first.received + second.received) == ["0 eggs", "1 eggs", "2 eggs"]
