from datetime import timedelta

from tests.bot.test_reminding import due, sync
from tests.talk import talking


def test_a_message_between_due_and_tick_does_not_take_the_check_away() -> None:
    with talking() as talk:
        sync(talk)
        talk.at("08:00").say("100 g white bread")
        talk.clock.move_to(talk.at("10:00").clock.now() + timedelta(seconds=5))
        talk.say("walked 10 min")
        assert "2 h since breakfast (white bread)" in talk.tick()
        assert talk.tick() == ""


def test_a_check_held_back_over_night_outlives_a_message() -> None:
    with talking() as talk:
        talk.say("/quiet 22:00-02:00")
        sync(talk.at("19:30"))
        talk.say("100 g white bread")
        assert ("02 21:30", "check") in due(talk)
        assert talk.at("23:00").tick() == ""  # not running at 21:30
        talk.say("tired")
        assert "since dinner (white bread)" in talk.at("02:00", days=1).tick()


def test_a_check_that_comes_too_late_for_the_sensor_is_dropped() -> None:
    with talking() as talk:
        sync(talk.at("19:30"))
        talk.say("100 g white bread")
        assert talk.at("23:00").tick() == ""  # not running at 21:30
        assert "since dinner" not in talk.at("07:00", days=1).tick()


def test_many_checks_due_at_once_are_all_said() -> None:
    """A tick takes a limited number of reminders; what follows from it must not drop the others."""
    with talking() as talk:
        sync(talk)
        talk.at("08:00")
        for n in range(60):
            talk.say(f"{100 + n} g white bread")
        said = talk.at("10:00").tick() + talk.tick() + talk.tick()
        assert said.count("since breakfast") == 60
