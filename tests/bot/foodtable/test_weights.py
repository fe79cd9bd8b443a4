"""Household measures against USDA household weights (USDA National Nutrient Database, public domain)."""

import pytest

from bot.foodtable.weights import Categories

# words, unit, size, grams, and the USDA food and measure it is read from
USDA_WEIGHTS = [
    ("rye toast", "slice", "", 24, "Bread, rye, toasted: slice, regular"),
    ("rye toast", "slice", "thin", 18, "Bread, rye, toasted: slice, thin"),
    ("rye bread", "slice", "", 32, "Bread, rye: slice, regular"),
    ("wholemeal bread", "slice", "", 32, "Bread, whole-wheat, commercially prepared: slice"),
    ("bagel", "piece", "", 105, 'Bagels, plain: medium bagel (3-1/2" to 4" dia)'),
    ("banana", "piece", "", 118, 'Bananas, raw: medium (7" to 7-7/8" long)'),
    ("banana", "piece", "small", 101, 'Bananas, raw: small (6" to 6-7/8" long)'),
    ("banana", "piece", "large", 136, 'Bananas, raw: large (8" to 8-7/8" long)'),
    ("apple", "piece", "", 182, 'Apples, raw, with skin: medium (3" dia)'),
    ("pear", "piece", "", 178, "Pears, raw: medium"),
    ("kiwi", "piece", "", 69, 'Kiwifruit, green, raw: fruit (2" dia)'),
    ("egg", "piece", "", 50, "Egg, whole, cooked, hard-boiled: large"),
    ("butter", "tbsp", "", 14.2, "Butter, salted: tbsp"),
    ("butter", "stick", "", 113, "Butter, salted: stick"),
    ("honey", "tbsp", "", 21, "Honey: tbsp"),
    ("olive oil", "tbsp", "", 13.5, "Oil, olive, salad or cooking: tablespoon"),
    ("rice", "cup", "", 158, "Rice, white, long-grain, regular, cooked, enriched: cup"),
    ("dry rice", "cup", "", 185, "Rice, white, long-grain, regular, raw, enriched: cup"),
    ("oats", "cup", "", 81, "Cereals, oats, regular and quick, not fortified, dry: cup"),
    ("milk", "cup", "", 246, "Milk, reduced fat, fluid, 2% milkfat, without added vitamin A: cup"),
    ("chickpeas", "cup", "", 164, "Chickpeas, mature seeds, cooked, boiled, without salt: cup"),
    ("garlic", "clove", "", 3, "Garlic, raw: clove"),
    ("cinnamon", "tsp", "", 2.6, "Spices, cinnamon, ground: tsp"),
    ("vinegar", "tbsp", "", 14.9, "Vinegar, cider: tbsp"),
]


@pytest.mark.parametrize(("words", "unit", "size", "grams", "source"), USDA_WEIGHTS)
def test_usda_weights(foods, words, unit, size, grams, source):
    found = foods.weigh(foods.match(words), unit, size)
    assert found.grams == pytest.approx(grams), source
    assert found.source == "USDA weights"
    assert found.low <= found.grams <= found.high
    assert found.low < found.high


@pytest.mark.parametrize(("unit", "grams"), [("g", 1), ("kg", 1000), ("oz", 28.35), ("lb", 453.6)])
def test_mass_needs_no_table(foods, unit, grams):
    # Avoirdupois pound 453.59237 g, ounce 28.3495 g (value from memory).
    found = foods.weigh(foods.match("toast"), unit)
    assert (found.low, found.grams, found.high) == (grams, grams, grams)


@pytest.mark.parametrize(
    ("words", "unit", "grams"),
    # Density of milk about 1.03 g/ml (value from memory; USDA: 246 g a cup of 236.6 ml is 1.04).
    [
        ("milk", "ml", 1.03),
        ("milk", "dl", 103),
        ("milk", "l", 1030),
        ("water", "cl", 10),
        ("olive oil", "ml", 0.91),
    ],
)
def test_volume_goes_by_density(foods, words, unit, grams):
    assert foods.weigh(foods.match(words), unit).grams == pytest.approx(grams, rel=0.01)


def test_volume_of_solids_goes_by_the_cup(foods):
    # 81 g of dry oats fill 236.6 ml, so a decilitre holds 34 g.
    assert foods.weigh(foods.match("oats"), "dl").grams == pytest.approx(34.2, abs=0.1)


def test_sizes_the_table_does_not_have_scale_the_plain_one(foods):
    toast = foods.match("rye toast")
    medium, small = (foods.weigh(toast, "slice", size).grams for size in ("medium", "small"))
    assert small < medium == foods.weigh(toast, "slice").grams
    sugar = foods.match("sugar")
    assert foods.weigh(sugar, "tsp", "level").grams < foods.weigh(sugar, "tsp", "heaped").grams


def test_a_stated_size_narrows_the_range(foods):
    apple = foods.match("apple")
    wide, narrow = foods.weigh(apple, "piece"), foods.weigh(apple, "piece", "large")
    assert wide.high - wide.low > narrow.high - narrow.low
    assert wide.low <= foods.weigh(apple, "piece", "small").grams
    assert wide.high >= narrow.grams


@pytest.mark.parametrize(
    ("words", "unit"),
    [
        ("soup", "slice"),
        ("rice", "rasher"),
        ("milk", "slice"),
        ("toast", "ml"),
        ("banana", "glass x"),
        ("egg", ""),
    ],
)
def test_units_that_make_no_sense_have_no_weight(foods, words, unit):
    assert foods.weigh(foods.match(words), unit) is None


@pytest.mark.parametrize("words", ["toast", "rice", "banana", "milk", "soup", "pizza", "vinegar", "cinnamon"])
def test_a_helping_without_amount_has_an_honest_range(foods, words):
    portion = foods.portion(foods.match(words))
    assert portion.low <= 0.7 * portion.grams
    assert portion.high >= 1.15 * portion.grams
    assert foods.weigh(foods.match(words), "portion") == portion


def test_drinks_fit_into_vessels(foods):
    for words in ("milk", "orange juice", "beer", "cola", "tea"):
        glass = foods.weigh(foods.match(words), "glass")
        assert 150 <= glass.grams <= 350, words
    # A UK pint is 568 ml, a US pint 473 ml (value from memory).
    assert foods.weigh(foods.match("beer"), "pint").grams == pytest.approx(568)
    assert foods.weigh(foods.match("beer"), "pint").low == pytest.approx(473)


def test_every_everyday_food_has_a_weight_for_each_of_its_measures(foods):
    for name in foods.names():
        found = foods.match(name)
        for unit in ("piece", "slice", "bowl", "cup", "tbsp", "handful", "glass"):
            weight = foods.weigh(found, unit)
            assert weight is None or 0 < weight.low <= weight.grams <= weight.high


def test_categories_give_a_weight_to_any_food():
    categories = Categories()
    soup = categories.of("Soups, broth-based")
    assert soup.weigh("bowl").grams == 300
    unknown = categories.of("no such category")
    assert unknown.weigh("slice") is None
    assert unknown.portion.grams == 130
