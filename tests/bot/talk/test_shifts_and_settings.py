from collections.abc import Iterator
from datetime import timedelta

import pytest

from bot.model.zones import find_zones
from tests.bot.reminders.test_planning import due, sync
from tests.talk import Talk, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


def person(talk: Talk):
    with talk.app.store.read() as tx:
        return tx.people.get("local")


@pytest.mark.parametrize(
    "words", ["stop reminding me", "Stop the reminders.", "no more reminders", "/remind off"]
)
def test_reminders_end_when_asked_to_and_come_back(talk: Talk, words: str) -> None:
    sync(talk)
    talk.at("08:00").say("100 g white bread")
    assert "/remind on" in talk.say(words)
    assert due(talk) == []
    talk.say("reminders on")
    assert due(talk) == [("02 10:00", "check"), ("02 14:00", "sync")]


@pytest.mark.parametrize("words", ["remind me less", "fewer reminders", "too many reminders!"])
def test_fewer_are_those_before_readings_are_lost(talk: Talk, words: str) -> None:
    sync(talk)
    talk.at("08:00").say("100 g white bread")
    assert "/remind on" in talk.say(words)
    assert due(talk) == [("02 14:00", "sync")]


@pytest.mark.parametrize(
    "words", ["delete everything", "Please delete all my data.", "forget me", "erase my data"]
)
def test_wishing_everything_gone_asks_first(talk: Talk, words: str) -> None:
    talk.at("08:00").say("100 g white bread")
    asked = talk.say(words)
    assert asked == talk.say("/erase")
    assert "Taken back" in talk.say("undo")


def test_lead_and_memory_move_what_is_due(talk: Talk) -> None:
    sync(talk)
    talk.say("/lead 90")
    assert due(talk) == [("02 13:30", "sync")]
    talk.say("/memory 6 h")
    assert due(talk) == [("02 11:30", "sync")]
    talk.say("/lead 1 h 30")
    assert due(talk) == [("02 11:30", "sync")]


@pytest.mark.parametrize(
    "words", ["/lead soon", "/lead 0", "/lead 480", "/memory 10", "/memory 10 min", "/sensor 0"]
)
def test_a_setting_that_makes_no_sense_changes_nothing(talk: Talk, words: str) -> None:
    talk.say("hello")
    before = person(talk)
    if words != "/memory 10":
        assert "stays" in talk.say(words)
        assert person(talk) == before
    else:  # a bare number is hours
        talk.say(words)
        assert person(talk).memory_min == 600


def test_a_shift_has_its_quiet_hours_and_can_be_changed_ahead(talk: Talk) -> None:
    talk.say("/shift early 20:30-04:00")
    assert (person(talk).quiet_from.hour, person(talk).quiet_to.hour) == (20, 4)
    assert "Which hours" in talk.say("late shift from Thursday")
    assert "from Thu 5 Mar" in talk.say("01:00-08:30")
    assert person(talk).quiet_to.hour == 4  # not yet
    sync(talk.at("11:00", days=2))
    assert due(talk)[0] == ("04 12:00", "shift")
    assert talk.at("12:00", days=2).tick() == ""  # a shift begins without a word
    assert person(talk).quiet_to.hour == 8
    assert talk.say("early shift") == "Early shift: quiet 20:30-04:00 from now on."
    assert "late is quiet 01:00-08:30" in talk.say("/shift")


def test_a_shift_that_was_to_begin_while_the_bot_stood_still_holds_from_the_next_word(talk: Talk) -> None:
    talk.say("/shift early 20:30-04:00")
    talk.say("/shift late 01:00-08:30 from tomorrow")
    talk.at("20:40").say("synced")
    assert person(talk).quiet_to.hour == 8
    assert ("03 03:40", "sync") not in due(talk)


def test_a_night_between_two_shifts_is_that_of_the_day_it_leads_to(talk: Talk) -> None:
    """From the late shift to the early one: asked before the early night, not before the late one."""
    talk.say("/shift late 01:00-08:30")
    talk.say("/shift early 20:30-04:00 from tomorrow")
    talk.at("12:00").tick()
    sync(talk.at("15:00"))
    assert due(talk) == [("02 20:20", "sync")]


def test_travel_moves_the_quiet_hours_with_the_clock_on_the_wall(talk: Talk) -> None:
    sync(talk)
    talk.at("15:00").say("synced")
    assert due(talk) == [("02 22:50", "sync")]  # at bedtime in Vienna
    assert "America/Chicago" in talk.say("I'm in Chicago now")
    assert due(talk) == [("02 22:00", "sync")]  # 15:00 there: seven hours later
    assert "Asia/Tokyo" in talk.say("landed in Tokyo")
    # 22:00 is 06:00 there, within 23:00 to 06:30; it is 23:00 there now, so it waits until 06:30
    assert due(talk) == [("02 22:30", "sync")]
    assert "didn't understand" in talk.say("I'm in pain")


