"""Trials are kept as they were proposed; a step undone leaves the trial as it was before."""

from bot.store import open_store
from tests.bot.store.samples import DEPOT, NOW, TRAM, ensure, later

PROTOCOL = {"question": "porridge with and without a walk", "seed": 7, "order": [[0, 1], [1, 0]]}


def test_a_trial_runs_from_when_it_is_agreed_to_until_it_ends(tx):
    ensure(tx)
    key = tx.trials.propose(TRAM, PROTOCOL, NOW)
    proposed = tx.trials.get(key)
    assert (proposed.protocol, proposed.agreed_at, proposed.runs) == (PROTOCOL, None, False)
    assert tx.trials.running(TRAM) is None
    tx.trials.step(key, "agreed", "u1", later(1))
    tx.trials.step(key, "put off", "u2", later(2), until=later(600))
    runs = tx.trials.running(TRAM)
    assert (runs.id, runs.agreed_at, runs.put_off_until) == (key, later(1), later(600))
    assert tx.trials.running(DEPOT) is None
    tx.trials.step(key, "stopped", "u3", later(3))
    assert tx.trials.running(TRAM) is None
    assert tx.trials.get(key).ended.what == "stopped"


def test_steps_are_undone_one_after_the_other(tx):
    ensure(tx)
    key = tx.trials.propose(TRAM, PROTOCOL, NOW)
    tx.trials.step(key, "agreed", "u1", later(1))
    tx.trials.step(key, "stopped", "u2", later(2))
    tx.trials.step(key, "judged", "u3", later(3))
    for what, still in (("stopped", None), ("agreed", None), (None, None)):
        last = tx.trials.last_step(TRAM)
        assert (last and last.what) == what
        if last is not None:
            tx.trials.take_back(last, later(9))
        assert tx.trials.running(TRAM) is still
    assert tx.trials.get(key).steps == ()  # what was judged went with the agreement


def test_a_trial_survives_a_restart(url):
    store = open_store(url)
    with store.begin() as tx:
        ensure(tx)
        key = tx.trials.propose(TRAM, PROTOCOL, NOW)
        tx.trials.step(key, "agreed", "u1", NOW)
    store.close()
    again = open_store(url)
    with again.read() as tx:
        assert tx.trials.running(TRAM).protocol == PROTOCOL
    again.close()
