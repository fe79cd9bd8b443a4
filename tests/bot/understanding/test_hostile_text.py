"""No text at all raises; what cannot be read is said back with one sentence that shows how to say it."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.model.entries import Activity, Meal, Nothing, Reading
from bot.understanding import understand
from bot.understanding.notes.notes import MOST_CLAUSES, too_long
from bot.understanding.reading import HOW_TO_SAY, NO_WORDS
from bot.understanding.words.wordlists import word_set
from tests.bot.understanding.compact import context_at
from tests.bot.understanding.small_table import build_small_table

TABLE = build_small_table()
BREAKFAST = understand("2 slices rye toast with butter and a boiled egg", context_at("08:00", TABLE)).entries[
    0
]

WORDS = sorted(
    word_set(
        "at 7 8:15 0715 half past to a the 2 1/2 ½ - , . ; : ( ) + & and with on then no without not but 60 g"
    )
    | word_set(
        "ml min h hour ago yesterday last night Tuesday egg eggs rye toast butter rice zorblax porridge"
    )
    | word_set(
        "walked after before breakfast lunch 5.4 mmol/L 104 mg/dl synced sensor slept tired how was best"
    )
    | word_set("undo remove add it make that 2026-03-02 25:00 99999999 -50 x couple of few dozen some ?")
    | {"\n"}
)


@pytest.mark.parametrize("last", [None, BREAKFAST])
@pytest.mark.parametrize("answering", ["", "amounts", "time"])
@settings(deadline=None, max_examples=150)
@given(text=st.text(max_size=4096))
def test_no_unicode_text_raises(text, last, answering):
    understand(text, context_at("08:00", TABLE, last=last, answering=answering))


@pytest.mark.parametrize("last", [None, BREAKFAST])
@pytest.mark.parametrize("answering", ["", "amounts", "time"])
@settings(deadline=None, max_examples=300)
@given(words=st.lists(st.sampled_from(WORDS), max_size=30))
def test_no_mixture_of_known_words_raises(words, last, answering):
    context = context_at("08:00", TABLE, last=last, answering=answering)
    understood = understand(" ".join(words), context)
    for entry in understood.entries:
        if isinstance(entry, Meal | Activity | Reading) and entry.at is not None:
            assert (entry.at - context.now).total_seconds() <= 15 * 60
        if isinstance(entry, Meal):
            for item in entry.items:
                assert 0 <= item.grams_low <= item.grams <= item.grams_high


@given(
    foods=st.permutations(["60 g oats", "2 slices toast", "a banana", "200 ml milk", "zorblax", "some rice"])
)
def test_order_of_foods_does_not_change_their_grams(foods):
    (meal,) = understand(", ".join(foods), context_at("08:00", TABLE)).entries
    grams = {item.name: round(item.grams, 6) for item in meal.items}
    assert grams == {"oats": 60, "toast": 60, "banana": 120, "milk": 206, "zorblax": 0, "rice": 180}
    assert len(meal.items) == 6


@given(tenths=st.integers(min_value=20, max_value=300))
def test_the_same_reading_in_either_unit(tenths):
    # 18.0182 mg/dL in one mmol/L; whole mg/dL are off by at most half of one.
    mmol = tenths / 10
    (one,) = understand(f"{mmol} mmol/L", context_at("08:00", TABLE)).entries
    (other,) = understand(f"{mmol * 18.0182:.0f} mg/dL", context_at("08:00", TABLE)).entries
    assert one.mmol == pytest.approx(mmol)
    assert other.mmol == pytest.approx(mmol, abs=0.5 / 18.0182 + 1e-9)


@pytest.mark.parametrize(
    ("value", "mmol"),
    # The pairs are computed with 18.0182; 100 mg/dL = 5.5499 and 180 mg/dL = 9.990 mmol/L.
    [("100", 5.5499), ("180", 9.9899), ("40", 2.2200), ("600", 33.2997)],
)
def test_bare_number_is_in_the_persons_unit(value, mmol):
    (reading,) = understand(value, context_at("08:00", TABLE, unit="mg/dL")).entries
    assert reading.mmol == pytest.approx(mmol, abs=1e-4)


def test_number_out_of_range_in_the_persons_unit_is_asked_about():
    understood = understand("5.4", context_at("08:00", TABLE, unit="mg/dL"))
    assert understood.entries == ()
    assert understood.asks == ("Did you mean 5.4 mmol/L? Then say “5.4 mmol/L”.",)


@pytest.mark.parametrize("text", ["", "   \n\t", "🍌🍌", "…", "!!!", "\u200b\u200d", "¿¡"])
def test_without_words_there_is_one_sentence(text):
    understood = understand(text, context_at("08:00", TABLE))
    assert understood.entries == ()
    assert understood.asks == (NO_WORDS,)


def test_too_long_a_message_is_refused_in_one_sentence():
    understood = understand("2 eggs " * 1500, context_at("08:00", TABLE))
    assert understood.entries == ()
    assert understood.asks == (
        "That is longer than I can read in one go (10,500 characters): send it in parts.",
    )


def test_too_many_words_and_marks_are_refused_in_one_sentence():
    understood = understand("a " * 2048, context_at("08:00", TABLE))
    assert understood.entries == ()
    assert understood.asks == (
        "That is longer than I can read in one go (2,048 words and marks): send it in parts.",
    )


def test_the_longest_message_is_read():
    text = "2 eggs, " * MOST_CLAUSES
    (meal,) = understand(text, context_at("08:00", TABLE)).entries
    assert len(meal.items) == MOST_CLAUSES
    understood = understand(text + "2 eggs", context_at("08:00", TABLE))
    assert understood.asks == (too_long(f"{MOST_CLAUSES + 1} parts"),)


@pytest.mark.parametrize(
    "text",
    [
        "hello there my friend",
        "'; DROP TABLE meals; --",
        "<script>alert('hi')</script>",
        "{{7*7}} ${HOME}",
        "שלום עולם",
        "早上好",
        "1234567890123456789012345678901234567890",
    ],
)
def test_what_is_not_understood_is_said_back(text):
    understood = understand(text, context_at("08:00", TABLE))
    assert understood.entries == (Nothing(text),)
    assert understood.asks == (HOW_TO_SAY,)


def test_part_that_is_not_understood_is_said_back_beside_the_rest():
    understood = understand("2 eggs. My cat is asleep on the sofa", context_at("08:00", TABLE))
    (meal,) = understood.entries
    assert isinstance(meal, Meal)
    assert understood.left_out == ("My cat is asleep on the sofa",)