@pytest.mark.parametrize(
    ("place", "zones"),
    [
        ("Chicago", ["America/Chicago"]),
        ("new york", ["America/New_York"]),
        ("europe/vienna", ["Europe/Vienna"]),
        ("Knox", ["America/Indiana/Knox"]),
        ("Munich", []),
        ("bed", []),
    ],
)
def test_zones_by_city(place: str, zones: list[str]) -> None:
    assert find_zones(place) == zones


def test_a_day_without_notes_is_asked_about_only_when_wanted(talk: Talk) -> None:
    sync(talk)
    assert all(kind != "nudge" for _, kind in due(talk))
    talk.say("/nudge on")
    assert ("02 18:00", "nudge") in due(talk)
    sync(talk.at("15:00"))
    talk.say("100 g rice at 14:00")
    assert ("03 18:00", "nudge") in due(talk)  # noted since noon today: tomorrow
    sync(talk.at("11:00", days=1))
    assert "Nothing is noted since noon" in talk.at("18:00", days=1).tick()
    assert ("04 18:00", "nudge") in due(talk)


def test_each_kind_says_why_three_times(talk: Talk) -> None:
    said = []
    for day in range(5):
        sync(talk.at("08:00", days=day))
        said.append(talk.at("15:00", days=day).tick())
    assert [("I ask because" in words) for words in said] == [True, True, True, False, False]
    assert all("/lead" in words and "/quiet" in words for words in said), "each says how to change it"
    assert all("Please sync by 16:00" in words for words in said)


def test_a_clock_that_steps_back_asks_for_nothing_twice(talk: Talk) -> None:
    sync(talk)
    assert "sync" in talk.at("14:00").tick()
    talk.clock._now = talk.clock.now() - timedelta(minutes=50)
    for _ in range(9):
        assert talk.tick() == ""
        talk.clock.move_to(talk.clock.now() + timedelta(minutes=6))


def test_what_new_hours_made_due_is_not_called_late(talk: Talk) -> None:
    talk.say("/quiet 08:00-07:00")
    sync(talk)
    talk.at("18:00").say("/quiet 23:00-07:00")  # the memory lapsed at 15:00, in quiet hours till now
    said = talk.tick()
    assert "is lost" in said
    assert "not running" not in said
    assert talk.tick() == ""


def test_reminders_back_on_are_not_called_late(talk: Talk) -> None:
    sync(talk)
    talk.say("/remind off")
    talk.at("20:00").say("/remind on")
    said = talk.tick()
    assert "is lost" in said
    assert "not running" not in said


def test_a_stop_is_still_told(talk: Talk) -> None:
    sync(talk)
    talk.at("18:00").say("tired")  # not running at 14:00, and a message came before the tick
    assert "(I meant to say this at 14:00, but I wasn't running.)" in talk.tick()


def test_hours_that_are_none_are_called_so(talk: Talk) -> None:
    talk.say("/quiet 00:00-00:00")
    assert "Your quiet hours: none." in talk.say("/quiet")
    assert "quiet hours none" in talk.say("/status")


def test_a_short_memory_shortens_the_lead_and_says_what_nights_cost(talk: Talk) -> None:
    talk.say("/lead 7h")
    said = talk.say("/memory 1h")
    assert "From now on I'll ask 5 min before readings are lost" in said
    assert "you lose at least 6 h 30 min a night" in said  # 23:00 to 06:30 less an hour
    assert "with a memory of 60 min it can be 5 minutes" in talk.say("/lead 90")
    assert "ask" in talk.say("/memory 8h")
    assert "5 to 420 minutes" in talk.say("/lead 8h")


@pytest.mark.parametrize(
    ("said", "quiet"),
    [
        ("stop the reminders after 9pm", "21:00 to 06:30"),
        ("no messages past 10", "22:00 to 06:30"),
        ("don't message me before 7:30 am", "23:00 to 07:30"),
    ],
)
def test_one_hour_changes_one_end_of_the_quiet_hours(talk: Talk, said: str, quiet: str) -> None:
    assert f"Quiet from {quiet}." in talk.say(said)
    talk.say("/quiet off")
    assert "from when to when?" in talk.say(said)
    assert person(talk).quiet_from == person(talk).quiet_to
