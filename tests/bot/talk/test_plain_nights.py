from tests.talk import talking


def test_a_habit_of_sleep_sets_quiet_hours_and_is_no_night() -> None:
    with talking() as talk:
        assert "from 23:30 to 07:00" in talk.say("I usually sleep from 23:30 to 7")
        assert "from 22:15 to 06:00" in talk.say("I normally sleep 22:15 till 6:00.")
        assert "Noted: slept" in talk.say("slept from 23:30 to 6")


def test_a_night_worker_goes_to_bed_and_gets_up_by_single_words() -> None:
    with talking() as talk:
        for said in ("bed", "to bed", "sleep now", "sleeping", "good night then"):
            assert "Noted: to bed at 08:55" in talk.at("8:55").say(said), said
            talk.say("undo")
        assert talk.say("off to bed, knackered").startswith("Noted: to bed at 08:55.\nNoted: tired at 08:55.")
        assert "Noted: woke at 16:00" in talk.at("16:00").say("up")
        assert "Noted: slept 09:00 to 16:00" in talk.at("16:05", 1).say("up, 9 to 16")


def test_what_ended_just_now_is_meant_before_the_night_of_the_same_clock() -> None:
    with talking() as talk:
        assert "Noted: slept 09:00 to 16:00" in talk.at("16:10").say("slept 9 to 4")
        assert "Noted: woke at 16:00" in talk.at("16:10", 1).say("woke at 4")
        assert "Noted: woke at 04:00" in talk.at("9:00", 2).say("woke at 4")
