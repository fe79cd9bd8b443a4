from collections.abc import Iterator
from dataclasses import replace

import pytest

from tests.bot.reminders.test_planning import due, sync
from tests.talk import Talk, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


def labels(talk: Talk) -> list[str]:
    return [button.label for button in talk.heard[-1].buttons]


def test_a_sync_is_put_off_once(talk: Talk) -> None:
    sync(talk)
    talk.at("14:00").tick()
    assert labels(talk) == ["Synced", "In 30 min"]
    assert talk.press("In 30 min") == "I'll ask again at 14:30."
    assert "leave it there" in talk.press("In 30 min")
    assert "Please sync by 15:00" in talk.at("14:30").tick()
    assert labels(talk) == ["Synced"]
    assert "leave it there" in talk.press("In 30 min")  # the older message still has the button
    assert "readings are disappearing" in talk.at("15:00").tick()


def test_what_was_put_off_is_not_said_when_it_is_done(talk: Talk) -> None:
    sync(talk)
    talk.at("14:00").tick()
    talk.press("In 30 min")
    talk.at("14:10").press("Synced")
    assert talk.at("14:30").tick() == ""
    assert "nothing left" in talk.press("In 30 min")
    assert due(talk) == [("02 21:10", "sync")]


def test_a_check_is_put_off_once_and_not_after_its_readings_came(talk: Talk) -> None:
    sync(talk)
    talk.at("08:00").say("100 g white bread")
    talk.at("10:00").tick()
    assert labels(talk) == ["Synced", "In 30 min", "Not today"]
    talk.press("In 30 min")
    assert ("02 10:30", "later check") in due(talk)
    sync(talk.at("10:20"))
    assert talk.at("10:30").tick() == ""
    assert "nothing left" in talk.press("In 30 min")


def test_put_off_into_the_night_it_waits_for_the_morning(talk: Talk) -> None:
    talk.say("/quiet 22:00-02:00")
    sync(talk.at("19:30"))
    talk.say("100 g white bread")
    talk.at("21:45").tick()
    assert talk.press("In 30 min") == "I'll ask again at 02:00."


def test_not_today_ends_the_checks_until_the_night_is_over(talk: Talk) -> None:
    sync(talk)
    talk.at("08:00").say("100 g white bread")
    talk.at("10:00").tick()
    assert "No more checks today" in talk.press("Not today")
    talk.at("11:00").say("100 g rice")
    assert due(talk) == [("02 14:00", "sync")]
    sync(talk.at("07:00", days=1))
    talk.at("07:30", days=1).say("100 g white bread")
    assert ("03 09:30", "check") in due(talk)
    assert "another day" in talk.press("Not today")


def test_a_button_of_nobody_breaks_nothing(talk: Talk) -> None:
    talk.say("hello")
    for data in ("later:", "later:sync", "later:99999", "notoday:", "notoday:x", "notoday:999999999999999999",
                 "food:", "nofood:1", "food:999999999999999999"):  # fmt: skip
        assert talk.send(press=data)


def test_another_persons_meal_is_not_put_off(talk: Talk) -> None:
    sync(talk)
    talk.at("08:00").say("100 g white bread")
    meal = talk.meals()[0]
    other = Talk(talk.app, talk.clock, person="tg:5")
    other._count = 100
    assert "nothing left" in other.send(press=f"later:{meal.id}")
    assert replace(meal) == talk.meals()[0]


def test_meals_close_together_get_one_check_after_the_last(talk: Talk) -> None:
    sync(talk)
    talk.at("08:00").say("100 g white bread")
    talk.at("08:50").say("150 g rice")
    talk.at("10:00").say("an apple")
    assert due(talk)[:3] == [("02 10:50", "check"), ("02 10:50", "check"), ("02 12:00", "check")]
    assert talk.at("10:00").tick() == ""
    said = talk.at("10:50").tick()
    assert "Breakfast (white bread) was 2 h 50 min ago and breakfast (rice) was 2 h ago" in said
    assert said.count("sync") == 1
    assert "was 2 h ago" in talk.at("12:00").tick()


def test_a_meal_noted_late_does_not_have_the_first_one_asked_about_again(talk: Talk) -> None:
    sync(talk)
    talk.at("08:00").say("100 g white bread")
    assert "white bread" in talk.at("10:00").tick()
    talk.at("10:05").say("150 g rice at 8:30")
    assert "white bread" not in talk.at("10:30").tick()
    assert "Breakfast (rice" in talk.heard[-1].text


def test_what_is_due_within_ten_minutes_comes_along(talk: Talk) -> None:
    sync(talk)
    talk.at("12:08").say("100 g white bread")
    said = talk.at("14:00").tick()
    assert "Please sync by 15:00" in said
    assert "Lunch (white bread) was 112 min ago: with the readings I can draw the curve." in said
    assert talk.at("14:08").tick() == ""


def test_synced_pressed_twice_is_noted_once() -> None:
    with talking() as talk:
        sync(talk)
        talk.at("14:00").tick()
        assert "Noted: synced at 14:00" in talk.press("Synced")
        assert talk.press("Synced") == "That sync is noted already, at 14:00."
        assert len(talk.logged("sync")) == 1
        assert "Noted: synced at 14:10" in talk.at("14:10").press("Synced")


def test_a_sync_still_to_come_asks_for_no_file() -> None:
    with talking() as talk:
        assert "file" not in talk.at("08:00").say("synced at 23:00")
