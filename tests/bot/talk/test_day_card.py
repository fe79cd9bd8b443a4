"""The card of the day: one a waking day, pinned, edited silently, only where it shows something else."""

from collections.abc import Iterator
from datetime import UTC, datetime, time, timedelta

import pytest

from bot.model.messages import Outgoing, Post
from bot.reminders.days import waking_end, waking_start
from bot.reminders.rules import Quiet
from tests.talk import MORNING, VIENNA, Talk, readings_csv, talking

NIGHT, BY_DAY, NONE = Quiet(time(23), time(6, 30)), Quiet(time(8), time(15)), Quiet(time(0), time(0))


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking(cards=True) as opened:
        opened.at("8:00").say("quiet from 23:00 to 6:30")
        yield opened


def cards(talk: Talk) -> list[Outgoing]:
    return [message for message in talk.heard if message.pinned]


def test_the_first_note_of_a_day_brings_a_silent_pinned_card(talk: Talk) -> None:
    assert cards(talk) == []
    talk.say("60 g oats and 200 ml milk at 7:10")
    [card] = cards(talk)
    assert card.text.splitlines() == ["Mon 2 Mar", "07:10 breakfast: oats 60 g, milk 206 g"]
    assert (card.silent, card.kind, card.unpins) == (True, "message", None)
    assert [button.label for button in card.buttons] == ["07:10 breakfast"]


def test_it_is_edited_once_a_turn_and_only_when_it_shows_something_else(talk: Talk) -> None:
    talk.say("60 g oats at 7:10")
    talk.say("what can you do?")
    talk.say("thanks")
    assert len(cards(talk)) == 1
    talk.at("12:40").note("200 g cooked rice at 12:30 and walked 15 min after")
    first, second = cards(talk)
    assert (second.replaces, second.kind) == (f"bot-{first.id}", "edit")
    assert [line[:5] for line in second.text.splitlines()[1:]] == ["07:10", "12:30", "12:30"]


def test_a_sync_moves_its_last_line_only(talk: Talk) -> None:
    talk.say("60 g oats at 7:10")
    talk.at("9:00").say("synced")
    assert cards(talk)[-1].text.splitlines()[-1] == "Last sync 09:00: readings are safe until 17:00."
    assert "synced" not in cards(talk)[-1].text


def test_a_new_sensor_says_until_when_it_keeps_readings(talk: Talk) -> None:
    talk.say("new sensor on at 7:00")
    assert cards(talk)[-1].text.splitlines()[1:] == [
        "07:00 sensor on",
        "Sensor on since 07:00: readings are safe until 15:00.",
    ]


def test_scores_come_with_a_file(talk: Talk) -> None:
    talk.say("60 g oats and 200 ml milk at 7:10")
    talk.at("10:30")
    start = datetime(2026, 3, 2, 5, 0, tzinfo=VIENNA)
    talk.file(readings_csv(start, [5.0] * 26 + [5.5, 6.5, 7.0, 7.2, 7.0, 6.5, 6.0] + [5.2] * 30))
    [score] = [line for line in cards(talk)[-1].text.splitlines() if "breakfast" in line]
    assert "; evenness " in score


def test_posted_readings_bring_scores_too(talk: Talk) -> None:
    talk.say("60 g oats and 200 ml milk at 7:10")
    talk.at("10:30")
    data = readings_csv(datetime(2026, 3, 2, 5, 0, tzinfo=VIENNA), [5.0] * 64).encode()
    taken = talk.app.take_post(Post("local", data, "mmol/L"))
    assert taken is not None
    talk._hear(taken[1])
    assert "; evenness 100" in cards(talk)[-1].text


def test_taking_all_back_leaves_a_card_that_says_so(talk: Talk) -> None:
    talk.say("60 g oats at 7:10")
    talk.say("undo")
    assert cards(talk)[-1].text == "Mon 2 Mar\nNothing is noted."


def test_the_next_day_has_a_card_of_its_own_and_the_old_one_is_unpinned(talk: Talk) -> None:
    talk.say("60 g oats at 7:10")
    talk.at("0:40", 1).note("a banana at 00:30")  # still the same waking day
    talk.at("5:30", 1).note("2 slices toast at 5:25")  # before the quiet hours end, and a new day
    first, second, third = cards(talk)
    assert second.replaces == f"bot-{first.id}"
    assert "00:30" in second.text
    assert (third.replaces, third.unpins) == (None, f"bot-{second.id}")
    assert third.text.splitlines()[:2] == ["Tue 3 Mar", "05:25 breakfast: toast 60 g"]


