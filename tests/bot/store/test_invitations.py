from datetime import timedelta

from tests.bot.store.samples import DEPOT, NOW, ONLY_SQLITE, TRAM, later


def test_an_invitation_lets_one_person_in_once(tx):
    code, other = tx.invitations.make(NOW), tx.invitations.make(NOW)
    assert code != other
    assert not tx.invitations.took(TRAM)
    assert tx.invitations.take(code, TRAM, later(1))
    assert not tx.invitations.take(code, DEPOT, later(2))
    assert [tx.invitations.took(person) for person in (TRAM, DEPOT)] == [True, False]
    assert tx.invitations.take(other, DEPOT, later(3))


def test_what_is_no_code_or_too_old_lets_nobody_in(tx):
    code = tx.invitations.make(NOW)
    for wrong in ("", code[:-1], code.swapcase(), "%", "None"):
        assert not tx.invitations.take(wrong, TRAM, NOW)
    assert not tx.invitations.take(code, TRAM, NOW + timedelta(days=7))


def test_the_first_invitation_replaces_the_one_before_until_somebody_is_in(tx):
    old = tx.invitations.make_first(NOW)
    new = tx.invitations.make_first(later(1))
    assert not tx.invitations.take(old, TRAM, later(2))
    assert tx.invitations.take(new, TRAM, later(2))
    assert tx.invitations.make_first(later(3)) is None


@ONLY_SQLITE
def test_a_code_is_not_in_the_database(store, db_file):
    with store.begin() as tx:
        code = tx.invitations.make(NOW)
    store.close()
    assert code.encode() not in db_file.read_bytes()


def test_who_is_erased_is_not_in_any_more(tx):
    assert tx.invitations.take(tx.invitations.make(NOW), TRAM, NOW)
    tx.people.erase(TRAM)
    assert not tx.invitations.took(TRAM)


def test_whom_the_bot_was_given_first_may_invite(tx):
    assert not tx.invitations.may_invite(TRAM)
    assert tx.invitations.take(tx.invitations.make(NOW), TRAM, NOW)
    assert tx.invitations.take(tx.invitations.make(NOW), DEPOT, NOW)
    assert [tx.invitations.may_invite(person) for person in (TRAM, DEPOT)] == [True, False]


def test_what_was_taken_or_ran_out_is_not_open(tx):
    codes = [tx.invitations.make(NOW) for _ in range(4)]
    tx.invitations.take(codes[0], TRAM, NOW)
    assert tx.invitations.open_count(NOW) == 3
    assert tx.invitations.open_count(NOW + timedelta(days=7)) == 0
