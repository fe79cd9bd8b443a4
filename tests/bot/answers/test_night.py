"""The night that is over: its readings, and the time without food around it; two meals of a day compared."""

from collections.abc import Iterator
from datetime import timedelta

import pytest

from tests.talk import MORNING, Talk, readings_csv, talking

HALF_HOURLY = [5.0] * 4 + [4.4] + [5.0] * 8 + [5.8] + [5.2] * 4
"""From 22:00 on, every half hour: lowest at 0:00, highest at 4:30."""


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        one.at("19:00").say("150 g cooked rice and 100 g chicken")
        one.at("20:30").say("black coffee")
        evening = MORNING.replace(hour=22)
        one.at("06:50", days=1).file(readings_csv(evening, HALF_HOURLY, step_min=30))
        yield one


@pytest.mark.parametrize(
    "question", ["how was my sugar overnight?", "how was last night", "what did my glucose do while I slept?"]
)
def test_a_night_is_told_by_its_readings(talk: Talk, question: str) -> None:
    said = talk.say(question)
    assert said.startswith("Last night, 00:00 to 06:00: mean ")
    assert "lowest 4.4 mmol/L at 00:00, highest 5.8 mmol/L at 04:30" in said


def test_a_sleep_that_was_noted_is_the_night(talk: Talk) -> None:
    talk.say("slept 23:00 to 4:00")
    assert talk.say("how was my night?").startswith("Your sleep, 23:00 to 04:00: ")


def test_how_long_nothing_was_eaten_is_counted_between_the_meals_around_the_night(talk: Talk) -> None:
    asked = "how long did I go without food last night?"
    assert talk.say(asked).startswith("11 h 50 min so far: nothing is noted since dinner yesterday 19:00, ")
    talk.at("07:30", days=1).say("80 g oats")
    assert talk.say(asked).startswith("12 h 30 min: from dinner yesterday 19:00, ")


def test_a_days_longest_time_without_food_is_not_told_before_a_night_is_known(talk: Talk) -> None:
    assert "Your longest time without food" not in talk.say("when do I usually eat?")
    talk.at("07:30", days=1).say("80 g oats")
    talk.clock.move_to(talk.clock.now() + timedelta(minutes=1))
    assert "as a rule the night, is 12 h 30 min." in talk.say("when do I usually eat?")


@pytest.mark.parametrize(
    "question",
    ["which was better, breakfast or lunch?", "was lunch better than breakfast today", "breakfast vs lunch"],
)
def test_two_meals_of_a_day_are_held_against_each_other(talk: Talk, question: str) -> None:
    talk.at("07:00", days=1).say("80 g oats")
    talk.at("12:00", days=1).say("120 g white bread")
    rises = (
        [5.0] * 12 + [5.2, 5.6, 6.0, 5.8, 5.5, 5.2] + [5.0] * 54 + [5.3, 6.5, 7.9, 8.2, 7.5, 6.6] + [5.1] * 24
    )
    talk.at("15:00", days=1).file(readings_csv(MORNING.replace(hour=6) + timedelta(days=1), rises))
    said = talk.say(question)
    assert "oats" in said
    assert "white bread" in said
    assert "rice" not in said


@pytest.mark.parametrize("greeting", ["hi", "Hello!", "hello mate", "hey there", "morning", "good evening"])
def test_a_greeting_is_answered(talk: Talk, greeting: str) -> None:
    assert talk.say(greeting).startswith("Hello.")