def test_a_card_on_its_way_is_left_alone_and_caught_up_with(talk: Talk) -> None:
    talk.say("60 g oats at 7:10")
    [card] = cards(talk)
    talk.app.sent = lambda refs: None  # type: ignore[method-assign]  # nothing arrives for a while
    talk.note("an apple at 7:30")
    on_its_way = cards(talk)[-1]
    talk.note("a coffee at 7:35")
    assert cards(talk) == [card, on_its_way]
    del talk.app.sent
    assert on_its_way.id is not None
    talk.app.sent({on_its_way.id: f"bot-{card.id}"})
    talk.say("what can you do?")
    assert "07:35" in cards(talk)[-1].text
    assert cards(talk)[-1].replaces == f"bot-{card.id}"


def test_one_that_perhaps_never_came_is_made_anew(talk: Talk) -> None:
    sent, talk.app.sent = talk.app.sent, lambda refs: None  # type: ignore[method-assign]
    talk.say("60 g oats at 7:10")
    [card] = cards(talk)
    talk.app.sent = sent  # type: ignore[method-assign]
    assert card.id is not None
    talk.app.unsure(card.id, "timed out")
    talk.say("what can you do?")
    assert (cards(talk)[-1].replaces, cards(talk)[-1].text) == (None, card.text)


def test_an_edit_that_failed_leaves_the_card_that_is_known(talk: Talk) -> None:
    talk.say("60 g oats at 7:10")
    [card] = cards(talk)
    sent, talk.app.sent = talk.app.sent, lambda refs: None  # type: ignore[method-assign]
    talk.note("an apple at 7:30")
    talk.app.sent = sent  # type: ignore[method-assign]
    edit = cards(talk)[-1]
    assert edit.id is not None
    talk.app.not_sent(edit.id, "refused")
    talk.note("a coffee at 7:35")
    assert cards(talk)[-1].replaces == f"bot-{card.id}"


def test_it_can_be_switched_off_and_on(talk: Talk) -> None:
    assert "/card off ends that" in talk.say("/card")
    talk.say("60 g oats at 7:10")
    assert "no more cards" in talk.say("/card off")
    assert talk.heard[-1].unpins == f"bot-{cards(talk)[0].id}"
    talk.note("an apple at 7:30")
    assert len(cards(talk)) == 1
    assert "/card on" in talk.say("/card")
    talk.say("/card on")
    assert "07:30" in cards(talk)[-1].text
    assert cards(talk)[-1].replaces is None


def test_erasing_ends_it(talk: Talk) -> None:
    talk.say("60 g oats at 7:10")
    talk.say("/erase")
    talk.press(talk.heard[-1].buttons[0].label)
    assert len(cards(talk)) == 1
    with talk.app.store.read() as tx:
        assert tx.cards.get("local") is None


def test_many_long_notes_stay_within_one_message(talk: Talk) -> None:
    for hour in range(8, 22):
        talk.at(f"{hour}:30")
        foods = ", ".join(
            f"{n} g {food}" for n, food in enumerate(("oats", "milk", "rice", "peas") * 10, 100)
        )
        talk.note(f"{foods} at {hour}:15")
    assert len(cards(talk)[-1].text) <= 4096
    assert "21:15" in cards(talk)[-1].text


def test_without_a_messenger_there_is_none() -> None:
    with talking() as talk:
        talk.say("60 g oats at 7:10")
        assert cards(talk) == []


@pytest.mark.parametrize(
    ("quiet", "at", "start", "end"),
    [
        (NIGHT, "2026-03-02 07:00", "2026-03-02 02:45", "2026-03-03 02:45"),
        (NIGHT, "2026-03-02 02:44", "2026-03-01 02:45", "2026-03-02 02:45"),
        (BY_DAY, "2026-03-02 20:00", "2026-03-02 11:30", "2026-03-03 11:30"),
        (BY_DAY, "2026-03-03 06:00", "2026-03-02 11:30", "2026-03-03 11:30"),
        (NONE, "2026-03-02 00:00", "2026-03-02 00:00", "2026-03-03 00:00"),
        (NIGHT, "2026-03-29 12:00", "2026-03-29 03:00", "2026-03-30 02:45"),  # 02:45 does not exist
        (NIGHT, "2026-10-25 12:00", "2026-10-25 02:45", "2026-10-26 02:45"),
    ],
)
def test_a_waking_day_runs_from_the_middle_of_a_night_to_the_next(
    quiet: Quiet, at: str, start: str, end: str
) -> None:
    moment, begins, ends = (
        datetime.fromisoformat(stamp).replace(tzinfo=VIENNA) for stamp in (at, start, end)
    )
    assert waking_start(moment, quiet, VIENNA) == begins.astimezone(UTC)
    assert waking_end(begins, quiet, VIENNA) == ends.astimezone(UTC)


def test_between_shifts_a_waking_day_is_at_least_half_a_day() -> None:
    assert waking_end(MORNING.replace(hour=2), BY_DAY, VIENNA) == MORNING.replace(hour=11, minute=30) + (
        timedelta(days=1)
    )
