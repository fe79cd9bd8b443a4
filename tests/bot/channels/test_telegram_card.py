"""The card of the day in the messenger: the whole bot, over real HTTP."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from bot.app import App
from bot.store.outbox import Delivered
from tests.bot.channels.telegram_rig import ME, serving
from tests.botapi import BotApi, Fault, Sent


@pytest.fixture
def app(tmp_path: Path) -> Iterator[App]:
    opened = App(f"sqlite:///{tmp_path / 'bot.db'}", zone="Europe/Vienna", serves="tg:%", cards=True)
    yield opened
    opened.close()


def card_of(api: BotApi) -> Sent:
    [card] = [message for message in api.sent(ME, silent=True) if message.pinned]
    return card


def say(api: BotApi, app: App, text: str) -> None:
    """Say something, and wait until all that it brings has arrived."""
    before = len(outbox(app))
    api.say(ME, text)
    api.wait_for(lambda: len(outbox(app)) > before and all(one.ref for one in outbox(app)))


def outbox(app: App) -> list[Delivered]:
    with app.store.read() as tx:
        recent = [tx.outbox.delivered(one.id or 0) for one in tx.outbox.recent(f"tg:{ME}", 50)]
    return [one for one in recent if one is not None]


def test_a_day_has_one_card_that_changes_in_place_and_makes_no_sound(api: BotApi, app: App) -> None:
    with serving(api, app):
        say(api, app, "60 g oats now")
        card = card_of(api)
        say(api, app, "a boiled egg now")
        say(api, app, "hello")
    assert (card.silent, card.edits) == (True, 1)
    assert card_of(api) is card
    assert "boiled egg" in card.text
    pins = [fields for name, fields in api.calls if name == "pinChatMessage"]
    assert [fields["disable_notification"] for fields in pins] == ["true"]


def test_a_button_of_the_card_brings_an_entry_up(api: BotApi, app: App) -> None:
    with serving(api, app):
        say(api, app, "60 g oats now")
        card, before = card_of(api), len(api.sent(ME))
        api.press(ME, card, card.labels[0])
        shown = api.wait_for(before + 1, chat_id=ME)[-1]
        assert shown.labels == ["Fix amounts", "Fix time", "Undo"]
        api.press(ME, shown, "Undo")
        api.wait_for(lambda: "Nothing is noted." in card.text)
    assert card.labels == []


def test_a_card_that_the_person_deleted_comes_again(api: BotApi, app: App) -> None:
    with serving(api, app):
        say(api, app, "60 g oats now")
        api.messages.remove(card_of(api))
        say(api, app, "a boiled egg now")
        assert "oats 60 g" in card_of(api).text
        assert card_of(api).silent


def test_an_edit_whose_answer_never_came_is_made_again(
    api: BotApi, app: App, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.channels.telegram_patience.PAUSES_S", (0.01, 0.02))
    with serving(api, app):
        say(api, app, "60 g oats now")
        api.fault("editMessageText", Fault("drop_after"))
        say(api, app, "a boiled egg now")
        card = card_of(api)
    assert "boiled egg" in card.text
    assert api.count("editMessageText") == 2


def test_switched_off_it_is_no_longer_pinned(api: BotApi, app: App) -> None:
    with serving(api, app):
        say(api, app, "60 g oats now")
        card = card_of(api)
        say(api, app, "/card off")
        say(api, app, "a boiled egg now")
    assert (card.pinned, card.edits) == (False, 0)
