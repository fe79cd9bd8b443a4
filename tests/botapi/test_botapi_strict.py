"""The loopback server refuses what the documentation of the Bot API refuses (core.telegram.org/bots/api)."""

import json
import threading
import urllib.error
import urllib.request
from collections.abc import Iterator
from typing import Any

import pytest

from tests.botapi import TOKEN, BotApi


@pytest.fixture
def api() -> Iterator[BotApi]:
    with BotApi() as server:
        server.know(7)
        yield server


def call(api: BotApi, method: str, token: str = TOKEN, **fields: Any) -> tuple[int, Any]:
    request = urllib.request.Request(
        f"{api.url}/bot{token}/{method}",
        data=json.dumps(fields).encode(),
        headers={"Content-Type": "application/json"},
    )
    try:
        with urllib.request.urlopen(request, timeout=5) as answer:
            return answer.status, json.load(answer)["result"]
    except urllib.error.HTTPError as error:
        with error:
            return error.code, json.load(error)["description"]


def keyboard(**key: str) -> dict[str, Any]:
    return {"inline_keyboard": [[{"text": "A"} | key]]}


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ({"text": ""}, "text is empty"),
        ({"text": " \n "}, "text is empty"),
        ({"text": "x" * 4097}, "too long"),
        ({"text": "x", "chat_id": 8}, "chat not found"),
        ({"text": "x", "reply_markup": "{"}, "can't parse"),
        ({"text": "x", "reply_markup": keyboard(callback_data="ä" * 33)}, "BUTTON_DATA_INVALID"),
        ({"text": "x", "reply_markup": keyboard(callback_data="")}, "BUTTON_DATA_INVALID"),
    ],
)
def test_messages_that_are_refused(api: BotApi, fields: dict[str, Any], why: str) -> None:
    code, description = call(api, "sendMessage", **{"chat_id": 7} | fields)
    assert code == 400
    assert why in description
    assert api.messages == []


def test_messages_that_just_pass(api: BotApi) -> None:
    assert call(api, "sendMessage", chat_id=7, text="x" * 4096)[0] == 200
    code, _ = call(api, "sendMessage", chat_id=7, text="x", reply_markup=keyboard(callback_data="ä" * 32))
    assert code == 200


def test_edits_that_are_refused(api: BotApi) -> None:
    _, sent = call(api, "sendMessage", chat_id=7, text="one")
    same = call(api, "editMessageText", chat_id=7, message_id=sent["message_id"], text="one")
    missing = call(api, "editMessageText", chat_id=7, message_id=99, text="two")
    assert (same[0], missing[0]) == (400, 400)
    assert "not modified" in same[1]
    assert "not found" in missing[1]


def test_a_press_is_answered_once(api: BotApi) -> None:
    call(api, "sendMessage", chat_id=7, text="x", reply_markup=keyboard(callback_data="a"))
    query = api.press(7, api.messages[0], "A")
    assert call(api, "answerCallbackQuery", callback_query_id=query) == (200, True)
    assert call(api, "answerCallbackQuery", callback_query_id=query)[0] == 400


def test_other_tokens_and_methods(api: BotApi) -> None:
    assert call(api, "getMe", token="1:x") == (401, "Unauthorized")
    assert call(api, "sendPoem")[0] == 404


def test_an_update_stays_until_it_is_confirmed(api: BotApi) -> None:
    api.say(7, "one")
    api.say(7, "two")
    for _ in range(2):
        assert [u["message"]["text"] for u in call(api, "getUpdates")[1]] == ["one", "two"]
    assert [u["update_id"] for u in call(api, "getUpdates", offset=1001)[1]] == [1001]
    assert api.unconfirmed() == 1
    assert len(call(api, "getUpdates", offset=1002)[1]) == 0


def test_a_long_poll_ends_when_something_arrives(api: BotApi) -> None:
    threading.Timer(0.05, api.say, (7, "one")).start()
    assert len(call(api, "getUpdates", timeout=5)[1]) == 1


def test_of_two_polls_the_first_is_ended(api: BotApi) -> None:
    answers = []
    first = threading.Thread(target=lambda: answers.append(call(api, "getUpdates", timeout=5)))
    first.start()
    api.wait_for(lambda: api.polls == 1)
    assert call(api, "getUpdates") == (200, [])
    first.join()
    assert answers[0][0] == 409


def test_no_polling_beside_a_webhook(api: BotApi) -> None:
    assert call(api, "setWebhook", url="http://127.0.0.1:9/hook", secret_token="a b")[0] == 400
    assert call(api, "setWebhook", url="http://127.0.0.1:9/hook", secret_token="ab") == (200, True)
    assert call(api, "getUpdates")[0] == 409
    assert call(api, "deleteWebhook") == (200, True)
    assert call(api, "getUpdates") == (200, [])
