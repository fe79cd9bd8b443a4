"""What people do in the messenger, over real HTTP, with a talker that only remembers."""

import threading
import time
from datetime import UTC, datetime

import pytest

from bot.model.messages import Attachment, Button, Document, Incoming, Outgoing, PictureSpec
from tests.bot.channels.telegram_rig import ME, PNG, FakeTalker, say_back, serving
from tests.botapi import BotApi, Fault


def answering(**parts: object) -> FakeTalker:
    return FakeTalker(lambda incoming: [Outgoing(incoming.person, **{"text": "Noted"} | parts)])


def test_text_in_reply_out(api: BotApi) -> None:
    talker = FakeTalker()
    with serving(api, talker):
        message = api.say(ME, "two eggs")
        [reply] = api.wait_for(1, chat_id=ME)
        api.wait_for(lambda: talker.states == {1: "sent"})
    assert reply.text == "noted two eggs"
    assert "parse_mode" not in reply.fields
    [incoming] = talker.received
    assert incoming == Incoming(
        person="tg:7",
        update_id="tg:1000",
        sent_at=datetime.fromtimestamp(message["date"], UTC),
        message_id=str(message["message_id"]),
        text="two eggs",
        language="und",
    )
    assert talker.refs == {1: str(reply.message_id)}
    assert api.unconfirmed() == 0


def test_menu_of_commands(api: BotApi) -> None:
    with serving(api, FakeTalker(), commands=[("help", "what I can do"), ("week", "best and worst")]):
        api.wait_for(lambda: api.commands)
    assert api.commands[1] == {"command": "week", "description": "best and worst"}


def test_picture_with_words_and_buttons(api: BotApi) -> None:
    talker = answering(
        picture=PictureSpec("curve", "lunch"), buttons=tuple(Button(n, n) for n in ("A", "B", "C"))
    )
    with serving(api, talker):
        api.say(ME, "lunch?")
        [photo] = api.wait_for(1, chat_id=ME)
    assert (photo.kind, photo.text, photo.file, photo.file_name) == ("photo", "Noted", PNG, "lunch.png")
    assert [[key["text"] for key in row] for row in photo.keys] == [["A", "B"], ["C", "In words"]]


def test_a_picture_in_words_is_a_message(api: BotApi) -> None:
    with serving(api, answering(text="", picture=PictureSpec("curve", "lunch", in_words=True))):
        api.say(ME, "in words")
        [reply] = api.wait_for(1, chat_id=ME)
    assert (reply.kind, reply.labels) == ("text", [])
    assert reply.text == "a curve"


def test_long_words_follow_the_picture(api: BotApi) -> None:
    words = "x" * 1025
    talker = answering(text=words, picture=PictureSpec("week", "w"), buttons=(Button("A", "a"),))
    with serving(api, talker):
        api.say(ME, "week")
        photo, text = api.wait_for(2, chat_id=ME)
        api.wait_for(lambda: talker.states == {1: "sent"})
    assert (photo.kind, photo.text, photo.labels) == ("photo", "", [])
    assert (text.kind, text.text, text.labels) == ("text", words, ["A", "In words"])
    assert talker.refs == {1: str(text.message_id)}


def test_words_go_out_when_the_picture_cannot_be_drawn(api: BotApi, caplog: pytest.LogCaptureFixture) -> None:
    with serving(api, answering(picture=PictureSpec("curve", "broken"))):
        api.say(ME, "lunch?")
        [reply] = api.wait_for(1, chat_id=ME)
    assert reply.text == "Noted\n\n(The picture could not be drawn this time.)"
    assert "nothing to draw" in caplog.text


def test_document_out(api: BotApi) -> None:
    with serving(api, answering(document=Document("log.csv", b"a,b\n1,2\n"))):
        api.say(ME, "export")
        [reply] = api.wait_for(1, chat_id=ME)
    assert (reply.kind, reply.text, reply.file_name) == ("document", "Noted", "log.csv")
    assert reply.file == b"a,b\n1,2\n"


