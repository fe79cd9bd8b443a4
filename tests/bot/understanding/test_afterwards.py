"""What is said of a meal or a movement minutes later: whose it was, what else, what only, how long."""

import pytest

from bot.model.entries import Correction, Stored
from bot.understanding import understand
from bot.understanding.context import Noted
from tests.bot.understanding.compact import context_at, read

SAID = [
    ("pizza, salad and a beer", "the beer was for my wife", "remove: beer 400"),
    ("pizza, salad and a beer", "my mate drank the beer", "remove: beer 400"),
    ("pizza, salad and a beer", "the salad was hers, i only had the pizza and the beer", "remove: salad 80~"),
    ("pizza, salad and a beer", "she had the salad", "remove: salad 80~"),
    ("pizza, salad and a beer", "the beer went to my brother", "remove: beer 400"),
    ("8 dumplings and soup", "3 of the dumplings were mine, my son had the rest", "amount: dumpling 66"),
    ("8 dumplings and soup", "mine was 3 dumplings", "amount: dumpling 66"),
    ("burger and fries", "that was my daughter's", "undo"),
    ("toast and tea", "my husband had the toast, I just had the tea", "remove: toast 60~"),
    ("toast and tea", "leave out the toast, I only had the tea", "remove: toast 60~"),
    ("rice and curry", "no rice, only the curry", "amount: curry 280~"),
    ("ham and cheese sandwich", "without cheese", "amount: ham sandwich 150~"),
    ("tea and biscuits", "the tea had honey", "add: honey 15~"),
    ("toast and tea", "milk in the tea", "add: milk 30~"),
    ("toast and tea", "the tea had sugar", "add: sugar 5~"),
    ("toast and tea", "tea was green tea", "amount: green tea 250~"),
    ("toast with jam", "sorry it was honey", "amount: honey 20~"),
    ("toast with butter", "butter was margarine", "amount: margarine 10~"),
    ("croissant, latte", "remove the coffee", "remove: latte 300~"),
    ("oats with milk", "and there were some raisins in it", "add: raisins 30~"),
    ("oats with milk", "with a banana sliced on top", "add: banana 118"),
    ("souvlaki with pita and greek salad", "sorry not pita, it was with rice", "amount: rice 180~"),
    ("porridge at 7.30", "time was 6.45", "time: 06:45"),
    ("mowed lawns 11 till 12", "11 till 11.30 i mean", "time: 11:00"),
    ("walked 30 min", "it was 45 min, from 11", "amount 45 min | time: 11:00"),
    ("slept 11 to 7", "the first one was 12 to 6", "time: 00:00"),
    ("2 slices of toast", "should have stopped at 2 slices but had 4", "amount: toast 120"),
    ("steak at six", "not six, seven thirty", "time: 07:30"),
    ("bread with butter and coffee", "no, this was yesterday, today i had only coffee", "which"),
    ("pizza, 8 slices", "i ate 3 he ate 5", "amount: pizza 300"),
    ("toast and coffee", "it wasn't toast it was a slice of zopira", "which"),
    ("rolls and coffee", "it was not rolls, it was a piece of tyropita", "amount: tyropita 140"),
    ("toast", "once a day is plenty", "nothing “once a day is plenty” | ? HOW TO SAY IT"),
]


def _noted(*told, table):
    log = []
    for k, said in enumerate(told):
        context = context_at(f"{12 + 3 * k}:30", table, log=tuple(log))
        entries = [e for e in understand(said, context).entries if isinstance(e, Stored)]
        log += [Noted(len(log) + 1 + n, entry, context.now) for n, entry in enumerate(entries)]
    return tuple(log)


@pytest.mark.parametrize(("before", "text", "expected"), SAID)
def test_said_afterwards(real_table, before, text, expected):
    log = _noted(before, table=real_table)
    assert read(text, context_at("12:36", real_table, log=log)) == expected


def test_what_is_taken_back_beside_something_new_is_the_entry_before(real_table):
    log = _noted("fish fingers, chips and beans", table=real_table)
    said = understand("scratch that. I had 2 eggs", context_at("12:36", real_table, log=log))
    assert [e.target for e in said.entries if isinstance(e, Correction)] == [1]


def test_which_of_two_alike_is_asked(real_table):
    log = _noted("coffee with milk", "coffee with milk", table=real_table)
    said = read("the coffee had sugar in it", context_at("15:33", real_table, log=log))
    assert said == "which"


@pytest.mark.parametrize(
    "text",
    ["the chai had 2 sugars in it", "the chai at 12:30 had 2 sugars in it", "the lunch chai had sugar in it"],
)
def test_what_stands_on_another_plate_too_is_put_into_what_is_named(real_table, text):
    log = _noted("chai with milk and 2 mandazi", "porridge with sugar", table=real_table)
    said = understand(text, context_at("19:00", real_table, log=log))
    assert [(e.target, e.what) for e in said.entries if isinstance(e, Correction)] == [(1, "add")]


OTHERS_HAD = [
    ("3 chicken fajitas", "one of the fajitas went to the dog lol", "amount: chicken fajita 260"),
    ("4 slices of pizza", "one slice went to my daughter", "amount: pizza 300"),
    ("6 chicken wings and chips", "two of the wings were for Sam", "amount: chicken wing 128"),
    ("6 chicken wings and chips", "the dog got one wing", "amount: chicken wing 160"),
    ("6 chicken wings and chips", "left 2 of the wings", "amount: chicken wing 128"),
    ("6 chicken wings and chips", "gave 2 of the wings to Grace", "amount: chicken wing 128"),
    ("3 pancakes", "my son ate one of them", "amount: pancake 76"),
    ("3 pancakes", "left one", "amount: pancake 76"),
    ("3 tacos", "one of the tacos was my wifes", "amount: taco 200"),
    ("3 tacos", "i left half a taco", "amount: taco 250"),
    ("dal and 2 rotis", "my daughter ate both rotis", "remove: roti 84"),
    ("poha and tea", "the tea had a little milk", "add: milk 30~"),
    ("200 g rice and dal", "left 50 g of the rice", "amount: rice 150"),
    ("2 samosas and tea", "my brother had 2 of the samosas", "remove: samosa 140"),
]


@pytest.mark.parametrize(("before", "text", "expected"), OTHERS_HAD)
def test_what_others_had_of_it_comes_off(real_table, before, text, expected):
    log = _noted(before, table=real_table)
    assert read(text, context_at("12:36", real_table, log=log)) == expected


@pytest.mark.parametrize("text", ["no rotis", "my daughter ate both rotis", "the rotis were rice"])
def test_what_went_no_longer_names_the_meal(real_table, text):
    log = _noted("dal, 2 rotis, sabzi", table=real_table)
    said = understand(text, context_at("12:36", real_table, log=log))
    [after] = [e.after for e in said.entries if isinstance(e, Correction)]
    assert "roti" not in after.said
    assert "dal" in after.said


@pytest.mark.parametrize("text", ["same again", "another round", "one more", "two more of those"])
def test_more_of_a_plate_without_food_raises_nothing(real_table, text):
    log = _noted("a spoon of vinegar", table=real_table)
    assert understand(text, context_at("12:36", real_table, log=log)) is not None
