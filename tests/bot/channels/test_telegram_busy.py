"""What the chat shows while the bot is busy."""

import time

import pytest

from bot.language.texts import Language
from bot.model.messages import Incoming, Outgoing, Picture, PictureSpec
from tests.bot.channels.telegram_rig import ME, FakeTalker, say_back, serving
from tests.botapi import BotApi, Fault


@pytest.fixture(autouse=True)
def _soon(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, seconds in (("_TYPING_AFTER_S", 0.05), ("_LINE_AFTER_S", 0.1), ("_AGAIN_S", 0.1)):
        monkeypatch.setattr(f"bot.channels.telegram_busy.{name}", seconds)


def slow(seconds: float) -> FakeTalker:
    def answer(incoming: Incoming) -> list[Outgoing]:
        time.sleep(seconds)
        return say_back(incoming)

    return FakeTalker(answer)


def actions(api: BotApi) -> list[str]:
    return [fields["action"] for name, fields in api.calls if name == "sendChatAction"]


def test_a_quick_answer_shows_nothing_before_it(api: BotApi) -> None:
    with serving(api, slow(0)):
        api.say(ME, "hello")
        api.wait_for(1, chat_id=ME)
    assert actions(api) == []


def test_words_that_take_long_show_typing_and_no_line(api: BotApi) -> None:
    with serving(api, slow(0.4)):
        api.say(ME, "hello")
        api.wait_for(1, chat_id=ME)
    assert set(actions(api)) == {"typing"}
    assert api.count("sendMessage") == 1


def test_a_file_that_takes_long_has_a_line_that_is_edited_and_goes_with_the_answer(api: BotApi) -> None:
    with serving(api, slow(0.8)):
        api.document(ME, "readings.csv", b"time,glucose\n")
        [line] = api.wait_for(1, chat_id=ME, silent=True)
        assert (line.text, line.silent) == ("I'm reading your file …", True)
        api.wait_for(lambda: "still reading your file" in line.text)
        api.wait_for(1, chat_id=ME)
        [answer] = api.sent(ME, silent=True)
    assert answer.text.startswith("noted")
    assert api.count("deleteMessage") == 1


@pytest.mark.parametrize(
    ("language", "text"), [("en", "I'm making your report …"), ("de", "Ich mache deinen Bericht …")]
)
def test_a_report_has_one_too(api: BotApi, language: Language, text: str) -> None:
    class Slow(FakeTalker):
        def draw(self, spec: PictureSpec, person: str) -> Picture:
            time.sleep(0.5)
            return Picture(spec.name, b"", "a report", b"<html>")

    talker = Slow(lambda said: [Outgoing(said.person, "Here it is", picture=PictureSpec("report", "run"))])
    talker.speaks = language
    with serving(api, talker):
        api.say(ME, "report")
        [line] = api.wait_for(1, chat_id=ME, silent=True)
        assert line.text == text
        api.wait_for(1, chat_id=ME)
        [answer] = api.sent(ME, silent=True)
    assert (answer.kind, answer.file_name) == ("document", "run.html")
    assert set(actions(api)) == {"upload_document"}


def test_a_messenger_that_shows_nothing_keeps_no_answer_back(api: BotApi) -> None:
    api.fault("sendChatAction", *[Fault("500")] * 9)
    api.fault("deleteMessage", Fault("500"))
    with serving(api, slow(0.5)):
        api.document(ME, "readings.csv", b"time,glucose\n")
        api.wait_for(1, chat_id=ME)


def test_a_turn_that_breaks_leaves_no_line_behind(api: BotApi) -> None:
    def broken(incoming: Incoming) -> list[Outgoing]:
        time.sleep(0.3)
        raise ValueError("broken")

    with serving(api, FakeTalker(broken)):
        api.document(ME, "readings.csv", b"time,glucose\n")
        api.wait_for(1, chat_id=ME)
    assert len(api.sent(ME, silent=True)) == 1
