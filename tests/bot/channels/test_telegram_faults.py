"""What becomes of messages when the network, the messenger, the store or the bot itself breaks."""

import logging
import threading
import time

import pytest

from bot.channels.telegram_channel import TelegramChannel
from bot.model.errors import BadSetting, StoreError
from bot.model.messages import Button, Incoming, Outgoing
from tests.bot.channels.telegram_rig import ME, FakeTalker, HandRunner, say_back, serving
from tests.botapi import TOKEN, BotApi, Fault

REMINDER = Outgoing("tg:7", "Time to sync", reminder=True)


@pytest.fixture(autouse=True)
def _short_pauses(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in (
        "telegram_delivery.PAUSES_S",
        "telegram_patience.PAUSES_S",
        "telegram_patience.UNSURE_PAUSES_S",
        "telegram_handling.FETCH_AGAIN_S",
    ):
        monkeypatch.setattr(f"bot.channels.{name}", (0.02, 0.02, 0.05))
    monkeypatch.setattr("bot.channels.telegram_patience.UNSURE_REPLY_PAUSES_S", (0.02, 0.1))
    monkeypatch.setattr("bot.channels.telegram_patience.BROKEN_PAUSES_S", (0.02,) * 6 + (0.1,))
    monkeypatch.setattr("bot.channels.telegram_patience.LONGEST_IN_ORDER_S", 0.06)
    monkeypatch.setattr("bot.channels.telegram_files._PAUSES_S", (0.02, 0.02))


# --- sending ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["429", "500", "502"])
def test_refused_by_the_server_is_sent_again(api: BotApi, kind: str) -> None:
    talker = FakeTalker()
    api.fault("sendMessage", Fault(kind), Fault(kind) if kind != "429" else Fault("500"))
    with serving(api, talker):
        api.say(ME, "egg")
        api.wait_for(1, chat_id=ME)
        api.wait_for(lambda: talker.states == {1: "sent"})
    assert len(api.sent(ME)) == 1


def test_patience_asked_of_one_chat_does_not_stop_another(api: BotApi) -> None:
    api.fault("sendMessage", Fault("429", seconds=1))
    with serving(api, FakeTalker()):
        api.say(ME, "egg")
        api.wait_for(lambda: not api._faults["sendMessage"])
        api.say(8, "apple")
        api.wait_for(1, chat_id=8)
        assert api.sent(ME) == []
        [mine] = api.wait_for(1, chat_id=ME)
    assert mine.at - api.sent(8)[0].at > 0.5


@pytest.mark.parametrize("kind", ["500", "502"])
def test_what_the_server_breaks_on_is_tried_for_long_and_lets_later_ones_pass(api: BotApi, kind: str) -> None:
    """The loopback server breaks whichever request comes next: the first seven are all the first reply."""
    talker = FakeTalker()
    api.fault("sendMessage", *[Fault(kind)] * 7)
    with serving(api, talker):
        api.say(ME, "egg")
        api.say(ME, "apple")
        texts = [message.text for message in api.wait_for(2, chat_id=ME)]
        api.wait_for(lambda: talker.states == {1: "sent", 2: "sent"})
    assert texts == ["noted apple", "noted egg"]
    assert talker.refusals == [1]


def test_forty_chats_asked_for_patience_hold_nobody_up(api: BotApi) -> None:
    talker = FakeTalker()
    api.fault("sendMessage", *[Fault("429", seconds=3)] * 40)
    with serving(api, talker):
        for chat in range(100, 140):
            api.say(chat, "egg")
        api.wait_for(lambda: not api._faults["sendMessage"])
        began = time.monotonic()
        api.say(ME, "apple")
        [mine] = api.wait_for(1, chat_id=ME)
        assert mine.at - began < 1
        assert len(api.messages) == 1
        api.wait_for(41)


def test_a_message_waits_until_the_bot_says_that_it_makes_no_sense(
    api: BotApi, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A reminder is replaced by what is to be said by now, and then by nothing."""
    monkeypatch.setattr("bot.channels.telegram_delivery._STALE_S", 0)
    talker = FakeTalker()
    api.know(ME)
    anew: list[Outgoing] = []

    def review(message: Outgoing) -> Outgoing | None:
        if message.text == "Time to sync" and len(talker.reviewed) > 3:
            anew.append(talker.put(Outgoing("tg:7", "Readings is lost", reminder=True)))
            return anew[-1]
        return None if message.reminder and len(talker.reviewed) > 20 else message

    talker.answer_review = review
    api.fault("sendMessage", *[Fault("500")] * 10)
    with serving(api, talker) as runner:
        talker.due = [REMINDER]
        runner.fire()
        api.wait_for(1, chat_id=ME)
        api.fault("sendMessage", *[Fault("500")] * 100)
        talker.due = [REMINDER]
        runner.fire()
        api.wait_for(lambda: len(talker.reviewed) == 21)
        api._faults["sendMessage"].clear()
        api.say(ME, "egg")
        api.wait_for(2, chat_id=ME)
    assert [m.text for m in api.sent(ME)] == ["Readings is lost", "noted egg"]


def test_the_parts_of_a_message_go_out_once_each_whatever_happens_between(api: BotApi) -> None:
    long = "\n".join(str(n) * 50 for n in range(1000, 1050))
    talker = FakeTalker(lambda incoming: [Outgoing(incoming.person, long)])
    with serving(api, talker):
        api.say(ME, "egg")
        api.wait_for(1, chat_id=ME)
        api.fault("sendMessage", Fault("500"), Fault("429"))
        api.wait_for(lambda: talker.states == {1: "sent"})
        api.say(ME, "apple")
        api.wait_for(lambda: talker.states == {1: "sent", 2: "sent"})
    texts = [m.text for m in api.sent(ME)]
    assert len(texts) >= 4
    assert "".join(texts).replace("\n", "") == 2 * long.replace("\n", "")


@pytest.mark.parametrize(
    ("faults", "arrives", "state"),
    [
        (["drop_before"], 1, "sent"),
        (["drop_before"] * 2, 1, "sent"),
        (["drop_after"], 2, "sent"),
        (["slow"], 2, "sent"),
        (["drop_after"] * 3, 3, "unsure"),
    ],
)
def test_a_reply_that_may_have_arrived_is_sent_again_but_not_for_ever(
    api: BotApi, faults: list[str], arrives: int, state: str
) -> None:
    talker = FakeTalker()
    api.fault("sendMessage", *(Fault(kind, seconds=0.6) for kind in faults))
    with serving(api, talker, timeout_s=0.2):
        api.say(ME, "egg")
        api.wait_for(lambda: talker.states == {1: state})
        api.say(ME, "apple")
        api.wait_for(lambda: talker.states == {1: state, 2: "sent"})
    assert len(api.sent(ME)) == arrives + 1


@pytest.mark.parametrize(
    ("faults", "arrives", "state"),
    [
        (["drop_before"], 1, "sent"),
        (["drop_after"], 2, "sent"),
        (["drop_before", "drop_before"], 1, "sent"),
        (["drop_before", "500", "502", "drop_before"], 1, "sent"),
        (["drop_after"] * 4, 4, "unsure"),
    ],
)
def test_a_reminder_that_may_have_arrived_is_sent_again_but_not_for_ever(
    api: BotApi, faults: list[str], arrives: int, state: str
) -> None:
    talker = FakeTalker()
    api.know(ME)
    api.fault("sendMessage", *(Fault(kind) for kind in faults))
    with serving(api, talker) as runner:
        talker.due = [REMINDER]
        runner.fire()
        api.wait_for(lambda: talker.states == {1: state})
    assert len(api.sent(ME)) == arrives


def test_an_edit_is_repeated_freely(api: BotApi) -> None:
    def answer(incoming: Incoming) -> list[Outgoing]:
        if incoming.press:
            return [Outgoing(incoming.person, "Undone", replaces=incoming.message_id)]
        return [Outgoing(incoming.person, "Noted", (Button("Undo", "u"),))]

    talker = FakeTalker(answer)
    api.fault("editMessageText", Fault("drop_before"), Fault("drop_after"))
    with serving(api, talker):
        api.say(ME, "egg")
        [reply] = api.wait_for(1, chat_id=ME)
        api.press(ME, reply, "Undo")
        api.wait_for(lambda: talker.states.get(2) == "sent")
    assert (reply.text, reply.edits, len(api.sent(ME))) == ("Undone", 1, 1)


def test_a_server_out_of_reach_is_waited_for(api: BotApi) -> None:
    release = threading.Event()

    def answer(incoming: Incoming) -> list[Outgoing]:
        release.wait(5)
        return say_back(incoming)

    talker = FakeTalker(answer)
    with serving(api, talker):
        api.say(ME, "egg")
        api.wait_for(lambda: talker.inbox)
        api.go_away()
        release.set()
        api.wait_for(lambda: talker.states == {1: "unsent"})
        api.come_back()
        [reply] = api.wait_for(1, chat_id=ME)
        api.wait_for(lambda: talker.states == {1: "sent"})
    assert reply.text == "noted egg"


def test_a_person_who_blocked_the_bot(api: BotApi) -> None:
    talker = FakeTalker()
    api.know(ME)
    api.block(ME)
    with serving(api, talker) as runner:
        talker.due = [REMINDER]
        runner.fire()
        api.wait_for(lambda: talker.states == {1: "not sent"})
    assert api.count("sendMessage") == 1


# --- receiving -------------------------------------------------------------------------------------------


def test_an_update_given_twice_is_handled_once(api: BotApi) -> None:
    talker = FakeTalker()
    with serving(api, talker):
        message = api.say(ME, "egg")
        api.wait_for(1, chat_id=ME)
        api.push({"update_id": 1000, "message": message})
        api.say(ME, "apple")
        api.wait_for(2, chat_id=ME)
    assert [i.text for i in talker.received] == ["egg", "apple"]


def test_an_update_that_could_not_be_stored_is_fetched_again(api: BotApi) -> None:
    talker = FakeTalker()
    talker.accept_errors = 1
    with serving(api, talker):
        api.say(ME, "egg")
        api.say(ME, "apple")
        api.wait_for(2, chat_id=ME)
    assert [i.text for i in talker.received] == ["egg", "apple"]


def test_what_was_accepted_but_not_handled_is_handled_at_the_next_start(api: BotApi) -> None:
    first, second = FakeTalker(), FakeTalker()
    with serving(api, first):
        api.say(ME, "egg")
        api.say(ME, "apple")
        api.wait_for(2, chat_id=ME)
    second.inbox = dict(first.inbox)
    second.handled = {"tg:1000"}
    with serving(api, second):
        api.wait_for(3, chat_id=ME)
    assert [i.text for i in second.received] == ["apple"]
    assert second.received[0] == first.received[1]


def test_what_a_start_finds_is_handled_alone(api: BotApi) -> None:
    """So that what ends the process then is what is to blame: nothing else is received, sent or due."""
    seen: list[tuple[int, int, int]] = []
    running = 0

    def answer(incoming: Incoming) -> list[Outgoing]:
        nonlocal running
        running += 1
        time.sleep(0.02)
        seen.append((running, api.polls, api.count("sendMessage")))
        running -= 1
        return say_back(incoming)

    first = FakeTalker()
    with serving(api, first):
        for chat in range(100, 112):
            api.say(chat, "egg")
        api.wait_for(12)
    api.polls = 0
    api.calls.clear()
    second = FakeTalker(answer)
    second.inbox = dict(first.inbox)
    with serving(api, second):
        api.wait_for(24)
    assert seen == [(1, 0, 0)] * 12


def test_what_was_unsent_is_sent_at_the_next_start(api: BotApi) -> None:
    talker = FakeTalker()
    api.know(ME)
    for message in (Outgoing("tg:7", "noted"), Outgoing("tg:7", "done before"), REMINDER):
        talker.put(message)
    talker.states[2] = "sent"
    with serving(api, talker):
        api.wait_for(lambda: talker.states == {1: "sent", 2: "sent", 3: "sent"})
    assert [m.text for m in api.sent(ME)] == ["noted", "Time to sync"]


def test_deliveries_are_noted_before_an_answer_to_one_and_before_the_end(
    api: BotApi, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.channels.telegram_delivery._NOTE_AFTER_S", 60)
    noted: list[dict[int, str]] = []

    def answer(incoming: Incoming) -> list[Outgoing]:
        noted.append(dict(talker.refs))
        return say_back(incoming)

    talker = FakeTalker(answer)
    with serving(api, talker):
        api.say(ME, "egg")
        [reply] = api.wait_for(1, chat_id=ME)
        api.say(
            ME,
            "no, two",
            reply_to_message={
                "message_id": reply.message_id,
                "date": 1,
                "chat": {"id": ME, "type": "private"},
            },
        )
        api.wait_for(2, chat_id=ME)
        assert noted == [{}, {1: str(reply.message_id)}]
    assert talker.states == {1: "sent", 2: "sent"}


@pytest.mark.parametrize("error", [RuntimeError("no such food"), StopIteration("none")])
def test_a_turn_that_breaks_is_told_and_tried_again_at_the_next_start(api: BotApi, error: Exception) -> None:
    broken = True

    def answer(incoming: Incoming) -> list[Outgoing]:
        if broken and incoming.text == "egg":
            raise error
        return say_back(incoming)

    talker = FakeTalker(answer)
    with serving(api, talker):
        api.say(ME, "egg")
        [told] = api.wait_for(1, chat_id=ME)
        api.say(ME, "apple")
        api.wait_for(2, chat_id=ME)
    assert "went wrong" in told.text
    [(update_id, why)] = talker.failures
    assert update_id == "tg:1000"
    assert type(error).__name__ in why
    broken = False
    with serving(api, talker):
        api.wait_for(3, chat_id=ME)
    assert [i.text for i in talker.received] == ["apple", "egg"]


@pytest.mark.parametrize("method", ["getFile", "download"])
def test_a_file_is_fetched_again_when_that_fails(api: BotApi, method: str) -> None:
    talker = FakeTalker()
    api.fault(method, Fault("500"), Fault("drop_before"))
    with serving(api, talker):
        api.document(ME, "day1.csv", b"time,mmol\n")
        api.wait_for(1, chat_id=ME)
    assert talker.received[0].file is not None
    assert talker.received[0].file.data == b"time,mmol\n"


def test_a_file_that_cannot_be_fetched_is_told_and_comes_when_it_can(api: BotApi) -> None:
    talker = FakeTalker()
    api.fault("download", *[Fault("500")] * 5)
    with serving(api, talker):
        api.document(ME, "day1.csv", b"time,mmol\n")
        [told] = api.wait_for(1, chat_id=ME)
        api.say(ME, "egg")
        api.wait_for(3, chat_id=ME)
    assert "couldn't fetch your file" in told.text
    assert {i.text for i in talker.received if i.file is None} == {"egg"}
    assert [i.file.data for i in talker.received if i.file] == [b"time,mmol\n"]


def test_a_file_that_is_not_there_in_the_end_is_asked_for_once_more(api: BotApi) -> None:
    talker = FakeTalker()
    api.fault("download", *[Fault("500")] * 12)
    with serving(api, talker):
        api.document(ME, "day1.csv", b"time,mmol\n")
        told = [m.text for m in api.wait_for(2, chat_id=ME)]
    assert "keep trying" in told[0]
    assert "send it once more" in told[1]
    with serving(api, talker):
        api.wait_for(3, chat_id=ME)
    assert talker.received[0].file is not None


def test_a_turn_waits_for_a_database_that_cannot_be_used(
    api: BotApi, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What wants to note something in it waits, too, and nothing of it needs another start."""
    monkeypatch.setattr("bot.channels.store_patience.PAUSES_S", (0.02,))
    left = {"turn": 3, "unsure": 2}

    def use(what: str) -> None:
        if left[what]:
            left[what] -= 1
            raise StoreError("database is locked")

    def answer(incoming: Incoming) -> list[Outgoing]:
        use("turn")
        return say_back(incoming)

    talker = FakeTalker(answer)
    noted = talker.unsure
    talker.unsure = lambda id, why: (use("unsure"), noted(id, why))[1]  # type: ignore[method-assign]
    api.fault("sendMessage", *[Fault("drop_before")] * 3)
    with serving(api, talker):
        api.say(ME, "egg")
        api.wait_for(lambda: talker.states == {1: "unsure"})
        api.say(ME, "apple")
        api.wait_for(1, chat_id=ME)
    assert left == {"turn": 0, "unsure": 0}
    assert talker.failures == []


# --- starting and stopping -------------------------------------------------------------------------------


def test_the_token_is_refused(api: BotApi) -> None:
    channel = TelegramChannel(FakeTalker(), token="1:x", api_url=api.url, runner_factory=HandRunner)
    with pytest.raises(BadSetting, match="TABLENOTE_TOKEN") as caught:
        channel.run()
    assert "1:x" not in str(caught.value)


def test_no_token() -> None:
    with pytest.raises(BadSetting, match="TABLENOTE_TOKEN"):
        TelegramChannel(FakeTalker(), token="", runner_factory=HandRunner)


def test_the_token_is_revoked_while_the_bot_polls(api: BotApi) -> None:
    """An update ends the poll that is under way; the next one is refused."""
    with serving(api, FakeTalker(), fails=BadSetting) as runner:
        api.wait_for(lambda: api.polls and api.count("setMyCommands"))
        api.token = "654321:another"
        api.say(ME, "egg")
        api.wait_for(lambda: not runner.started.is_set())


def test_the_token_is_revoked_while_the_bot_speaks(api: BotApi) -> None:
    api.know(ME)
    talker = FakeTalker()
    with serving(api, talker, fails=BadSetting) as runner:
        api.wait_for(lambda: api.polls and api.count("setMyCommands"))
        api.token = "654321:another"
        talker.due = [REMINDER]
        runner.fire()
        api.wait_for(lambda: not runner.started.is_set())
    assert talker.states == {1: "unsent"}


def test_polling_goes_on_after_errors(api: BotApi) -> None:
    api.fault("getUpdates", Fault("502"))
    with serving(api, FakeTalker()):
        api.say(ME, "egg")
        api.wait_for(1, chat_id=ME)


def test_a_bot_that_starts_without_network_waits_and_can_be_stopped(api: BotApi) -> None:
    api.fault("getMe", Fault("drop_before"))
    api.go_away()
    starting = threading.Timer(0.2, api.come_back)
    starting.start()
    with serving(api, FakeTalker()):
        api.say(ME, "egg")
        api.wait_for(1, chat_id=ME)
    starting.join()


def test_the_token_is_in_no_log(api: BotApi, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.INFO)
    api.fault("sendMessage", Fault("500"), Fault("drop_before"))
    with serving(api, FakeTalker()):
        api.say(ME, "egg")
        api.say(ME, "apple")
        api.wait_for(1, chat_id=ME)
    assert "tried again" in caplog.text
    assert TOKEN not in caplog.text
