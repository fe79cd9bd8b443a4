"""Rules of eating: in order, changed and dropped so that they can be put back; what is private."""

from tests.bot.store.samples import NOW, TRAM, add, ensure, later, meal


def texts(tx):
    return [rule.text for rule in tx.rules.all(TRAM)]


def test_a_rule_that_was_changed_or_dropped_comes_back_in_its_place(store):
    with store.begin() as tx:
        ensure(tx, TRAM)
        first, second = (tx.rules.add(TRAM, words, NOW) for words in ("walk after dinner", "beans first"))
        changed = tx.rules.change(first, "walk after big dinners", later(1))
        assert texts(tx) == ["walk after big dinners", "beans first"]
        tx.rules.keep(first)
        assert texts(tx) == ["walk after dinner", "beans first"]
        assert tx.rules.get(changed.id) is None
        tx.rules.end(second, later(2))
        assert texts(tx) == ["walk after dinner"]
        tx.rules.keep(second)
        assert texts(tx) == ["walk after dinner", "beans first"]


def test_what_was_proposed_is_a_rule_only_once_kept_and_not_proposed_again(store):
    with store.begin() as tx:
        ensure(tx, TRAM)
        proposed = tx.rules.propose(TRAM, "vegetables first", NOW)
        assert texts(tx) == []
        assert tx.rules.propose(TRAM, "vegetables first", later(1)) == proposed
        tx.rules.keep(proposed)
        assert texts(tx) == ["vegetables first"]
        assert tx.rules.propose(TRAM, "vegetables first", later(2)) is None
        tx.rules.end(tx.rules.all(TRAM)[0], later(3))
        assert tx.rules.propose(TRAM, "vegetables first", later(4)) is None


def test_an_entry_is_private_until_it_is_no_more(store):
    with store.begin() as tx:
        ensure(tx, TRAM)
        logged = add(tx, meal("rye bread"), "u1")
        tx.private.mark(TRAM, logged.id)
        tx.private.mark(TRAM, logged.id)
        assert tx.private.of(TRAM) == {logged.id}
        tx.private.unmark(logged.id)
        assert tx.private.of(TRAM) == frozenset()
