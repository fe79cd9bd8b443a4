"""Routines in the talk: kept, assumed and said so once, corrected for a day, taken back, counted."""

from datetime import timedelta

import pytest

from bot.frames.levers import Around, assumed_levers, find_levers
from bot.model.entries import Meal
from tests.talk import MORNING, Talk, talking

TUESDAY = MORNING + timedelta(days=1)


@pytest.fixture
def talk():  # type: ignore[no-untyped-def]
    with talking(start=TUESDAY) as one:
        one.say("weekdays I sit at the desk from 9 to half 12")
        one.say("every evening I bathe the twins from 6:30")
        one.say("train at noon on Tuesdays and Saturdays")
        yield one


def levers(talk: Talk) -> list[dict[str, float]]:
    meals = talk.meals()
    with talk.app.store.read() as tx:
        person = tx.people.get("local")
        assert person is not None
        around = Around.of(tx, person, meals[0].at, meals[-1].at)
    found = []
    for one in meals:
        assert isinstance(one.entry, Meal)
        found.append(find_levers(around, one.at, one.entry))
        assert assumed_levers(around, one.at, one.entry) <= set(found[-1])
    return found


def test_how_it_counts_is_said_when_it_is_told() -> None:
    with talking() as one:
        said = one.say("train at noon on Tuesdays and Saturdays")
        assert "I'll count that as exercise before or after a meal on those days" in said
        assert "“no training today” takes it out for one." in said
        assert "so I don't count it" in one.say("every Saturday I am at the market stall from 8 to 13")


def test_it_is_assumed_beside_meals_and_said_once(talk: Talk) -> None:
    first = talk.at("8:30", 1).say("60 g oats at 8:15")
    assert "I count desk at 09:00 as sitting, as you told me; if it was not so, say “no desk today”." in first
    talk.at("13:30", 1).say("200 g rice at 13:00")
    assert levers(talk) == [{"sitting after": 4.0}, {"exercise before": 1.0}]
    assert "I count" not in talk.at("8:30", 2).say("60 g oats at 8:15")


def test_no_training_today_counts_for_that_day_and_can_be_undone(talk: Talk) -> None:
    talk.at("13:30", 1).say("200 g rice at 13:00")
    said = talk.say("no training today")
    assert said == "Noted: no training at 12:00; on other days I count it as before."
    assert levers(talk) == [{}]
    assert talk.say("skipped training") == "I have that already."
    assert talk.say("undo") == "Taken back: no training, 12:00."
    assert levers(talk) == [{"exercise before": 1.0}]
    assert talk.press("Put back").startswith("Put back: no training")
    assert levers(talk) == [{}]


def test_the_evening_and_the_desk(talk: Talk) -> None:
    talk.at("20:00", 1).say("200 g rice at 18:00")
    trained = {"exercise hours before": 1.0}
    assert levers(talk) == [{"chores after": 1.0, **trained}]
    assert talk.say("didn't bathe the twins tonight").startswith("Noted: no bathing twins at 18:30")
    assert talk.say("worked standing today").startswith("Noted: no desk at 09:00")
    assert levers(talk) == [trained]
    assert talk.at("8:30", 4).say("no training yesterday").startswith("By what you told me it isn't for")


def test_what_was_noted_takes_the_place_of_what_is_assumed(talk: Talk) -> None:
    talk.at("13:30", 1).say("200 g rice at 13:00")
    talk.say("ran 45 min at 12:10")
    assert levers(talk) == [{"exercise before": 3.0}]


def test_days_before_it_was_told_are_as_noted(talk: Talk) -> None:
    talk.at("8:30", 1).say("60 g oats at 8:15 yesterday")
    assert levers(talk) == [{}]


def test_without_a_routine_the_words_mean_what_they_did() -> None:
    with talking() as one:
        assert one.say("no training today").startswith("I keep only what happened")
        assert one.logged("skipped") == []
