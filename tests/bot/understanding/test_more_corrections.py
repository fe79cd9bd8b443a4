"""Corrections in further voices, each after the note it corrects; expected lines read through by eye."""

import pytest

from bot.understanding import understand
from tests.bot.understanding.compact import compact, context_at

RICE = "chicken with 200 g rice and salad at 12:30"
BREAD = "salad and 100 g bread"
TOAST = "2 slices rye toast with butter and a boiled egg at 7:15"
WALK = "walked 20 min at 12:00"

ALL = [
    (RICE, "no, 150 g rice", "amount: rice 150"),
    (RICE, "rice was more like 250", "amount: rice 250"),
    (RICE, "the rice was only 120", "amount: rice 120"),
    (RICE, "rice 150 not 200", "amount: rice 150"),
    (RICE, "150 not 200", "amount: rice 150"),
    (RICE, "it was 150, not 200", "amount: rice 150"),
    (RICE, "half that", "amount: chicken 70, rice 100, salad 40"),
    (RICE, "nope only half of it", "amount: chicken 70, rice 100, salad 40"),
    (RICE, "just half the rice", "amount: rice 100"),
    (RICE, "I only ate half of the rice", "amount: rice 100"),
    (RICE, "double", "amount: chicken 280, rice 400, salad 160"),
    (RICE, "double the salad", "amount: salad 160"),
    (RICE, "swap the salad for spinach", "amount: spinach 90~"),
    (RICE, "replace the rice with pasta", "amount: pasta 200"),
    (RICE, "an hour earlier than I said", "time: 11:30"),
    (RICE, "half an hour later", "time: 13:00"),
    (RICE, "it was 20 min earlier", "time: 12:10"),
    (RICE, "2 hours later", "? 14:30 is still to come: when was it? Say it like “it was at 8:15”."),
    (RICE, "that's dinner from yesterday, not lunch", "time: 01.19:00, dinner"),
    (RICE, "that was yesterday's dinner", "time: 01.19:00, dinner"),
    (RICE, "that was a snack", "slot: snack"),
    (RICE, "that was at 11:45", "time: 11:45"),
    (RICE, "11:45 not 12:30", "time: 11:45"),
    (RICE, "remove the salad", "remove: salad 80~"),
    (RICE, "no salad in the end", "remove: salad 80~"),
    (RICE, "forgot the orange juice", "add: orange juice 200~"),
    (RICE, "plus a banana", "add: banana 120"),
    (RICE, "oh and a coffee", "add: coffee 200~"),
    (RICE, "undo", "undo"),
    (RICE, "delete last", "undo"),
    (RICE, "delete the last entry please", "undo"),
    (BREAD, "bread 50 not 100", "amount: bread 50"),
    ("2 slices toast and an egg", "toast was rye toast btw", "amount: rye toast 60"),
    (TOAST, "3 not 2", "amount: rye toast 90"),
    (TOAST, "make it 3 slices", "amount: rye toast 90"),
    (TOAST, "change the butter to 20 g", "amount: butter 20"),
    (TOAST, "butter was more like 20", "amount: butter 20"),
    (TOAST, "no, half past 7", "time: 07:30"),
    (WALK, "the walk was 30 min", "amount 30 min"),
    (WALK, "it was 30 min", "amount 30 min"),
    (WALK, "30 min not 20", "amount 30 min"),
    (WALK, "no, half an hour", "amount 30 min"),
    (WALK, "make it 45 minutes", "amount 45 min"),
    (WALK, "it was at 11:30", "time: 11:30"),
    (WALK, "10 min later", "time: 12:10"),
    (TOAST, "the walk took 25 minutes", "light walk 25 min 12:35~"),
    ("5.4 at 12:00", "no, 5.8", "amount"),
    ("5.4 at 12:00", "it was at 11:50", "time: 11:50"),
]


@pytest.mark.parametrize(("before", "text", "expected"), ALL)
def test_correction_is_understood(table, before, text, expected):
    last = understand(before, context_at("13:00", table)).entries[0]
    context = context_at("13:00", table, last=last)
    assert compact(understand(text, context), context.zone) == expected


NO_CORRECTION = [
    (TOAST, "half a pizza", "which"),
    (TOAST, "walked 30 min", "light walk 30 min 12:30~"),
    (TOAST, "a 30 min walk", "light walk 30 min 12:30~"),
    (TOAST, "5.4", "5.40 13:00~"),
    (WALK, "20 min nap", "sleep 12:40 to 13:00"),
]


@pytest.mark.parametrize(("before", "text", "expected"), NO_CORRECTION)
def test_note_that_looks_like_a_correction_is_none(table, before, text, expected):
    last = understand(before, context_at("13:00", table)).entries[0]
    context = context_at("13:00", table, last=last)
    assert compact(understand(text, context), context.zone) == expected
