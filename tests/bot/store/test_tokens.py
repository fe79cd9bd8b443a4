from contextlib import closing

from sqlalchemy import create_engine, text

from bot.store import open_store
from tests.bot.store.samples import DEPOT, NOW, TRAM, ensure, later


def test_a_token_leads_to_its_person_and_to_nobody_else(unit):
    token = unit.tokens.make(TRAM, NOW)
    assert unit.tokens.holder(token) == TRAM
    assert unit.tokens.make(DEPOT, NOW) != token
    for guess in ("", token[:-1], token + "x", token.upper(), "é\udcff"):
        assert unit.tokens.holder(guess) is None


def test_a_new_token_ends_the_one_before(unit):
    first = unit.tokens.make(TRAM, NOW)
    second = unit.tokens.make(TRAM, later(1))
    assert (unit.tokens.holder(first), unit.tokens.holder(second)) == (None, TRAM)
    assert unit.tokens.drop(TRAM)
    assert unit.tokens.holder(second) is None
    assert not unit.tokens.drop(TRAM)


def test_the_database_does_not_hold_the_token(url, db_file):
    with closing(open_store(url)) as store, store.begin() as unit:
        ensure(unit)
        token = unit.tokens.make(TRAM, NOW)
    engine = create_engine(url)
    with engine.connect() as connection:
        (digest,) = connection.execute(text("SELECT digest FROM tokens")).one()
    engine.dispose()
    assert len(digest) == 64
    for file in db_file.parent.glob(f"{db_file.name}*"):
        assert token.encode() not in file.read_bytes()


def test_an_answer_is_kept_by_person_and_key_and_forgotten_in_time(unit):
    unit.posts.keep(TRAM, "k", "d1", {"stored": 1}, NOW)
    unit.posts.keep(DEPOT, "k", "d2", {"stored": 2}, NOW)
    unit.posts.keep(TRAM, "later", "d3", {"stored": 3}, later(5))
    assert unit.posts.answered(TRAM, "k") == ("d1", {"stored": 1})
    unit.posts.forget(TRAM, before=later(1))
    assert unit.posts.answered(TRAM, "k") is None
    assert unit.posts.answered(TRAM, "later") == ("d3", {"stored": 3})
    assert unit.posts.answered(DEPOT, "k") == ("d2", {"stored": 2})
