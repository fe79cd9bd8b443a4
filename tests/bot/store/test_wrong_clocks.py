"""Codes, tokens and kept answers under a clock that is a year off for a while: nothing opens for longer."""

from datetime import timedelta

import pytest

from bot.store import Transaction
from bot.store.invitations import LASTS
from bot.store.shares import LASTS as SHARED_FOR
from tests.bot.store.samples import DEPOT, NOW, TRAM, ensure

YEAR, DAY = timedelta(days=365), timedelta(days=1)
OFF = pytest.mark.parametrize("off", [YEAR, -YEAR, 10 * YEAR])


@OFF
def test_an_invitation_outlives_a_wrong_clock(tx: Transaction, off: timedelta) -> None:
    code = tx.invitations.make(NOW)
    tx.invitations.make(NOW + off)  # what ran out long ago is deleted by it
    if off <= YEAR:
        assert tx.invitations.take(code, TRAM, NOW + DAY)


@OFF
def test_one_made_by_a_wrong_clock_lets_nobody_in_later(tx: Transaction, off: timedelta) -> None:
    code = tx.invitations.make(NOW + off)
    for days in range(0, 60, 5):
        assert not tx.invitations.take(code, TRAM, NOW + timedelta(days=days))
    assert tx.invitations.open_count(NOW) == 0
    assert tx.invitations.take(code, TRAM, NOW + off + LASTS - DAY)


@OFF
def test_neither_does_a_code_of_a_shared_meal(tx: Transaction, off: timedelta) -> None:
    ensure(tx)
    code = tx.shares.offer(TRAM, "porridge", NOW + off)
    for hours in range(0, 72, 5):
        assert tx.shares.find(code, NOW + timedelta(hours=hours)) is None
    found = tx.shares.find(code, NOW + off + SHARED_FOR / 2)
    assert found is not None
    tx.shares.take(found, DEPOT)
    tx.shares.agree(found, NOW + off)
    assert [share.other for share in tx.shares.all(TRAM, NOW)] == [DEPOT], "what both agreed to stays"


@OFF
def test_an_offered_meal_outlives_a_wrong_clock(tx: Transaction, off: timedelta) -> None:
    ensure(tx)
    code = tx.shares.offer(TRAM, "porridge", NOW)
    tx.shares.drop_expired(NOW + off)  # as a tick does
    assert (tx.shares.find(code, NOW + SHARED_FOR / 2) is not None) == (off <= YEAR)
    assert tx.shares.find(code, NOW + DAY) is None


@OFF
def test_a_token_lasts_whatever_the_clock_says(tx: Transaction, off: timedelta) -> None:
    ensure(tx)
    before = tx.tokens.make(TRAM, NOW)
    wrong = tx.tokens.make(TRAM, NOW + off)
    assert (tx.tokens.holder(before), tx.tokens.holder(wrong)) == (None, TRAM)
    assert tx.tokens.make(TRAM, NOW) != wrong
    assert tx.tokens.holder(wrong) is None


@OFF
def test_an_answer_kept_by_a_wrong_clock_is_forgotten(tx: Transaction, off: timedelta) -> None:
    ensure(tx)
    tx.posts.keep(TRAM, "key", "digest", {}, NOW + off)
    tx.posts.keep(TRAM, "mine", "digest", {}, NOW)
    tx.posts.forget(TRAM, NOW - DAY, NOW + DAY)
    assert tx.posts.answered(TRAM, "key") is None
    assert tx.posts.answered(TRAM, "mine") is not None
