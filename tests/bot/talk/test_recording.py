from tests.talk import talking


def test_taking_one_of_two_readings_of_a_minute_back_leaves_the_other() -> None:
    with talking() as talk:
        talk.at("09:30")
        talk.say("5.4 at 9:10")
        talk.say("6.4 at 9:10")
        assert talk.say("undo") == "Taken back: the reading, 09:10."
        assert [entry.entry.mmol for entry in talk.logged("reading")] == [5.4]  # type: ignore[union-attr]
        with talk.app.store.read() as tx:
            assert [reading.mmol for reading in tx.readings.between("local", None, None)] == [5.4]
