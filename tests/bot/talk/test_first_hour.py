"""The first hour: what a newcomer is told and asked, and that it never stands in the way."""

from collections.abc import Iterator
from datetime import datetime, timedelta

import pytest

from bot.channels.saying import find_button
from bot.reply import first_hour as said
from tests.talk import MORNING, Talk, readings_csv, talking

QUESTIONS = (said.ASK_UNIT, said.ASK_ZONE, said.ASK_NIGHTS, said.ASK_SENSOR, said.ASK_READINGS)


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as talk:
        yield talk


def asked(talk: Talk) -> list[str]:
    return [question for message in talk.heard for question in QUESTIONS if question in message.text]


def person(talk: Talk):
    with talk.app.store.read() as tx:
        return tx.people.get("local")


def test_the_hello_is_three_lines_with_the_caution_and_then_one_question(talk: Talk) -> None:
    talk.say("/start")
    hello, first = talk.heard
    assert len(hello.text.splitlines()) == 3
    assert all(
        word in hello.text for word in ("not a medical device", "pregnant", "eating disorder", "clinician")
    )
    assert first.text == said.ASK_UNIT
    assert first.buttons[-1].label == said.LABEL_SKIP


def test_four_questions_by_buttons_one_message_each_and_then_no_more(talk: Talk) -> None:
    talk.say("/start")
    talk.press("mg/dL, like 98")
    assert talk.heard[-1].replaces is not None  # the question becomes its answer and the next one
    talk.press("22:00 to 06:00")
    talk.press("Put on just now")
    talk.press("A file sent here")
    assert asked(talk) == [said.ASK_UNIT, said.ASK_NIGHTS, said.ASK_SENSOR, said.ASK_READINGS]
    assert said.ALL_ASKED in talk.heard[-1].text
    assert person(talk).unit == "mg/dL"
    assert (person(talk).quiet_from.hour, person(talk).quiet_to.hour) == (22, 6)
    assert [one.entry.what for one in talk.logged("sensor")] == ["started"]
    talk.at("12:00").say("toast and butter at 11:30")
    talk.say("/start")
    assert len(asked(talk)) == 4


def test_everything_can_be_skipped(talk: Talk) -> None:
    before = None
    talk.say("/start")
    before = person(talk)
    for _ in range(4):
        talk.press("Skip")
    assert said.ALL_ASKED in talk.heard[-1].text
    assert person(talk) == before
    assert not talk.logged("sensor")


@pytest.mark.parametrize(
    ("words", "unit"),
    [
        ("mmol", "mmol/L"),
        ("mg/dl", "mg/dL"),
        ("in mg/dL", "mg/dL"),
        ("104 at 6:40", "mg/dL"),
        ("5.4 at 6:40", "mmol/L"),
    ],
)
def test_the_unit_is_learnt_from_a_word_or_the_first_value(talk: Talk, words: str, unit: str) -> None:
    talk.say("/start")
    talk.say(words)
    assert person(talk).unit == unit
    assert asked(talk)[:2] == [said.ASK_UNIT, said.ASK_NIGHTS]
    assert len(talk.logged("reading")) == any(char.isdigit() for char in words)


def test_a_first_file_answers_three_of_them(talk: Talk) -> None:
    talk.say("/start")
    talk.file(readings_csv(MORNING - timedelta(hours=3), [5.0] * 36))
    for label in ("Skip",) * asked(talk).count(said.ASK_NIGHTS):
        talk.press(label)
    talk.at("13:00").say("apple")
    assert asked(talk) == [said.ASK_UNIT, said.ASK_NIGHTS]


@pytest.mark.parametrize(
    "words",
    [
        "8:30 to 15:30",
        "I work nights, I sleep 8:30 to 15:30",
        "I sleep 8:30-15:30",
        "by day, from 8:30 until 15:30",
        "my quiet hours are 8:30 to 15:30",
    ],
)
def test_a_night_worker_says_when_they_sleep(talk: Talk, words: str) -> None:
    talk.say("/start")
    talk.say("mmol")
    talk.say(words)
    assert f"{person(talk).quiet_from:%H:%M}-{person(talk).quiet_to:%H:%M}" == "08:30-15:30"
    assert asked(talk)[-1] == said.ASK_SENSOR


