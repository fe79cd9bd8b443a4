"""How messages stand in the chat: marks, albums, answers that point, a pinned one; over real HTTP."""

import pytest

from bot.channels.telegram_requests import SIGNS
from bot.model.messages import Button, Incoming, Outgoing, PictureSpec, show_pictures
from bot.reply.reactions import LINES, react
from tests.bot.channels.telegram_rig import ME, PNG, FakeTalker, serving
from tests.botapi import BotApi, Fault
from tests.botapi.manners import SIGNS as ALLOWED

TWO = (PictureSpec("curve", "lunch"), PictureSpec("day", "tuesday"))


def mark(incoming: Incoming) -> list[Outgoing]:
    return [react(incoming.person, incoming.message_id, "synced")]


def album(*specs: PictureSpec, **parts: object) -> FakeTalker:
    return FakeTalker(lambda said: [show_pictures(Outgoing(said.person, **{"text": "Two"} | parts), *specs)])


def test_every_reaction_has_a_sign_and_a_line_of_its_own() -> None:
    assert SIGNS.keys() == LINES.keys()
    assert len(set(SIGNS.values())) == len(set(LINES.values())) == len(SIGNS)
    assert {str(sign) for sign in SIGNS.values()} <= set(ALLOWED)


def test_a_reaction_is_a_mark_on_the_message_and_nothing_else(api: BotApi) -> None:
    talker = FakeTalker(mark)
    with serving(api, talker):
        said = api.say(ME, "synced")
        api.wait_for(lambda: talker.states == {1: "sent"})
    assert api.reactions == {said["message_id"]: "👌"}
    assert api.sent(ME, silent=True) == []
    assert talker.refs == {1: str(said["message_id"])}


@pytest.mark.parametrize("kind", ["500", "drop_before", "drop_after"])
def test_a_reaction_is_tried_again_as_it_does_nothing_twice(
    api: BotApi, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for pauses in ("PAUSES_S", "BROKEN_PAUSES_S"):
        monkeypatch.setattr(f"bot.channels.telegram_patience.{pauses}", (0.01, 0.02))
    api.fault("setMessageReaction", Fault(kind), Fault(kind))  # type: ignore[arg-type]
    talker = FakeTalker(mark)
    with serving(api, talker):
        said = api.say(ME, "synced")
        api.wait_for(lambda: talker.states == {1: "sent"})
    assert api.reactions == {said["message_id"]: "👌"}
    assert api.sent(ME, silent=True) == []


def test_where_a_reaction_is_refused_its_line_is_sent(api: BotApi) -> None:
    talker = FakeTalker(lambda said: [react(said.person, "999", "thanks")])
    with serving(api, talker):
        api.say(ME, "thanks")
        [line] = api.wait_for(1, chat_id=ME, silent=True)
        api.wait_for(lambda: talker.states == {1: "sent"})
    assert (line.text, line.silent) == ("✓ Thank you.", True)
    assert api.reactions == {}
    assert talker.refs == {1: str(line.message_id)}


def test_after_a_press_a_reaction_is_its_line() -> None:
    assert react("local", None, "noted") == Outgoing("local", "✓ Noted.")


def test_an_answer_points_at_its_message_even_where_that_is_gone(api: BotApi) -> None:
    targets = iter([None, "999"])
    talker = FakeTalker(
        lambda said: [Outgoing(said.person, "Noted", answers_to=next(targets) or said.message_id)]
    )
    with serving(api, talker):
        said = api.say(ME, "soup")
        api.wait_for(1, chat_id=ME, silent=True)
        api.say(ME, "bread")
        first, second = api.wait_for(2, chat_id=ME, silent=True)
    assert f'"message_id": {said["message_id"]}' in first.fields["reply_parameters"]
    assert "999" in second.fields["reply_parameters"]


def test_several_pictures_are_one_album_with_one_caption(api: BotApi) -> None:
    talker = album(*TWO, text="Two curves", silent=True)
    with serving(api, talker):
        api.say(ME, "both")
        first, second = api.wait_for(2, chat_id=ME, silent=True)
        api.wait_for(lambda: talker.states == {1: "sent"})
    assert first.album == second.album
    assert (first.text, second.text, first.file, second.file) == ("Two curves", "", PNG, PNG)
    assert first.silent
    assert api.count("sendMediaGroup") == 1


def test_buttons_of_an_album_stand_under_its_words(api: BotApi) -> None:
    with serving(api, album(*TWO, buttons=(Button("A", "a"),), answers_to="999")):
        api.say(ME, "both")
        first, second, words = api.wait_for(3, chat_id=ME, silent=True)
    assert (first.text, second.text) == ("", "")
    assert (words.text, words.labels) == ("Two", ["A", "In words"])
    assert "reply_parameters" not in words.fields


def test_of_an_album_what_can_be_drawn_is_shown(api: BotApi) -> None:
    with serving(api, album(TWO[0], PictureSpec("curve", "broken"))):
        api.say(ME, "both")
        [photo] = api.wait_for(1, chat_id=ME, silent=True)
    assert photo.album == ""
    assert photo.text == "Two\n\n(The picture could not be drawn this time.)"
    assert photo.labels == ["In words"]


def test_an_album_in_words_is_one_message(api: BotApi) -> None:
    specs = [PictureSpec("curve", name, in_words=True) for name in "ab"]
    with serving(api, album(*specs, text="In words:")):
        api.say(ME, "in words")
        [reply] = api.wait_for(1, chat_id=ME, silent=True)
    assert reply.text == "In words:\n\na curve\n\na curve"


def pinned(said: Incoming) -> list[Outgoing]:
    unpins = said.text if said.text.isdigit() else None
    return [Outgoing(said.person, "Today", silent=True, pinned=True, unpins=unpins)]


def test_a_pinned_message_takes_the_place_of_the_one_before_silently(api: BotApi) -> None:
    talker = FakeTalker(pinned)
    with serving(api, talker):
        api.say(ME, "one")
        [first] = api.wait_for(1, chat_id=ME, silent=True)
        api.wait_for(lambda: talker.states.get(1) == "sent")
        assert first.pinned
        api.say(ME, str(first.message_id))
        second = api.wait_for(2, chat_id=ME, silent=True)[1]
        api.wait_for(lambda: talker.states.get(2) == "sent")
    assert (first.pinned, second.pinned, second.silent) == (False, True, True)
    pins = [fields for name, fields in api.calls if name == "pinChatMessage"]
    assert all(fields["disable_notification"] == "true" for fields in pins)


def test_a_pin_that_is_refused_or_has_to_wait_sends_nothing_twice(
    api: BotApi, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.channels.telegram_patience.PAUSES_S", (0.01, 0.02))
    api.fault("pinChatMessage", Fault("drop_after"), Fault("429", 0))
    talker = FakeTalker(pinned)
    with serving(api, talker):
        api.say(ME, "888")  # there is no such message to unpin
        [card] = api.wait_for(1, chat_id=ME, silent=True)
        api.wait_for(lambda: talker.states == {1: "sent"})  # a crash must not wait for the pin
        api.wait_for(lambda: api.sent(ME, silent=True)[0].pinned)
    assert [each.message_id for each in api.sent(ME, silent=True)] == [card.message_id]
