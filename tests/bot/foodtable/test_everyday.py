"""The everyday names as data: every line makes sense and leads somewhere."""

from collections import Counter

import pytest

from bot.foodtable.composition import load_composition
from bot.foodtable.everyday import (
    PRACTICE,
    SIZES,
    UNITS,
    USDA,
    key_names,
    read_everyday,
    read_measures,
    read_weight,
)
from bot.foodtable.words import make_key

ENTRIES = read_everyday()


def test_there_are_the_few_hundred_foods_people_say():
    assert len(ENTRIES) >= 450


def test_every_food_is_a_row_of_the_composition_table(food_cache):
    table = load_composition(food_cache)
    assert [e.name for e in ENTRIES if e.food not in table] == []


def test_every_everyday_food_has_the_nutrients_a_reply_shows(food_cache):
    table = load_composition(food_cache)
    for entry in ENTRIES:
        per_100g = table[entry.food].per_100g
        assert None not in (per_100g.energy_kcal, per_100g.carbs_g, per_100g.fat_g, per_100g.protein_g)


def test_no_name_means_two_foods():
    owners = Counter(key for e in ENTRIES for key in {make_key(name) for name in (e.name, *e.also)})
    assert [key for key, count in owners.items() if count > 1] == []


def test_every_name_leads_to_its_own_food():
    keys = key_names(ENTRIES)
    for entry in ENTRIES:
        for name in (entry.name, *entry.also):
            assert keys[make_key(name)].entry is entry


def test_measures_are_of_known_units_and_sizes_and_in_order():
    for entry in ENTRIES:
        for (unit, size), weight in entry.measures.items():
            assert unit in UNITS
            assert size == "" or size in SIZES
            assert 0 < weight.low <= weight.grams <= weight.high
        small, large = (entry.measures.get(("piece", size)) for size in ("small", "large"))
        if small and large:
            assert small.grams < large.grams, entry.name


def test_portions_have_a_real_range():
    for entry in ENTRIES:
        assert entry.portion.low < entry.portion.grams < entry.portion.high, entry.name
        assert entry.portion.source == PRACTICE


def test_a_line_of_measures():
    density, weights = read_measures("slice 32 (25-45), thin slice 25, large ~60, bag 30, density 1.03")
    assert density == 1.03
    assert weights["slice", ""].low == 25
    assert weights["slice", "thin"].grams == 25
    assert weights["slice", "thin"].source == USDA
    assert weights["piece", "large"].source == PRACTICE
    assert weights["sachet", ""].grams == 30


@pytest.mark.parametrize("wrong", ["", "slice", "32 (40-50)", "-3", "32 (25)"])
def test_a_figure_that_makes_no_sense_is_refused(wrong):
    with pytest.raises(ValueError, match=r"figure|range"):
        read_weight(wrong)


def test_an_unknown_unit_is_refused():
    with pytest.raises(ValueError, match="no such unit"):
        read_measures("slcie 32")