def test_shifts_are_taken_by_their_names(talk: Talk) -> None:
    talk.say("/start")
    talk.say("mmol")
    assert "on each shift" in talk.say("I work shifts")
    talk.say("early 20:30-4:00, late 1:00-9:00")
    with talk.app.store.read() as tx:
        assert [(s.name, f"{s.quiet_from:%H:%M}-{s.quiet_to:%H:%M}") for s in tx.shifts.all("local")] == [
            ("early", "20:30-04:00"),
            ("late", "01:00-09:00"),
        ]
    assert asked(talk)[-1] == said.ASK_SENSOR
    talk.say("early shift")
    assert person(talk).quiet_from.hour == 20


def test_since_when_a_sensor_is_on_is_noted(talk: Talk) -> None:
    talk.say("/start")
    talk.say("skip")
    talk.say("pass")
    talk.say("since yesterday 19:00")
    (sensor,) = talk.logged("sensor")
    assert sensor.at == datetime(2026, 3, 1, 19, 0, tzinfo=MORNING.tzinfo)
    assert asked(talk)[-1] == said.ASK_READINGS


def test_whatever_is_written_meanwhile_is_handled_and_the_question_waits(talk: Talk) -> None:
    talk.say("/start")
    talk.say("2 slices rye toast and an egg")
    talk.say("walked 10 min")
    assert {logged.kind for logged in talk.logged("meal", "activity")} == {"meal", "activity"}
    assert asked(talk) == [said.ASK_UNIT]
    talk.at("08:30").say("an apple")
    assert asked(talk) == [
        said.ASK_UNIT,
        said.ASK_NIGHTS,
    ]  # the one passed over in silence is not asked again
    assert len(talk.meals()) == 2
    talk.press("mg/dL, like 98")  # and its button still works
    assert person(talk).unit == "mg/dL"


def test_no_question_stands_beside_another(talk: Talk) -> None:
    talk.say("/start")
    talk.at("08:30")
    assert talk.say("some cooked rice").rstrip().endswith("?")
    assert asked(talk) == [said.ASK_UNIT]


def test_nothing_is_asked_after_the_first_day_or_of_who_never_began(talk: Talk) -> None:
    talk.say("an apple")
    assert asked(talk) == []
    talk.say("/start")
    talk.at("08:00", days=1).say("an apple")
    talk.say("mmol")
    assert asked(talk) == [said.ASK_UNIT]
    with talking() as known:
        known.say("an apple")
        known.at("08:00", days=3).say("/start")
        assert asked(known) == []


def test_the_clock_is_asked_where_the_messenger_is_elsewhere(talk: Talk) -> None:
    talk.send(text="/start", language="en-GB")
    assert [button.label for button in talk.heard[-1].buttons] == [
        "07:00 Vienna", "06:00 London", "Another time", "Skip",
    ]  # fmt: skip
    talk.press("06:00 London")
    assert person(talk).zone.key == "Europe/London"
    assert asked(talk) == [said.ASK_ZONE, said.ASK_UNIT]


def test_a_place_can_be_said_when_asked_and_before(talk: Talk) -> None:
    talk.send(text="/start", language="und")
    talk.press("Another time")
    talk.say("I'm in Lisbon")
    assert person(talk).zone.key == "Europe/Lisbon"
    with talking() as other:
        other.send(text="/start", language="und")
        other.press("Skip")
        other.say("switch to mg/dL")
        other.press("I work shifts")
        other.press("Skip")
        other.press("Not yet")
        assert asked(other) == [said.ASK_ZONE, said.ASK_UNIT, said.ASK_NIGHTS, said.ASK_SENSOR]
        assert said.HOW_ANY in other.heard[-1].text  # four is the most; how readings come is told instead


def test_what_was_set_before_it_was_asked_is_not_asked(talk: Talk) -> None:
    talk.say("/start")
    talk.say("I sleep 17:30 to 0:45")
    talk.say("new sensor on at 6:30")
    talk.say("mmol")
    assert asked(talk) == [said.ASK_UNIT, said.ASK_READINGS]


def test_an_open_question_of_another_kind_goes_first(talk: Talk) -> None:
    talk.say("/start")
    talk.say("mmol")
    talk.say("some cooked rice at 6:30")
    found = find_button(talk.heard, "Fix time")
    assert found is not None
    talk.press("Fix time")
    talk.say("6:10 to 6:20")
    assert person(talk).quiet_from.hour == 23
