"""Which question is worth asking: one, where two readings of a note differ enough, and never twice."""

import pytest

from bot.model.amending import amend
from bot.understanding import understand
from bot.understanding.personal import Personal, Usual
from bot.understanding.worth_asking import MATTERS_G, choose_question
from tests.bot.understanding.compact import context_at

NEVER = frozenset()


def question(text, context, asked=NEVER):
    meals = understand(text, context).entries
    return meals, choose_question(meals, context, lambda about: about in asked)


def test_a_portion_that_matters_is_asked_for_with_its_sizes(table):
    # 100-300 g of rice at 10 g in 100 g: 20 g of carbohydrate between them
    (meal,), ask = question("rice and an egg", context_at("12:30", table))
    assert (ask.about, ask.typed, ask.meal) == ("portion RICE", "portion rice", 0)
    assert ask.text == "Roughly how much rice?"
    assert [c.label for c in ask.choices] == ["100 g", "180 g", "300 g"]
    after = amend(meal, ask.choices[2].correction)
    assert [(i.name, i.grams, i.stated) for i in after.items] == [("rice", 300, True), ("egg", 50, True)]
    assert after.items[0].nutrients.carbs_g == pytest.approx(30)


@pytest.mark.parametrize(
    "text", ["200 g rice", "butter", "a mug of coffee", "2 slices toast", "zorblax", "a walk"]
)
def test_what_was_said_or_matters_little_is_not_asked(table, text):
    context = context_at("12:30", table)
    entries = tuple(e for e in understand(text, context).entries if hasattr(e, "items"))
    assert choose_question(entries, context, lambda about: False) is None


def test_a_drink_without_carbohydrate_is_not_asked_about(real_table):
    assert question("coffee", context_at("12:30", real_table))[1] is None


def test_the_food_that_matters_most_is_asked_first_and_each_once(table):
    context = context_at("12:30", table)
    _, first = question("rice and pizza", context)
    assert first.about == "portion PIZZA"  # 150-450 g
    _, second = question("rice and pizza", context, {"portion PIZZA"})
    assert second.about == "portion RICE"
    assert question("rice and pizza", context, {"portion PIZZA", "portion RICE"})[1] is None


def test_a_usual_portion_needs_no_question(table):
    usual = Personal(usual=lambda food: Usual(250.0, 2))
    assert question("rice", context_at("12:30", table, personal=usual))[1] is None


def test_a_weight_that_may_be_dry_is_asked_about(real_table):
    (meal,), ask = question("100 g rice and chicken breast", context_at("12:30", real_table))
    assert ask.about.startswith("kind Rice, white, cooked")
    assert [c.label for c in ask.choices] == ["Cooked", "Dry"]
    cooked, dry = (amend(meal, c.correction).items[0] for c in ask.choices)
    assert cooked == meal.items[0]
    assert (dry.name, dry.grams, dry.stated) == ("dry rice", 100, True)
    assert dry.nutrients.carbs_g - cooked.nutrients.carbs_g > MATTERS_G
    assert "cooked" not in dry.assumed


@pytest.mark.parametrize("text", ["100 g cooked rice", "100 g dry rice", "300 g rice", "100 g potatoes"])
def test_a_weight_that_is_clear_is_not_asked_about(real_table, text):
    """300 g of dry rice are no portion; potatoes are the same food raw and cooked to within a few grams."""
    assert question(text, context_at("12:30", real_table))[1] is None


def test_an_answered_kind_is_taken(real_table):
    personal = Personal(kind_of=lambda food: "dry rice" if food.startswith("Rice") else None)
    context = context_at("12:30", real_table, personal=personal)
    (meal,), ask = question("100 g rice", context)
    assert ask is None
    assert (meal.items[0].name, meal.items[0].grams) == ("dry rice", 100)
    (cooked,), _ = question("100 g cooked rice", context)
    assert cooked.items[0].food != meal.items[0].food


TIMES = [
    ("2026-03-02T23:00", "200 g rice at 8", ["20:00", "08:00"]),
    ("2026-03-03T00:30", "200 g rice yesterday at 12:15", ["Mon 2 Mar 12:15", "Sun 1 Mar 12:15"]),
    ("2026-03-03T14:00", "200 g rice on Tuesday at 12:15", ["Tue 3 Mar 12:15", "Tue 24 Feb 12:15"]),
]


@pytest.mark.parametrize(("now", "text", "labels"), TIMES)
def test_a_time_that_may_be_another_is_asked_about(table, now, text, labels):
    (meal,), ask = question(text, context_at(now, table))
    assert [c.label for c in ask.choices] == labels
    assert ask.text == f"Was that {labels[0]} or {labels[1]}?"
    same, other = (amend(meal, c.correction) for c in ask.choices)
    assert same.at == meal.at
    assert other.at < meal.at
    assert question(text, context_at(now, table), {ask.about})[1] is None


@pytest.mark.parametrize(
    ("now", "text"),
    [
        ("2026-03-02T21:00", "200 g rice at 8"),  # an hour ago
        ("2026-03-02T23:00", "200 g rice at 8pm"),
        ("2026-03-02T23:00", "200 g rice at 20:00"),
        ("2026-03-02T23:00", "dinner at 8: 200 g rice"),
        ("2026-03-02T12:00", "200 g rice at 8"),  # evening is still to come
        ("2026-03-03T09:00", "200 g rice yesterday at 12:15"),
        ("2026-03-03T14:00", "200 g rice last Tuesday at 12:15"),
        ("2026-03-04T14:00", "200 g rice on Tuesday at 12:15"),
    ],
)
def test_a_time_that_is_clear_is_not(table, now, text):
    assert question(text, context_at(now, table))[1] is None


@pytest.mark.parametrize(
    ("text", "expected"),
    [("250 g", 250), ("about 250 g", 250), ("a cup", 160), ("250", 250), ("no, 90 g", 90)],
)
def test_a_bare_amount_answers(table, text, expected):
    lunch = understand("rice and chicken", context_at("12:30", table)).entries[0]
    context = context_at("12:35", table, last=lunch, answering="portion rice")
    (correction,) = understand(text, context).entries
    assert (correction.what, correction.items[0].name, correction.items[0].grams) == (
        "amount",
        "rice",
        expected,
    )


@pytest.mark.parametrize(
    ("text", "kind"),
    [("5.4", "Reading"), ("2 eggs", "Meal"), ("walked 10 min", "Activity"), ("20 min ago 2 eggs", "Meal")],
)
def test_anything_else_is_no_answer(table, text, kind):
    lunch = understand("rice and chicken", context_at("12:30", table)).entries[0]
    context = context_at("12:35", table, last=lunch, answering="portion rice")
    assert [type(e).__name__ for e in understand(text, context).entries] == [kind]
