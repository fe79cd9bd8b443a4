"""Dishes by their local names: carbohydrate and a usual helping as a dietitian of that country takes them."""

import pytest

from bot.foodtable import load_table


@pytest.fixture(scope="module")
def table(tmp_path_factory):
    return load_table(tmp_path_factory.mktemp("foods"))


# name, available carbohydrate of 100 g, grams of a usual helping
DISHES = [
    ("khaman", 30, 120),
    ("rasmalai", 22, 100),
    ("filter kaapi", 8, 120),
    ("thepla", 42, 90),
    ("idiyappam", 23, 150),
    ("egusi", 4, 200),
    ("koose", 20, 120),
    ("sobolo", 8, 330),
    ("quarter bunny", 22, 450),
    ("shiro", 10, 200),
    ("beyaynetu", 14, 450),
    ("koshari", 24, 420),
    ("cig kofte", 25, 130),
    ("spanakopita", 22, 150),
    ("fasolada", 10, 320),
    ("taho", 13, 240),
    ("suman", 36, 90),
    ("tinto", 0, 120),
    ("pao frances", 52, 60),
    ("ajiaco", 7, 450),
    ("patacones", 45, 100),
    ("kopytka", 31, 250),
    ("svickova", 6, 250),
    ("brunost", 42, 20),
    ("khao niao", 40, 150),
    ("inarizushi", 29, 125),
    ("pho", 9, 600),
    ("panipopo", 39, 120),
    ("shami kebab", 9, 90),
    ("omo tuo", 27, 300),
    ("koko", 10, 350),
    ("banh cuon", 18, 240),
    ("nuoc mam", 3, 20),
    ("fesenjan", 12, 240),
    ("mofongo", 24, 230),
    ("pan con palta", 32, 150),
    ("placinta cu branza", 24, 160),
    ("tteokbokki", 31, 250),
    ("tteokguk", 12, 550),
    ("katogo", 18, 350),
    ("bammy", 40, 100),
    ("semla", 38, 125),
    ("pudim de leite", 28, 110),
    ("goat roti", 20, 340),
    ("chotpoti", 16, 200),
    ("caldo verde", 6, 310),
    ("croquetas", 20, 120),
    ("pad thai", 20, 330),
    ("mango sticky rice", 33, 240),
    ("pirozhki", 32, 130),
    ("lagman", 11, 460),
    ("miondo", 30, 200),
    ("garba", 25, 340),
    ("beignets haricots", 27, 280),
    ("tres golpes", 16, 400),
    ("calentado", 17, 340),
    ("encebollado", 8, 450),
    ("koldskal", 12, 250),
    ("risengrod", 18, 320),
    ("makroudh", 60, 60),
    ("lablabi", 14, 420),
    ("basbousa", 54, 90),
    ("om ali", 26, 200),
    ("bakwan", 26, 100),
    ("laksa lemak", 11, 530),
    ("ondeh ondeh", 41, 80),
    ("kibbeh", 17, 120),
    ("mote con huesillo", 19, 380),
    ("kurtoskalacs", 49, 140),
    ("gulyasleves", 4, 400),
    ("congyoubing", 37, 110),
    ("kota with chips", 28, 380),
    ("mealie pap", 24, 280),
    ("khachapuri adjaruli", 26, 400),
    ("sopaipillas", 44, 100),
]


@pytest.mark.parametrize(("name", "carbs", "helping"), DISHES)
def test_carbohydrate_and_helping(table, name, carbs, helping):
    found = table.match(name)
    assert found.food.per_100g.carbs_g == pytest.approx(carbs, rel=0.3, abs=2)
    assert table.portion(found).grams == pytest.approx(helping, rel=0.5)


@pytest.mark.parametrize(
    ("name", "unit", "grams"),
    [
        ("string hoppers", "piece", 25),
        ("momos", "piece", 27),
        ("roti prata", "piece", 95),
        ("knedliky", "piece", 45),
        ("semmelknodel", "piece", 90),
        ("tostada shell", "piece", 13),
        ("cutting chai", "glass", 90),
        ("lepinja", "piece", 120),
        ("tandoori roti", "piece", 80),
        ("smokies", "piece", 50),
        ("semlor", "piece", 125),
        ("khinkali", "piece", 70),
        ("manty", "piece", 65),
        ("pelmeni", "piece", 13),
        ("medialunas", "piece", 45),
        ("tequenos", "piece", 28),
        ("taralli", "piece", 6),
        ("pirozhki", "piece", 80),
    ],
)
def test_one_of_them(table, name, unit, grams):
    assert table.weigh(table.match(name), unit).grams == pytest.approx(grams, rel=0.3)


@pytest.mark.parametrize(
    "word", ["name", "names", "non", "float", "goto", "sooo", "shld", "brek", "gogo", "cena", "merenda"]
)
def test_words_that_are_nearly_a_local_name_are_no_food(table, word):
    assert table.match(word) is None
