from tests.bot.reminders.test_planning import sync
from tests.talk import talking


def test_the_value_to_type_is_shown_in_the_persons_unit() -> None:
    """Typed as “6.1”, it would be refused from somebody who reads mg/dL."""
    with talking(unit="mg/dL") as talk:
        sync(talk)
        talk.at("08:00").say("100 g white bread at 8:00")
        said = talk.at("10:00").tick()
        assert "like 110" in said
        assert talk.say("110").startswith("Noted: 110 mg/dL")


def test_the_readings_to_type_are_shown_in_the_persons_unit() -> None:
    with talking(unit="mg/dL") as talk:
        talk.at("09:00").say("100 g white bread at 8:00")
        answer = talk.say("how was breakfast?")
        assert "“110 at 13:15”" in answer
        assert "6.1" not in answer
