"""Messages that change what was noted before: a breakfast of rye toast, butter and egg at 7:15."""

import pytest

from bot.understanding import understand
from tests.bot.understanding.compact import compact, context_at, read

BREAKFAST = "2 slices rye toast with butter and a boiled egg at 7:15"

AFTER_BREAKFAST = [
    ("undo", "undo"),
    ("undo that please", "undo"),
    ("delete that", "undo"),
    ("scrap that", "undo"),
    ("no, 150 g rice", "which"),
    ("it was 80 g butter", "amount: butter 80"),
    ("actually 3 slices", "amount: rye toast 90"),
    ("make that 3 slices", "amount: rye toast 90"),
    ("sorry I meant 2 eggs and 20 g butter", "amount: boiled egg 100 | amount: butter 20"),
    ("no, it was 3 slices of rye toast", "amount: rye toast 90"),
    ("the butter was 20 g", "amount: butter 20"),
    ("change the butter to 20 g", "amount: butter 20"),
    ("not 2 but 3 slices", "amount: rye toast 90"),
    ("remove the butter", "remove: butter 10~"),
    ("no butter after all", "remove: butter 10~"),
    ("without the butter", "remove: butter 10~"),
    ("skipped the butter in the end", "remove: butter 10~"),
    ("I didn't have the egg", "remove: boiled egg 50"),
    ("remove the zorblax", "nothing “remove the zorblax” | ? HOW TO SAY IT"),
    ("add a banana", "add: banana 120"),
    ("and a banana too", "add: banana 120"),
    ("also a coffee", "add: coffee 200~"),
    ("oops forgot: a glass of orange juice", "add: orange juice 200"),
    ("it was at 8", "time: 08:00"),
    ("no, at 8:15", "time: 08:15"),
    ("at 8:15 not 7:15", "time: 08:15"),
    ("it was at 22:00", "? 22:00 is still to come: when was it? Say it like “it was at 8:15”."),
    ("it was yesterday", "time: 01.07:15"),
    ("it was 20 min ago", "time: 12:40, lunch"),
    ("that was dinner, not lunch", "slot: dinner"),
    ("it was a snack", "slot: snack"),
    ("dinner not breakfast", "slot: dinner"),
    ("it was lunch at 12:30", "time: 12:30, lunch"),
    ("rye bread not rye toast", "amount: rye bread 60"),
    ("coffee instead of egg", "amount: coffee 200~"),
    ("no", "nothing “no” | ? WHAT TO CHANGE"),
    (
        "no, walked 20 min",
        "? I keep only what happened, so a “no” to moving is not noted; say it like “walked 10 min”.",
    ),
    ("2 eggs", "amount: boiled egg 100"),
    ("and walked 10 min", "light walk 10 min 12:50~"),
    ("it was great", "nothing “it was great” | ? HOW TO SAY IT"),
]

ANSWERS = [
    ("150 g rice", "amounts", "lunch 13:00~: rice 150"),
    ("3 slices", "amounts", "amount: rye toast 90"),
    ("3 slices rye toast, 20 g butter", "amounts", "amount: rye toast 90 | amount: butter 20"),
    ("7:30", "time", "time: 07:30"),
    ("8", "time", "time: 08:00"),
    ("half past 7", "time", "time: 07:30"),
    ("20 min ago", "time", "time: 12:40, lunch"),
    ("yesterday 8pm", "time", "time: 01.20:00, dinner"),
    ("0715", "time", "time: 07:15"),
    ("pizza at 12", "time", "lunch 12:00: pizza 300~"),
    ("5.4 at 9:10", "amounts", "5.40 09:10"),
]

WITHOUT_ANYTHING_BEFORE = [
    ("undo", "undo"),
    ("no, 150 g rice", "amount: rice 150"),
    ("it was at 8", "time: 08:00"),
    ("remove the butter", "remove: butter 5~"),
    ("that was dinner, not lunch", "slot: dinner"),
    ("add a banana", "add: banana 120"),
    ("make that 80 g oats", "amount: oats 80"),
]


@pytest.fixture
def breakfast(table):
    return understand(BREAKFAST, context_at("08:00", table)).entries[0]


@pytest.mark.parametrize(("text", "expected"), AFTER_BREAKFAST)
def test_correction_of_the_last_meal(table, breakfast, text, expected):
    assert read(text, context_at("13:00", table, last=breakfast)) == expected


@pytest.mark.parametrize(("text", "answering", "expected"), ANSWERS)
def test_bare_answer_to_what_was_asked(table, breakfast, text, answering, expected):
    context = context_at("13:00", table, last=breakfast, answering=answering)
    assert read(text, context) == expected


@pytest.mark.parametrize(("text", "expected"), WITHOUT_ANYTHING_BEFORE)
def test_correction_is_known_by_its_words_alone(table, text, expected):
    assert read(text, context_at("13:00", table)) == expected


def test_time_of_an_earlier_day_stays_on_that_day(table):
    late = understand("pizza yesterday at 21:00", context_at("08:00", table)).entries[0]
    context = context_at("08:00", table, last=late)
    assert compact(understand("it was at 7pm", context), context.zone) == "time: 01.19:00"


def test_amount_alone_for_two_foods_it_fits_is_asked_about(table):
    fruit = understand("a banana and an apple", context_at("08:00", table)).entries[0]
    said = read("actually 2", context_at("08:00", table, last=fruit))
    assert said == "which"