def test_text_too_long_for_one_message(api: BotApi) -> None:
    lines = "\n".join(f"line {n} " + "y" * 90 for n in range(60))
    with serving(api, answering(text=lines)):
        api.say(ME, "all")
        parts = api.wait_for(2, chat_id=ME)
    assert "\n".join(part.text for part in parts).split("\n") == lines.split("\n")


def test_press_is_acknowledged_and_the_message_replaced(api: BotApi) -> None:
    def answer(incoming: Incoming) -> list[Outgoing]:
        if incoming.press:
            return [Outgoing(incoming.person, "Undone", replaces=incoming.message_id)]
        return [Outgoing(incoming.person, "Noted", buttons=(Button("Undo", "undo:1"),))]

    talker = FakeTalker(answer)
    with serving(api, talker):
        api.say(ME, "an apple")
        [reply] = api.wait_for(1, chat_id=ME)
        query = api.press(ME, reply, "Undo")
        api.wait_for(lambda: reply.edits and talker.states.get(2) == "sent")
        api.wait_for(lambda: api.answered == [query])
    assert (reply.text, reply.labels) == ("Undone", [])
    assert len(api.sent(ME)) == 1
    assert talker.refs == {1: str(reply.message_id), 2: str(reply.message_id)}
    press = talker.received[1]
    assert (press.press, press.message_id, press.text) == ("undo:1", str(reply.message_id), "")
    assert abs((press.sent_at - datetime.now(UTC)).total_seconds()) < 5


def test_replacing_with_the_same_words_counts_as_done(api: BotApi) -> None:
    def answer(incoming: Incoming) -> list[Outgoing]:
        replaces = incoming.message_id if incoming.press else None
        return [Outgoing(incoming.person, "Same", (Button("Again", "again"),), replaces=replaces)]

    talker = FakeTalker(answer)
    with serving(api, talker):
        api.say(ME, "x")
        [reply] = api.wait_for(1, chat_id=ME)
        api.press(ME, reply, "Again")
        api.wait_for(lambda: talker.states.get(2) == "sent")
    assert len(api.sent(ME)) == 1
    assert api.count("editMessageText") == 1


def test_what_cannot_be_replaced_is_sent_anew(api: BotApi) -> None:
    def answer(incoming: Incoming) -> list[Outgoing]:
        if incoming.press:
            return [Outgoing(incoming.person, "Changed", replaces=incoming.message_id)]
        more = (Button("More", "more"),)
        return [Outgoing(incoming.person, "", more, picture=PictureSpec("curve", "c"))]

    with serving(api, FakeTalker(answer)):
        api.say(ME, "x")
        [photo] = api.wait_for(1, chat_id=ME)
        api.press(ME, photo, "More")
        anew = api.wait_for(2, chat_id=ME)[1]
    assert (photo.text, photo.edits, anew.text) == ("", 0, "Changed")


def test_document_in(api: BotApi) -> None:
    talker = FakeTalker()
    with serving(api, talker):
        api.document(ME, "day1.csv", b"time,mmol\n", caption="from today")
        api.wait_for(1, chat_id=ME)
    [incoming] = talker.received
    assert incoming.file is not None
    assert (incoming.file.name, incoming.file.data) == ("day1.csv", b"time,mmol\n")
    assert (incoming.text, incoming.too_large, incoming.other) == ("from today", False, None)


@pytest.mark.parametrize(("size", "asked"), [(21 * 1024 * 1024, 0), (-21 * 1024 * 1024, 1)])
def test_document_too_large(api: BotApi, size: int, asked: int) -> None:
    """Whether the update says so, or only the server when it is asked."""
    talker = FakeTalker()
    with serving(api, talker):
        api.document(ME, "all.csv", b"x", size=size)
        api.wait_for(1, chat_id=ME)
    [incoming] = talker.received
    assert incoming.too_large
    assert incoming.file is None
    assert api.count("getFile") == asked


