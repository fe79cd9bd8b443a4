"""Figures of a packet. Energy factors: Regulation (EU) 1169/2011, annex XIV (from memory)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.model.entries import Nutrients
from bot.understanding.foods.labels import WORKED_OUT, read_label, work_out_kcal

READ = [
    # figures, grams of one, energy, carbohydrate, fibre, sugars, fat, saturated, protein
    ("60 g, 21 g carbs, 15 g protein, 9 g fat per bar", 60, 225, 21, None, None, 9, None, 15),
    ("60g, 21g carbs, 15g protein, 9g fat, 230 kcal", 60, 230, 21, None, None, 9, None, 15),
    ("60 g: carbs 21, fat 9, protein 15", 60, 225, 21, None, None, 9, None, 15),
    ("60 g each; carbohydrate 21 g, of which sugars 4 g, fat 9 g, of which saturates 3, protein 15, fibre 5",
     60, 235, 21, 5, 4, 9, 3, 15),
    ("per 100 g: 35 g carbs, 25 g protein, 15 g fat", 100, 375, 35, None, None, 15, None, 25),
    ("per 100 g 35 g carbs, 25 g protein, 15 g fat; a bar is 60 g", 60, 225, 21, None, None, 9, None, 15),
    ("21,5 g carbs per 60 g", 60, None, 21.5, None, None, None, None, None),
    ("60 g, 941 kJ, 21 g carbs", 60, 941 / 4.184, 21, None, None, None, None, None),
    ("60 g, 26 g total carbs, 5 g fibre, 15 g protein, 9 g fat", 60, 235, 21, 5, None, 9, None, 15),
]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "grams", "kcal", "carbs", "fibre", "sugars", "fat", "saturated", "protein"), READ
)
def test_figures_become_those_of_one(text, grams, kcal, carbs, fibre, sugars, fat, saturated, protein):
    label = read_label("bar", text)
    assert label.item is not None, label.problem
    held = label.item.nutrients
    assert label.item.grams == grams
    got = (held.energy_kcal, held.carbs_g, held.fibre_g, held.sugars_g, held.fat_g, held.saturated_fat_g)
    for value, wanted in zip(
        (*got, held.protein_g), (kcal, carbs, fibre, sugars, fat, saturated, protein), strict=True
    ):
        assert value == (None if wanted is None else pytest.approx(wanted))


def test_energy_is_said_to_be_worked_out_only_when_it_was():
    assert read_label("bar", "60 g, 21 g carbs, 15 g protein, 9 g fat").item.assumed == WORKED_OUT
    assert read_label("bar", "60 g, 21 g carbs, 15 g protein, 9 g fat, 230 kcal").item.assumed == ""
    assert read_label("bar", "60 g, 21 g carbs").item.nutrients.energy_kcal is None
    assert work_out_kcal(Nutrients(None, 10.0, 3.0, None, 2.0, None, 5.0)) == 10 * 4 + 3 * 2 + 2 * 9 + 5 * 4


REFUSED = [
    ("60 g, 50 g carbs, 15 g protein", "more than 60 g hold"),
    ("60 g, 10 g carbs, 20 g sugars", "more than 60 g hold"),
    ("20 g protein", "How much carbohydrate"),
    ("21 g carbs, 9 g fat", "What does one weigh"),
]


@pytest.mark.parametrize(("text", "says"), REFUSED)
def test_what_cannot_be_is_refused_with_how_to_say_it(text, says):
    label = read_label("bar", text)
    assert label.item is None
    assert says in label.problem
    assert "my bar: 60 g" in label.problem


@pytest.mark.parametrize(
    "text", ["60 g oats and milk", "a 60 g protein bar", "30 g protein powder, low fat milk", "fat free"]
)
def test_foods_are_no_figures(text):
    assert read_label("bar", text) is None


amounts = st.integers(0, 200).map(lambda n: n / 10)


@given(carbs=amounts, protein=amounts, fat=amounts, fibre=amounts, base=st.integers(81, 400))
def test_what_was_written_is_read(carbs, protein, fat, fibre, base):
    text = f"{base} g, {carbs} g carbs, {protein} g protein, {fat} g fat, {fibre} g fibre"
    held = read_label("bar", text).item.nutrients
    assert (held.carbs_g, held.protein_g, held.fat_g, held.fibre_g) == pytest.approx(
        (carbs, protein, fat, fibre)
    )
    assert held.energy_kcal == pytest.approx(4 * (carbs + protein) + 9 * fat + 2 * fibre)


@given(carbs=amounts, base=st.integers(21, 400), one=st.integers(1, 400))
def test_per_100_g_and_per_piece_agree(carbs, base, one):
    per_piece = read_label("bar", f"{base} g, {carbs} g carbs").item
    per_base = read_label("bar", f"per {base} g {carbs} g carbs; one is {one} g").item
    assert per_base.grams == one
    assert per_base.nutrients.carbs_g * base == pytest.approx(per_piece.nutrients.carbs_g * one)
