"""Words of the person's own: how they are taught, and that they win over the general ones."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.model.entries import Correction, Item, Meal, Nutrients, Question
from bot.understanding import understand, word_entry
from bot.understanding.foods.own_table import MARK
from bot.understanding.personal import Own, Personal, Usual
from bot.understanding.words.wordlists import word_set
from tests.bot.understanding.compact import VIENNA, context_at, entry_line, read
from tests.bot.understanding.small_table import build_small_table

TABLE = build_small_table()


def plate(text: str) -> Meal:
    (meal,) = understand(text, context_at("08:00", TABLE)).entries
    assert isinstance(meal, Meal)
    return replace(meal, at=None)


def food(name: str, grams: float, carbs: float) -> Own:
    item = Item(name, name, name + MARK, grams, grams, grams, True, 1.0, Nutrients(carbs_g=carbs))
    return Own("food", Meal(None, "snack", (item,)))


WORDS = {
    "early-shift breakfast": Own("meal", plate("60 g oats, 200 ml milk and a pear")),
    "muesli": Own("meal", plate("60 g oats, 20 g almonds and 10 g vinegar")),
    "protein bar": food("protein bar", 60, 21),
    "late coffee": Own("meal", plate("a mug of coffee with 30 ml milk")),
    "toast": food("toast", 50, 10),
}
PERSONAL = Personal(WORDS)

SAID = [
    ("my early-shift breakfast at 4:20", "breakfast 04:20: oats 60, milk 206, pear 180"),
    ("early shift breakfast", "breakfast 08:00~slot: oats 60, milk 206, pear 180"),
    ("half my muesli and a banana", "dinner 20:30~: oats 30~, almonds 10~, banana 120, +vinegar 10"),
    ("my protein bar and a mug of coffee", "dinner 20:30~: protein bar 60~, coffee 250"),
    ("2 protein bars", "dinner 20:30~: protein bar 120"),
    ("45 g protein bar", "dinner 20:30~: protein bar 45"),
    ("toast with 10 g butter", "dinner 20:30~: toast 50~, butter 10"),
    ("early-shift breakfast without milk", "breakfast 08:00~slot: oats 60, pear 180"),
    ("early-shift breakfast without jam", "breakfast 08:00~slot: oats 60, milk 206, pear 180"),
    ("late coffee", "drink 20:30~: coffee 250, milk 30.9"),
    ("lunch at 12: my muesli", "lunch 12:00: oats 60, almonds 20, +vinegar 10"),
    ("add my muesli", "add: oats 60, almonds 20"),
]


@pytest.mark.parametrize(("text", "expected"), SAID)
def test_own_words_win_and_plates_are_spelt_out(text, expected):
    assert read(text, context_at("20:30", TABLE, personal=PERSONAL)) == expected


def test_an_own_food_has_its_own_figures():
    (meal,) = understand("2 protein bars", context_at("20:30", TABLE, personal=PERSONAL)).entries
    assert meal.nutrients.carbs_g == pytest.approx(42)
    assert meal.items[0].food == "protein bar (your own)"


def test_without_own_words_the_same_text_means_the_general_food():
    assert read("toast with 10 g butter", context_at("20:30", TABLE)) == "dinner 20:30~: toast 60~, butter 10"


TAUGHT = [
    ("call this my early-shift breakfast", "name", "early-shift breakfast"),
    ("please name that one “Tram Lunch”.", "name", "tram lunch"),
    ("save the last meal as depot soup", "name", "depot soup"),
    ("my protein bar: 60 g, 21 g carbs, 15 g protein, 9 g fat per bar", "teach", "protein bar"),
    ("protein bar = 60 g, 21 g carbs, 15 g protein, 9 g fat", "teach", "protein bar"),
    ("my muesli is 60 g oats, 20 g almonds and 10 g cheese", "teach", "muesli"),
    ("my usual sandwich: 2 slices bread, 20 g cheese", "teach", "usual sandwich"),
    ("forget my protein bar", "forget", "protein bar"),
    ("forget protein bars", "forget", "protein bars"),
]


@pytest.mark.parametrize(("text", "what", "name"), TAUGHT)
def test_teaching_is_a_correction(text, what, name):
    (entry,) = understand(text, context_at("08:00", TABLE, personal=PERSONAL)).entries
    assert isinstance(entry, Correction)
    assert (entry.what, entry.name) == (what, name)


@pytest.mark.parametrize("text", [text for text, what, _ in TAUGHT if what == "teach"])
def test_teaching_reads_back_what_it_was_worded_as(text):
    context = context_at("08:00", TABLE)
    (entry,) = understand(text, context).entries
    (again,) = understand(word_entry(entry, VIENNA), context).entries
    same = [[(i.name, i.grams, i.nutrients) for i in e.items] for e in (entry, again)]
    assert same[0] == same[1]
    assert (entry.what, entry.name) == (again.what, again.name)


def test_a_meal_noted_with_its_name_is_called_so():
    (meal,) = understand(
        "call this my tram lunch: 2 slices bread, 20 g cheese", context_at("08:00", TABLE)
    ).entries
    assert isinstance(meal, Meal)
    assert (meal.called, meal.slot, [i.name for i in meal.items]) == (
        "tram lunch",
        "lunch",
        ["bread", "cheese"],
    )


NO_TEACHING = [
    ("breakfast is 2 eggs", "breakfast 08:00~: egg 100"),
    ("my breakfast: 60 g oats and milk", "breakfast 08:00~: oats 60, milk 200~"),
    ("my glucose is 5.4", "5.40 08:00~"),
    ("lunch at 7: 20 g protein bar, 1 egg", None),
    ("forget that", "undo"),
    ("my sister is eating pizza", None),
]


@pytest.mark.parametrize(("text", "expected"), NO_TEACHING)
def test_notes_are_no_teaching(text, expected):
    understood = understand(text, context_at("08:00", TABLE))
    kinds = [e.what for e in understood.entries if isinstance(e, Correction)]
    assert kinds in ([], ["undo"])
    if expected is not None:
        assert " | ".join(entry_line(e, VIENNA) for e in understood.entries) == expected


@pytest.mark.parametrize(
    "text", ["call this", "call this lunch", "name it my the", "call this my 1 2 3 4 5 6 7 8"]
)
def test_a_name_that_is_none_is_asked_for(text):
    understood = understand(text, context_at("08:00", TABLE))
    assert understood.entries == ()
    assert "call this my early-shift breakfast" in understood.asks[0]


@pytest.mark.parametrize(
    "text", ["what are my words?", "list my foods", "show me my words", "my words", "which words do you know"]
)
def test_words_can_be_asked_for(text):
    (entry,) = understand(text, context_at("08:00", TABLE)).entries
    assert isinstance(entry, Question)
    assert (entry.about, entry.subject) == ("other", "my words")


# ---- meals named by an earlier one

YESTERDAY, TUESDAY = date(2026, 3, 1), date(2026, 2, 24)
EATEN = {
    ("breakfast", YESTERDAY): plate("60 g oats and 200 ml milk"),
    ("lunch", TUESDAY): plate("lunch: 200 g rice and 100 g chicken"),
    ("dinner", YESTERDAY): plate("dinner: 300 g pasta"),
    ("breakfast", None): plate("2 eggs"),
    ("breakfast", date(2026, 3, 2)): plate("3 eggs"),
    (None, None): plate("80 g bread"),
}
RECALLING = Personal(recall=lambda slot, day: EATEN.get((slot, day)))

RECALLED = [
    ("same as yesterday's breakfast", "breakfast 08:00~: oats 60, milk 206"),
    (
        "the same thing as yesterday’s breakfast at 7:15, plus a banana",
        "breakfast 07:15: oats 60, milk 206, banana 120",
    ),
    ("same breakfast as yesterday", "breakfast 08:00~: oats 60, milk 206"),
    ("same as yesterday", "breakfast 08:00~: oats 60, milk 206"),
    ("same as breakfast at 7:30", "breakfast 07:30: egg 150"),
    ("half of Tuesday's lunch", "breakfast 08:00~: rice 100~, chicken 50~"),
    ("half of Tuesday's lunch and a mug of coffee", "breakfast 08:00~: rice 100~, chicken 50~, coffee 250"),
    ("the rest of last night's dinner", "breakfast 08:00~: pasta 300~"),
    ("leftovers from last night", "breakfast 08:00~: pasta 300~"),
    ("the usual", "breakfast 08:00~: egg 100"),
    ("my usual breakfast at 7", "breakfast 07:00: egg 100"),
    ("breakfast as usual", "breakfast 08:00~: egg 100"),
    ("same again", "breakfast 08:00~: bread 80"),
    ("again", "breakfast 08:00~: bread 80"),
]


@pytest.mark.parametrize(("text", "expected"), RECALLED)
def test_a_meal_named_by_an_earlier_one(text, expected):
    assert read(text, context_at("08:00", TABLE, personal=RECALLING)) == expected


def test_a_rest_may_have_been_half_as_much():
    (meal,) = understand(
        "the rest of last night's dinner", context_at("08:00", TABLE, personal=RECALLING)
    ).entries
    (pasta,) = meal.items
    assert (pasta.grams_low, pasta.stated) == (pytest.approx(300 * 0.95 / 2), False)
    assert pasta.assumed == "as much as was noted then"


UNKNOWN = [
    ("same as Wednesday's lunch", "I have no lunch noted for Wednesday"),
    ("half of yesterday's lunch", "I have no lunch noted for yesterday"),
    ("the usual for dinner", "I do not know your usual dinner yet"),
    ("lunch as usual", "I do not know your usual lunch yet"),
]


@pytest.mark.parametrize(("text", "says"), UNKNOWN)
def test_an_unknown_one_is_asked_about_once(text, says):
    understood = understand(text, context_at("08:00", TABLE, personal=RECALLING))
    assert understood.entries == ()
    (ask,) = understood.asks
    assert ask.startswith(says)
    assert "say what it was, like" in ask


def test_beside_an_unknown_one_the_rest_is_noted():
    text = "same as Wednesday's lunch and a banana"
    understood = understand(text, context_at("08:00", TABLE, personal=RECALLING))
    assert [i.name for e in understood.entries for i in e.items] == ["banana"]
    assert len(understood.asks) == 1


@pytest.mark.parametrize(
    "text",
    ["my usual porridge", "yesterday's dinner at 22:00: pizza", "how was my usual breakfast?", "rest day"],
)
def test_other_words_of_habit_name_no_meal(text):
    def never(slot, day):
        raise AssertionError("looked up")

    understand(text, context_at("08:00", TABLE, personal=Personal(recall=never)))


# ---- usual portions


USUAL = Personal(usual=lambda food: Usual(250.0, 3) if food == "RICE" else None)


@pytest.mark.parametrize(
    ("text", "grams", "assumed"),
    [("rice", 250, "your usual 250 g"), ("some rice", 250, "your usual 250 g"), ("120 g rice", 120, "")],
)
def test_the_usual_portion_stands_in_where_none_is_said(text, grams, assumed):
    (meal,) = understand(text, context_at("12:00", TABLE, personal=USUAL)).entries
    (rice,) = meal.items
    assert (rice.grams, rice.assumed) == (pytest.approx(grams), assumed)
    assert rice.nutrients.carbs_g == pytest.approx(grams / 10)  # 10 g in 100 g of every food of this table
    assert rice.stated == (assumed == "")
    assert rice.grams_low <= rice.grams <= rice.grams_high


def test_nothing_is_looked_up_where_amounts_are_said():
    def never(food):
        raise AssertionError("looked up")

    understand("60 g oats and 200 ml milk", context_at("08:00", TABLE, personal=Personal(usual=never)))


# ---- any words at all

PIECES = sorted(
    word_set(
        "my early-shift breakfast muesli protein bar bars half the rest of same as yesterday's lunch usual"
    )
    | word_set("again and with 2 60 g call this is : , forget at 7 not ; ? toast late coffee what are words")
)
MIXTURES = st.lists(st.sampled_from(PIECES), max_size=20).map(" ".join)


@settings(deadline=None, max_examples=300)
@given(text=MIXTURES | st.text(max_size=300), answering=st.sampled_from(["", "amounts", "portion muesli"]))
def test_no_words_raise_where_own_ones_are_known(text, answering):
    personal = replace(RECALLING, words=WORDS, usual=USUAL.usual)
    context = context_at("08:00", TABLE, personal=personal, answering=answering)
    understood = understand(text, context)
    for entry in understood.entries:
        for item in getattr(entry, "items", ()):
            assert 0 <= item.grams_low <= item.grams <= item.grams_high
            if isinstance(entry, Meal) and item.food is not None and item.food.endswith(MARK):
                assert WORDS[item.food.removesuffix(MARK)].kind == "food"
