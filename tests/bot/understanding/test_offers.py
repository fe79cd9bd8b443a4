"""What an unknown food may have been: near foods of the composition table first, then packaged ones."""

import json
from dataclasses import replace

import pytest

from bot.commandline.understand import explain, to_dict
from bot.foodtable.products import near_products
from bot.model.entries import Item
from bot.understanding.foods.offers import offers_for, offers_of
from bot.understanding.pieces.pieces import Amount

UNKNOWN = Item("2 jawbreakers", "jawbreakers", None, 0.0, 0.0, 0.0, True, 0.0)


def test_offers_have_a_weight_and_what_it_holds(real_table):
    offers = offers_of(UNKNOWN, real_table)
    assert 0 < len(offers) <= 5
    assert all(offer.grams > 0 for offer in offers)
    assert any("jawbreaker" in offer.food.lower() for offer in offers)
    assert all(offer.nutrients.carbs_g is not None for offer in offers)


def test_near_foods_come_before_packaged_ones(real_table):
    offers = offers_for("zzgrand apple strudel", None, real_table)
    assert offers[0].place is None
    packaged = [offer.place is not None for offer in offers]
    assert packaged == sorted(packaged)


def test_a_known_food_has_no_offers(real_table):
    assert offers_of(replace(UNKNOWN, food="Apple, raw"), real_table) == ()


@pytest.mark.parametrize("words", ["", "!", "a", "zzqqxx", "q" * 4000, "燕麦"])
def test_what_is_near_nothing_has_no_offers(words, real_table):
    assert offers_for(words, None, real_table) == ()


def test_an_amount_in_grams_is_the_weight_of_every_offer(real_table):
    offers = offers_for("jawbreakers", Amount(0, 0, 40.0, "g"), real_table)
    assert {offer.grams for offer in offers} == {40.0}


def test_pieces_are_those_of_the_label(real_table):
    """A label that counts "13 pieces" says what one of them weighs."""
    counted = next(p for p in near_products("chewy taffy pieces", 20) if p.unit == "piece" and p.count > 1)
    offers = offers_for(counted.name, Amount(0, 0, 2.0), real_table)
    one = next(o for o in offers if o.place == counted.place)
    assert one.grams == pytest.approx(2 * counted.grams / counted.count)


def test_the_json_offers_only_where_it_is_asked_for(real_table):
    understood, zone = explain(
        "2 gobstoppers and an apple", now="2026-03-02T12:30", tz="UTC", table=real_table
    )
    with_offers = to_dict(understood, zone, real_table)["entries"][0]["items"]
    assert [bool(item.get("offers")) for item in with_offers] == [True, False]
    assert {"food", "grams", "carbs_g", "energy_kcal"} <= with_offers[0]["offers"][0].keys()
    assert "offers" not in json.dumps(to_dict(understood, zone))
