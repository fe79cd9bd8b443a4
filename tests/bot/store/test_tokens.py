from contextlib import closing

from sqlalchemy import create_engine, text

from bot.store import open_store
from tests.bot.store.samples import DEPOT, NOW, ONLY_SQLITE, TRAM, ensure, later


def test_a_token_leads_to_its_person_and_to_nobody_else(tx):
    token = tx.tokens.make(TRAM, NOW)
    assert tx.tokens.holder(token) == TRAM
    assert tx.tokens.make(DEPOT, NOW) != token
    for guess in ("", token[:-1], token + "x", token.upper(), "é\udcff"):
        assert tx.tokens.holder(guess) is None


def test_a_new_token_ends_the_one_before(tx):
    first = tx.tokens.make(TRAM, NOW)
    second = tx.tokens.make(TRAM, later(1))
    assert (tx.tokens.holder(first), tx.tokens.holder(second)) == (None, TRAM)
    assert tx.tokens.drop(TRAM)
    assert tx.tokens.holder(second) is None
    assert not tx.tokens.drop(TRAM)


@ONLY_SQLITE
def test_the_database_does_not_hold_the_token(url, db_file):
    with closing(open_store(url)) as store, store.begin() as tx:
        ensure(tx)
        token = tx.tokens.make(TRAM, NOW)
    engine = create_engine(url)
    with engine.connect() as connection:
        (digest,) = connection.execute(text("SELECT digest FROM tokens")).one()
    engine.dispose()
    assert len(digest) == 64
    for file in db_file.parent.glob(f"{db_file.name}*"):
        assert token.encode() not in file.read_bytes()


def test_an_answer_is_kept_by_person_and_key_and_forgotten_in_time(tx):
    tx.posts.keep(TRAM, "k", "d1", {"stored": 1}, NOW)
    tx.posts.keep(DEPOT, "k", "d2", {"stored": 2}, NOW)
    tx.posts.keep(TRAM, "later", "d3", {"stored": 3}, later(5))
    assert tx.posts.answered(TRAM, "k") == ("d1", {"stored": 1})
    tx.posts.forget(TRAM, before=later(1), after=later(6))
    assert tx.posts.answered(TRAM, "k") is None
    assert tx.posts.answered(TRAM, "later") == ("d3", {"stored": 3})
    assert tx.posts.answered(DEPOT, "k") == ("d2", {"stored": 2})
