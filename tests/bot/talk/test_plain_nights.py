from tests.talk import talking


def test_a_habit_of_sleep_sets_quiet_hours_and_is_no_night() -> None:
    with talking() as talk:
        assert "between 23:30 and 07:00" in talk.say("I usually sleep from 23:30 to 7")
        assert "between 22:15 and 06:00" in talk.say("I normally sleep 22:15 till 6:00.")
        assert "Noted: slept" in talk.say("slept from 23:30 to 6")
