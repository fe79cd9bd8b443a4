"""What one person may send is bounded; it is said once, and others do not notice."""

from bot.channels.telegram_limits import FILES, MESSAGES, Limits, Most
from bot.language.texts import say, speaking
from tests.bot.channels.telegram_rig import ME, FakeTalker, serving
from tests.botapi import BotApi


def test_a_flood_is_told_once_and_nothing_else_is_left_out(api: BotApi) -> None:
    talker = FakeTalker()
    with serving(api, talker, most=Most(messages=5)):
        for n in range(40):
            api.say(ME, f"{n} eggs")
        api.say(8, "apple")
        api.wait_for(1, chat_id=8)
        api.wait_for(11, chat_id=ME)
    mine = [m.text for m in api.sent(ME)]
    assert mine.count(MESSAGES) == 1
    assert sorted(mine)[1:] == sorted(f"noted {n} eggs" for n in range(10))
    assert [m.text for m in api.sent(8)] == ["noted apple"]


def test_files_are_counted_by_the_day(api: BotApi) -> None:
    talker = FakeTalker()
    with serving(api, talker, most=Most(files=2)):
        for _ in range(4):
            api.document(ME, "day.csv", b"time,mmol\n")
        api.say(ME, "egg")
        api.wait_for(4, chat_id=ME)
    assert [m.text for m in api.sent(ME)].count(FILES) == 1
    assert len([i for i in talker.received if i.file]) == 2


def test_a_minute_later_there_is_room_again_and_it_is_said_anew_after_a_while() -> None:
    passed_s = 0.0
    limits = Limits(Most(messages=5), lambda: passed_s)
    taken = [limits.refusal("tg:7", file=False) for _ in range(12)]
    assert taken == [None] * 10 + [MESSAGES] * 2
    assert [limits.is_news("tg:7", MESSAGES) for _ in range(3)] == [True, False, False]
    passed_s = 60
    assert [limits.refusal("tg:7", file=False) for _ in range(6)] == [None] * 5 + [MESSAGES]
    assert not limits.is_news("tg:7", MESSAGES)
    passed_s = 11 * 60
    assert limits.is_news("tg:7", MESSAGES)


def test_all_of_it_is_said_in_the_persons_language(api: BotApi) -> None:
    talker = FakeTalker()
    talker.speaks = "de"
    with serving(api, talker, most=Most(messages=1, files=1)):
        api.document(8, "day.csv", b"time,mmol\n")
        api.document(8, "day.csv", b"time,mmol\n")
        for n in range(4):
            api.say(ME, f"{n} eggs")
        api.wait_for(3, chat_id=ME)
        api.wait_for(2, chat_id=8)
        api.say(-5, "hello")
        api.wait_for(1, chat_id=-5)
    with speaking("de"):
        said = [say(text) for text in (MESSAGES, FILES)]
    assert not {MESSAGES, FILES} & {*said}
    assert said[0] in [m.text for m in api.sent(ME)]
    assert said[1] in [m.text for m in api.sent(8)]
    assert "privaten Chats" in api.sent(-5)[0].text


def test_so_is_that_a_bot_is_private(api: BotApi) -> None:
    talker = FakeTalker()
    talker.speaks = "de"
    with serving(api, talker, allowed=frozenset({8})):
        api.say(ME, "hello")
        [told] = api.wait_for(1, chat_id=ME)
    assert told.text.startswith("Dieser Bot ist privat.")
    assert str(ME) in told.text
