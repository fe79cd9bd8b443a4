"""On the day a trial says which arm is due: at the meal's own time, not in quiet hours, once, as wished."""

from collections.abc import Iterator
from datetime import time

import pytest

from bot.reminders.trials import usual_clock
from tests.talk import Talk, talking

BREAKFAST = "porridge with 60 g oats, 200 ml milk and a banana"


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        one.at("7:00").say("new sensor on, left arm")
        one.at("7:20").note(BREAKFAST)
        one.at("19:00").say("test porridge with and without a walk")
        one.press("Agree")
        yield one


def due_at(talk: Talk) -> str | None:
    with talk.app.store.read() as tx:
        found = [r.due_at for r in tx.reminders.pending("local") if r.kind == "trial"]
        zone = tx.people.get("local").zone
    return f"{found[0].astimezone(zone):%d %H:%M}" if found else None


def test_half_an_hour_before_the_usual_time_once_a_day(talk: Talk) -> None:
    assert due_at(talk) == "03 06:50"
    said = talk.at("6:50", 1).tick()
    assert "Test, pair 1 of 1" in said
    assert "You agreed to this test" in said
    assert due_at(talk) == "04 06:50", "once a day, eaten or not"
    assert "Test" not in talk.at("7:10", 1).tick()


def test_no_reminder_after_the_meal_was_eaten(talk: Talk) -> None:
    talk.at("6:30", 1).note(BREAKFAST)
    assert due_at(talk) == "04 06:30", "6:00 by the earlier of two times, which is quiet"


def test_the_time_follows_the_last_meals(talk: Talk) -> None:
    for day in (1, 2, 3):
        talk.at("9:15", day).note(BREAKFAST)
        talk.say("synced")
    assert due_at(talk) == "06 08:45"


def test_quiet_hours_move_it_to_their_end(talk: Talk) -> None:
    talk.say("/quiet 22:00-07:05")
    assert due_at(talk) == "03 07:05"


def test_it_goes_with_the_reminders(talk: Talk) -> None:
    for said, then in (("/remind less", None), ("/remind off", None), ("/remind on", "03 06:50")):
        talk.say(said)
        assert due_at(talk) == then


def test_put_off_by_its_button_it_comes_the_next_day(talk: Talk) -> None:
    talk.at("6:50", 1).tick()
    assert "The lot stays" in talk.press("Test not today")
    assert due_at(talk) == "04 06:50"
    talk.say("undo")
    assert due_at(talk) == "04 06:50", "said once today already"


def test_stopped_it_says_no_more(talk: Talk) -> None:
    talk.say("stop the test")
    assert due_at(talk) is None
    talk.say("undo")
    assert due_at(talk) == "03 06:50"


def test_missed_while_nobody_ran_it_is_said_late(talk: Talk) -> None:
    said = talk.at("8:00", 1).tick()
    assert "Test, pair 1" in said
    assert "(I meant to say this" in said


def test_shifts_have_their_own_times(talk: Talk) -> None:
    """A week of early shifts is no guide to the first late one, if late ones were noted before."""
    talk.say("/shift late 01:00-08:30")
    talk.say("/shift early 20:30-04:00")
    talk.say("late shift from today")
    for day in (1, 2):
        talk.at("9:15", day).note(BREAKFAST)
        talk.say("synced")
    talk.at("12:00", 2).say("early shift from tomorrow")
    for day in (3, 4, 5):
        talk.at("4:20", day).note(BREAKFAST)
        talk.say("synced")
    assert due_at(talk) == "08 04:00"
    talk.at("12:00", 5).say("late shift from tomorrow")
    assert due_at(talk) == "08 08:45"


@pytest.mark.parametrize(
    ("clocks", "then"),
    [
        ([], time(7, 30)),
        ([time(6)], time(6)),
        ([time(9), time(4, 20), time(4, 25), time(4, 30)], time(4, 25)),
    ],
)
def test_the_usual_time_is_the_middle_one_of_the_latest(clocks: list[time], then: time) -> None:
    assert usual_clock(clocks, "breakfast") == then


def test_of_several_snacks_a_day_only_the_tests_own_count() -> None:
    with talking() as talk:
        talk.at("7:00").say("new sensor on, left arm")
        talk.at("16:40").note(BREAKFAST)
        talk.at("19:00").say("test porridge with and without a walk")
        talk.press("Agree")
        talk.at("3:10", 1).note("a cheese roll")
        assert due_at(talk) == "03 16:10"
        talk.at("16:20", 1).note(BREAKFAST)
        assert due_at(talk) == "04 15:50"
