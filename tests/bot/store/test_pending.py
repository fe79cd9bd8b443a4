from tests.bot.store.samples import DEPOT, NOW, TRAM, add, later, meal


def test_one_question_is_open_at_a_time(tx):
    logged = add(tx, meal())
    assert tx.pending.get(TRAM, NOW) is None
    tx.pending.ask(TRAM, "amounts", logged.id, NOW, later(10))
    tx.pending.ask(TRAM, "time", None, later(1), later(11))
    question = tx.pending.get(TRAM, later(2))
    assert (question.about, question.entry_id) == ("time", None)
    assert (question.asked_at, question.expires_at) == (later(1), later(11))
    assert tx.pending.get(DEPOT, later(2)) is None
    tx.pending.clear(TRAM)
    tx.pending.clear(TRAM)
    assert tx.pending.get(TRAM, later(2)) is None


def test_a_question_ends(tx):
    tx.pending.ask(TRAM, "time", None, NOW, later(10))
    assert tx.pending.get(TRAM, later(9.99)) is not None
    assert tx.pending.get(TRAM, later(10)) is None


def test_a_question_survives_a_restart(store):
    with store.begin() as tx:
        tx.people.ensure(TRAM, zone="UTC", unit="mmol/L", at=NOW)
        tx.pending.ask(TRAM, "time", None, NOW, later(10))
    store.close()
    with store.read() as tx:
        assert tx.pending.get(TRAM, NOW).about == "time"
