from datetime import timedelta

from tests.bot.reminders.test_planning import due, sync
from tests.talk import talking

FOODS = (
    "apple", "pear", "plum", "banana", "orange", "kiwi", "mango", "melon", "cherries", "grapes", "peach",
    "apricot", "carrot", "cucumber", "tomato", "celery", "radish", "beetroot", "potato", "parsnip",
    "turnip", "cauliflower", "broccoli", "spinach", "kale", "cabbage", "leek", "onion", "mushrooms", "peas",
    "corn", "lentils", "chickpeas", "salmon", "tuna", "cod", "trout", "mackerel", "chicken", "turkey",
    "beef", "pork", "lamb", "ham", "bacon", "rice", "pasta", "couscous", "quinoa", "porridge", "muesli",
    "bagel", "croissant", "pancake", "yogurt", "cheese", "hummus", "walnuts", "almonds", "peanuts",
)  # fmt: skip


def test_a_message_between_due_and_tick_does_not_take_the_check_away() -> None:
    with talking() as talk:
        sync(talk)
        talk.at("08:00").say("100 g white bread")
        talk.clock.move_to(talk.at("10:00").clock.now() + timedelta(seconds=5))
        talk.say("walked 10 min")
        assert "Breakfast (white bread) was 2 h ago" in talk.tick()
        assert talk.tick() == ""


def test_a_check_held_back_over_night_outlives_a_message() -> None:
    with talking() as talk:
        talk.say("/quiet 22:00-02:00")
        sync(talk.at("19:30"))
        talk.say("100 g white bread")
        assert ("02 21:30", "check") in due(talk)
        assert talk.at("23:00").tick() == ""  # not running at 21:30
        talk.say("tired")
        assert "Dinner (white bread)" in talk.at("02:00", days=1).tick()


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
        for n in range(len(FOODS)):
            # no plate twice, since the same again within minutes is more of it
            talk.note(f"80 g {FOODS[n]}")
        said = talk.at("10:00").tick() + talk.tick() + talk.tick()
        assert said.lower().count("breakfast (") == len(FOODS)


def test_what_a_stop_and_then_the_night_held_back_is_still_called_late() -> None:
    with talking() as talk:
        sync(talk.at("19:00"))
        assert ("02 22:50", "sync") in due(talk)
        assert talk.at("00:30", days=1).tick() == ""  # not running at 22:50; quiet since 23:00
        said = talk.at("06:30", days=1).tick()
        assert "Yesterday 19:00 to 22:30 is lost" in said
        assert "(I meant to say this yesterday 22:50, but I wasn't running.)" in said
        assert "not running" not in talk.at("13:30", days=1).tick()


def test_what_was_held_back_is_forgotten_with_a_sync() -> None:
    with talking() as talk:
        sync(talk.at("19:00"))
        assert talk.at("23:30").tick() == ""
        sync(talk.at("00:10", days=1))
        assert "not running" not in talk.at("07:10", days=1).tick()
