from tests.bot.store.samples import DEPOT, NOW, TRAM, add, later, meal


def test_one_question_is_open_at_a_time(unit):
    logged = add(unit, meal())
    assert unit.pending.get(TRAM, NOW) is None
    unit.pending.ask(TRAM, "amounts", logged.id, NOW, later(10))
    unit.pending.ask(TRAM, "time", None, later(1), later(11))
    question = unit.pending.get(TRAM, later(2))
    assert (question.about, question.entry_id) == ("time", None)
    assert (question.asked_at, question.expires_at) == (later(1), later(11))
    assert unit.pending.get(DEPOT, later(2)) is None
    unit.pending.clear(TRAM)
    unit.pending.clear(TRAM)
    assert unit.pending.get(TRAM, later(2)) is None


def test_a_question_ends(unit):
    unit.pending.ask(TRAM, "time", None, NOW, later(10))
    assert unit.pending.get(TRAM, later(9.99)) is not None
    assert unit.pending.get(TRAM, later(10)) is None


def test_a_question_survives_a_restart(store):
    with store.begin() as unit:
        unit.people.ensure(TRAM, zone="UTC", unit="mmol/L", at=NOW)
        unit.pending.ask(TRAM, "time", None, NOW, later(10))
    store.close()
    with store.read() as unit:
        assert unit.pending.get(TRAM, NOW).about == "time"
