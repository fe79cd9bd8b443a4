"""The tour: a meal, a file, a curve; its invented sample is marked, and goes without a trace."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
from sqlalchemy import select

from bot.model.messages import Post
from bot.reply import tour as said
from bot.store.tables import metadata
from tests.talk import MORNING, Talk, readings_csv, talking

SPOKEN = ("inbox", "outbox", "first_hour", "reminders", "alembic_version")
"""What was said stays in the chat, and is no conclusion."""


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as talk:
        yield talk


def rows(talk: Talk) -> dict[str, list[tuple[object, ...]]]:
    with talk.app.store.read() as tx:
        connection = tx.log._connection
        return {
            name: [tuple(row) for row in connection.execute(select(table))]
            for name, table in metadata.tables.items()
            if name not in SPOKEN
        }


def test_one_meal_one_file_one_curve(talk: Talk) -> None:
    talk.say("/start")
    assert "First a meal" in talk.press("Two-minute tour")
    assert "Then readings" in talk.note("2 slices rye toast with butter")
    talk.press("Use an invented file")
    curve = talk.heard[-2]
    assert curve.picture is not None
    assert curve.picture.kind == "curve"
    assert "evenness" in curve.text
    assert said.MARKED in curve.text
    assert talk.app.draw(curve.picture, "local").png
    assert len(talk.meals()) == 2


def test_the_sample_goes_without_a_trace(talk: Talk) -> None:
    talk.say("/start")
    talk.note("2 slices rye toast with butter")
    before = rows(talk)
    talk.press("Two-minute tour")
    talk.press("Invent a meal")
    talk.press("Use an invented file")
    assert rows(talk) != before
    assert said.MARKED in talk.say("average day")
    assert said.SAMPLE_GONE in talk.press("Remove the sample")
    assert rows(talk) == before
    assert said.NO_SAMPLE in talk.press("Remove the sample")
    assert "no readings" in talk.say("average day")
    assert "evenness" not in talk.say("best and worst so far")


@pytest.mark.parametrize("how", ["file", "typed", "posted"])
def test_real_readings_put_the_sample_out(talk: Talk, how: str) -> None:
    talk.say("tour")
    talk.press("Invent a meal")
    talk.press("Use an invented file")
    data = readings_csv(MORNING - timedelta(hours=3), [5.0] * 36)
    if how == "file":
        assert said.SAMPLE_GONE in talk.file(data)
    elif how == "typed":
        assert said.SAMPLE_GONE in talk.say("5.4 at 6:40")
    else:
        talk.app.take_post(Post("local", data.encode()))
    assert talk.meals() == []
    with talk.app.store.read() as tx:
        assert tx.readings.count("local") == (1 if how == "typed" else 36)
        assert tx.first_hour.sample("local") is None


def test_no_reminder_looks_for_the_sensor_of_the_sample(talk: Talk) -> None:
    talk.say("tour")
    talk.press("Invent a meal")
    talk.press("Use an invented file")
    with talk.app.store.read() as tx:
        kinds = {reminder.kind for reminder in tx.reminders.pending("local")}
    assert not kinds & {"sync", "check", "sensor end"}


def test_a_sample_that_nobody_takes_out_goes_after_a_day(talk: Talk) -> None:
    talk.say("tour")
    talk.press("Invent a meal")
    talk.press("Use an invented file")
    talk.at("06:30", days=1).tick()
    assert len(talk.meals()) == 1
    talk.at("08:30", days=1).tick()
    assert talk.meals() == []
    with talk.app.store.read() as tx:
        assert tx.readings.count("local") == 0


def test_pressed_twice_it_is_there_once(talk: Talk) -> None:
    talk.say("tour")
    for _ in range(2):
        talk.press("Invent a meal")
    for _ in range(2):
        talk.press("Use an invented file")
    assert len(talk.meals()) == 1
    with talk.app.store.read() as tx:
        assert len(tx.readings.imports("local")) == 1


def test_who_has_readings_needs_no_sample(talk: Talk) -> None:
    talk.file(readings_csv(MORNING - timedelta(hours=3), [5.0] * 36))
    talk.say("show me the tour")
    assert said.HAS_READINGS in talk.send(press="tour:sample", message_id="bot-1")
    assert talk.meals() == []


def test_the_tour_ends_and_a_question_waits_for_its_end(talk: Talk) -> None:
    talk.say("/start")
    talk.press("Two-minute tour")
    asked = len(talk.heard)
    talk.at("08:30").note("an apple")
    assert len(talk.heard) == asked + 2  # the note and the next step
    assert said.ENDED in talk.press("End the tour")
    talk.at("09:40").note("2 slices of toast with 10 g butter")
    assert "When do you usually sleep?" in talk.heard[-1].text


def test_a_real_file_in_the_tour_is_its_curve(talk: Talk) -> None:
    talk.say("tour")
    talk.at("09:30").note("60 g oats at 7:00")
    curve = talk.file(readings_csv(MORNING - timedelta(hours=2), [5.0] * 25 + [6.0] * 30))
    assert said.STEP_CURVE in curve
    assert said.MARKED not in curve
