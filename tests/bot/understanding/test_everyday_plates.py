"""Plates as they are texted in Britain, America, Australia, South Africa and western Europe."""

import pytest

from bot.model.entries import Meal
from bot.understanding import understand
from tests.bot.understanding.compact import context_at


def plates(text, table):
    understood = understand(text, context_at("22:50", table))
    return [
        (e, {item.name: item.grams for item in e.items}) for e in understood.entries if isinstance(e, Meal)
    ]


def plate(text, table):
    ((_, foods),) = plates(text, table)
    return foods


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("yoghurt strawberry 125 g", {"strawberry yogurt"}),
        ("a yoghurt, a raspberry one", {"raspberry yogurt"}),
        ("energy drink 500 ml sugar free", {"sugar free energy drink"}),
        ("iced tea sweet 20oz", {"sweet iced tea"}),
        ("ice cream pistachio", {"pistachio ice cream"}),
        ("two scoops of ice cream, lemon and pistachio", {"ice cream"}),
        ("crisps cheese and onion", {"crisps cheese and onion"}),
        ("fish and chips, large cod", {"fish and chips"}),
        ("sushi box, 8 pieces salmon nigiri and maki", {"salmon nigiri", "maki"}),
        ("toast with jam, the jam was sugar free", {"toast", "sugar free jam"}),
        ("2 sausages 2 rashers 1 egg", {"sausage", "bacon", "egg"}),
        ("apple pie a la mode", {"apple pie with ice cream"}),
        ("scone and a cuppa for morning tea", {"scone", "cuppa"}),
        ("um the kids had nuggets I had a jacket potato", {"jacket potato"}),
        ("pub: steak & ale pie chips peas gravy", {"steak and ale pie", "chips", "peas", "gravy"}),
        ("bean burger in a bun and wedges", {"bean burger", "wedge"}),
        ("breakfast bap with sausage & egg", {"breakfast bap"}),
        ("tinned peaches in juice", {"tinned peaches"}),
        ("steak bake and chips", {"steak bake", "chips"}),
        ("two crumpets and the kids left half a banana so I ate that", {"crumpet", "banana"}),
    ],
)
def test_what_is_on_the_plate(text, names, real_table):
    assert set(plate(text, real_table)) == names


@pytest.mark.parametrize(
    ("text", "like"),
    [
        ("cranberry sauce 2T", "2 tbsp cranberry sauce"),
        ("2t sugar in coffee", "2 tsp sugar in coffee"),
        ("sultanas tbsp", "1 tbsp sultanas"),
        ("porridge with 250 whole milk", "porridge with 250 g whole milk"),
        ("grapes abt 15", "15 grapes"),
        ("3 tortillas, two of beans and one of cheese", "3 tortillas, beans and cheese"),
        ("a sliver of cheesecake", "half a slice of cheesecake"),
        ("churros with chocolate", "churros with hot chocolate"),
        ("sausages 3 mash peas", "3 sausages, mash and peas"),
        ("steak 8 oz mash", "8 oz steak and mash"),
        ("salmon fillet 130", "130 g salmon fillet"),
        ("couscous 80 dry weight", "80 g dry couscous"),
        ("1/2 a melon", "half a melon"),
        ("half a big bag of crisps (whole bag 200 g)", "100 g crisps"),
        ("walnuts 20 g? no 30 g walnuts", "30 g walnuts"),
        ("mash and gravy, went back for seconds of mash", "2 portions mash and gravy"),
        ("a jam doughnut, then another one", "2 jam doughnuts"),
        ("milk 200 ml twice", "400 ml milk"),
        ("a sandwich 4€ and a coffee for £2.50", "a sandwich and a coffee"),
        ("gammon, egg and chips, two eggs", "gammon, two eggs and chips"),
        ("a slice of pie split 2 ways", "half a slice of pie"),
    ],
)
def test_said_otherwise_it_is_as_much(text, like, real_table):
    said, meant = plate(text, real_table), plate(like, real_table)
    assert sorted(said.values()) == pytest.approx(sorted(meant.values()), rel=0.07)


@pytest.mark.parametrize(
    ("text", "food", "most"),
    [
        ("2 crispbread with cheese and cucumber", "cucumber", 45),
        ("porridge with blueberries", "blueberry", 45),
        ("2 crackers with cottage cheese", "cottage cheese", 60),
        ("toast with tomatoes", "tomato", 60),
    ],
)
def test_what_lies_on_bread_or_cereal_is_less_than_a_helping(text, food, most, real_table):
    assert 0 < plate(text, real_table)[food] <= most < plate(food, real_table)[food]


@pytest.mark.parametrize(
    ("text", "hour", "minute"),
    [
        ("banana at the market 4", 16, 0),
        ("breakfast sandwich at the desk 530", 5, 30),
        ("2 samosas at the office 1115", 11, 15),
        ("pancakes at home 8", 8, 0),
        ("rum and raisin ice cream single scoop in sugar cone, 3.20", 3, 20),
        ("soup and 2 rolls, 6", 6, 0),
        ("Apfelkuchen mit Sahne 15 Uhr 30", 15, 30),
    ],
)
def test_a_number_behind_a_place_is_an_hour(text, hour, minute, real_table):
    ((meal, foods),) = plates(text, real_table)
    assert max(foods.values()) <= 300
    assert (meal.at.hour % 12, meal.at.minute) == (hour % 12, minute)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("2 koeksisters", 50, 80),
        ("large double double", 18, 32),
        ("medium fries", 33, 52),
        ("half the tub of pilau rice", 32, 60),
        ("a chicken and mushroom slice", 30, 45),
        ("haggis 150 g", 15, 32),
        ("a quarter of a gatsby", 80, 130),
        ("flammkuchen", 60, 90),
        ("frikandel", 4, 12),
        ("2 magdalenas", 25, 40),
        ("2 erdbeeren, pain blanc et beurre", 15, 45),
        ("aardappelen met boter", 25, 45),
        ("quiche lorraine 1/6 of a 9 inch", 12, 26),
        ("a third of a tub of cookie dough ice cream", 14, 34),
    ],
)
def test_carbohydrate_is_what_a_dietitian_would_say(text, low, high, real_table):
    ((meal, _),) = plates(text, real_table)
    assert low <= sum(item.nutrients.carbs_g for item in meal.items) <= high
