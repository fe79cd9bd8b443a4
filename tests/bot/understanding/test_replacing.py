"""Corrections said sideways, of a breakfast or a walk; the expected lines were read through by eye."""

import pytest

from bot.understanding import understand
from tests.bot.understanding.compact import context_at, read

TOAST = ("2 slices rye toast with butter and a boiled egg at 7:15", "08:00", "13:00")
WALK = ("walked 30 min at 17:00", "18:00", "20:00")

CORRECTIONS = [
    (TOAST, "only 1 slice", "amount: rye toast 30"),
    (TOAST, "make that three", "amount: rye toast 90"),
    (TOAST, "not 2 slices, only 1", "amount: rye toast 30"),
    (TOAST, "one more slice", "add: rye toast 30"),
    (TOAST, "I said butter but it was jam", "amount: jam 15~"),
    (TOAST, "the butter should be jam", "amount: jam 15~"),
    (TOAST, "butter -> jam", "amount: jam 15~"),
    (TOAST, "butter was jam", "amount: jam 15~"),
    (TOAST, "the toast was thin, about 80 g", "amount: rye toast 80"),
    (TOAST, "I believe I told you wrong: it was one slice, not two", "amount: rye toast 30"),
    (TOAST, "kindly delete the butter, I did not eat it", "remove: butter 10~"),
    (TOAST, "undo the butter, didn't have it", "remove: butter 10~"),
    (TOAST, "and no butter", "remove: butter 10~"),
    (TOAST, "I left off the butter", "remove: butter 10~"),
    (TOAST, "that was a mistake", "undo"),
    (TOAST, "I didn't eat that after all", "undo"),
    (TOAST, "please disregard my last message", "undo"),
    (TOAST, "7:45", "time: 07:45"),
    (TOAST, "around 8 actually", "time: 08:00"),
    (TOAST, "that was a snack really", "slot: snack"),
    (TOAST, "oh, 2 apples at 11", "snack 11:00: apple 360"),
    (TOAST, "the toast had jam on it", "add: jam 15~"),
    (TOAST, "with a banana", "add: banana 120"),
    (TOAST, "eh sorry, 3 slices", "amount: rye toast 90"),
    (WALK, "6 not 5", "time: 18:00"),
    (WALK, "started at 5:15", "time: 17:15"),
    (WALK, "delete the walk", "undo"),
    (WALK, "never mind, it was closer to 45 min", "amount 45 min"),
]


@pytest.mark.parametrize(("before", "text", "expected"), CORRECTIONS)
def test_correction_is_understood(table, before, text, expected):
    noted, noted_at, now = before
    last = understand(noted, context_at(noted_at, table)).entries[0]
    assert read(text, context_at(now, table, last=last)) == expected


def test_nothing_is_taken_back_where_nothing_was_noted(table):
    assert (
        read("I didn't eat that", context_at("13:00", table))
        == "nothing “I didn't eat that” | ? HOW TO SAY IT"
    )