def test_edited_message(api: BotApi) -> None:
    talker = FakeTalker()
    with serving(api, talker):
        message = api.say(ME, "100 g rice")
        api.edit(message, "150 g rice")
        api.wait_for(2, chat_id=ME)
    first, second = talker.received
    assert (first.edited, second.edited, second.text) == (False, True, "150 g rice")
    assert (second.message_id, second.sent_at) == (first.message_id, first.sent_at)


def test_answer_to_an_earlier_message(api: BotApi) -> None:
    talker = FakeTalker()
    with serving(api, talker):
        first = api.say(ME, "rice")
        api.say(ME, "no, 150 g", reply_to_message=first)
        api.wait_for(2, chat_id=ME)
    assert talker.received[1].reply_to == str(first["message_id"])


def test_photo_and_voice(api: BotApi) -> None:
    talker = FakeTalker()
    with serving(api, talker):
        api.photo(ME)
        api.photo(ME, caption="porridge")
        api.voice(ME)
        api.wait_for(3, chat_id=ME)
    photo = Attachment("photo.jpg", b"\xff\xd8\xffjpeg")
    assert [(i.other, i.text, i.file) for i in talker.received] == [
        (None, "", photo),
        (None, "porridge", photo),
        ("voice", "", None),
    ]


def test_the_words_of_a_photo_that_cannot_be_fetched_are_heard(
    api: BotApi, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.channels.telegram_files._PAUSES_S", (0.01,))
    api.fault("getFile", Fault("500"), Fault("502"))
    talker = FakeTalker()
    with serving(api, talker):
        api.photo(ME, caption="porridge")
        api.wait_for(1, chat_id=ME)
    assert [(i.other, i.text, i.file) for i in talker.received] == [("photo", "porridge", None)]
    assert talker.failures == []


def test_what_says_nothing_is_passed_over(api: BotApi) -> None:
    talker = FakeTalker()
    with serving(api, talker):
        pinned = api.say(ME, "one")
        api.push({"message": pinned | {"text": None, "pinned_message": pinned}})
        api.push({"my_chat_member": {}})
        api.say(ME, "two")
        api.wait_for(lambda: len(talker.received) == 2 and not api.unconfirmed())
    assert [i.text for i in talker.received] == ["one", "two"]
    assert len(talker.inbox) == 2


def test_stranger_is_told_once_and_nothing_is_stored(api: BotApi) -> None:
    talker = FakeTalker()
    with serving(api, talker, allowed=frozenset({ME})):
        api.say(99, "hello")
        api.say(99, "hello?")
        api.say(ME, "hi")
        api.wait_for(1, chat_id=ME)
        [refusal] = api.wait_for(1, chat_id=99)
    assert "private" in refusal.text
    assert "99" in refusal.text
    assert len(api.sent(99)) == 1
    assert [i.person for i in talker.received] == ["tg:7"]
    assert list(talker.inbox) == ["tg:1002"]


CHAT = {"id": ME, "type": "private"}
UNREADABLE = (
    {"message": {"message_id": 1}},
    {"message": [1]},
    {"message": {"message_id": 2, "date": 10**18, "chat": CHAT, "text": "a secret"}},
    {"message": {"message_id": 2, "date": "now", "chat": CHAT, "text": "a secret"}},
    {"message": {"message_id": 2, "date": 1, "chat": CHAT, "text": "a secret", "photo": [{}]}},
    {"callback_query": {"data": "a secret"}},
    {"edited_message": {"message_id": 2, "date": 1, "chat": "a secret"}},
)


def test_an_update_that_cannot_be_read_holds_up_no_other(
    api: BotApi, caplog: pytest.LogCaptureFixture
) -> None:
    talker = FakeTalker()
    with serving(api, talker):
        api.push(*UNREADABLE)
        api.say(ME, "hi")
        api.wait_for(1, chat_id=ME)
        api.wait_for(lambda: not api.unconfirmed())
    assert [incoming.text for incoming in talker.received] == ["hi"]
    assert "a secret" not in caplog.text
    assert caplog.text.count("cannot be read") == len(UNREADABLE)


@pytest.mark.parametrize("sender", [None, 8])
def test_only_who_a_chat_belongs_to_speaks_in_it(api: BotApi, sender: int | None) -> None:
    talker = FakeTalker()
    with serving(api, talker):
        message = {"message_id": 50, "date": 1, "chat": {"id": ME, "type": "private"}, "text": "delete lunch"}
        written_by = {} if sender is None else {"from": {"id": sender, "is_bot": False, "first_name": "A"}}
        api.know(ME)
        api.push({"message": message | written_by})
        [refusal] = api.wait_for(1, chat_id=ME)
    assert "private chats" in refusal.text
    assert not talker.inbox


def test_group_is_told_once(api: BotApi) -> None:
    talker = FakeTalker()
    with serving(api, talker):
        api.say(-5, "hello all")
        api.say(-5, "anyone?")
        api.say(ME, "hi")
        api.wait_for(1, chat_id=ME)
        [refusal] = api.wait_for(1, chat_id=-5)
    assert "private chats" in refusal.text
    assert len(api.sent(-5)) == 1
    assert len(talker.inbox) == 1


def test_quick_messages_of_one_chat_keep_their_order(api: BotApi) -> None:
    """Each turn is slower than the next one's, so that any overtaking shows."""

    def answer(incoming: Incoming) -> list[Outgoing]:
        time.sleep(0.02 * (9 - int(incoming.text)))
        return say_back(incoming)

    talker = FakeTalker(answer)
    with serving(api, talker):
        for n in range(10):
            api.say(ME + n % 2, str(n))
        api.wait_for(10)
    for chat_id in (ME, ME + 1):
        texts = [i.text for i in talker.received if i.person == f"tg:{chat_id}"]
        assert texts == sorted(texts)
        assert [m.text for m in api.sent(chat_id)] == [f"noted {t}" for t in texts]


def test_busy_chat_does_not_hold_up_another(api: BotApi) -> None:
    """More messages wait in the busy chat than there are places for chats at once."""
    release = threading.Event()

    def answer(incoming: Incoming) -> list[Outgoing]:
        if incoming.person == "tg:8":
            release.wait(5)
        return say_back(incoming)

    talker = FakeTalker(answer)
    with serving(api, talker):
        for n in range(40):
            api.say(8, f"slow {n}")
        api.say(ME, "quick")
        api.wait_for(1, chat_id=ME)
        assert api.sent(8) == []
        release.set()
        api.wait_for(40, chat_id=8)


def test_a_long_turn_shows_that_the_bot_is_typing(api: BotApi, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bot.channels.telegram_busy._TYPING_AFTER_S", 0.05)

    def answer(incoming: Incoming) -> list[Outgoing]:
        time.sleep(0.2 if incoming.text == "slow" else 0)
        return say_back(incoming)

    with serving(api, FakeTalker(answer)):
        api.say(ME, "quick")
        api.wait_for(1, chat_id=ME)
        assert api.count("sendChatAction") == 0
        api.say(ME, "slow")
        api.wait_for(2, chat_id=ME)
    assert api.count("sendChatAction") >= 1


def test_what_the_clock_brings(api: BotApi) -> None:
    """Also for people of other channels, whose messages are not this channel's to send."""
    talker = FakeTalker()
    api.know(ME)
    with serving(api, talker) as runner:
        talker.due = [
            Outgoing("local", "not here", reminder=True),
            Outgoing("tg:7", "Time to sync", reminder=True),
        ]
        runner.fire()
        [reminder] = api.wait_for(1, chat_id=ME)
        api.wait_for(lambda: talker.states == {1: "unsent", 2: "sent"})
    assert reminder.text == "Time to sync"
