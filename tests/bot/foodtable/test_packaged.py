import pytest

from bot.foodtable.products import find_products, product_at


def test_all_words_are_in_the_names_found_and_the_shortest_come_first() -> None:
    found = find_products("oat bar")
    assert len(found) == 3
    assert [len(p.name) for p in found] == sorted(len(p.name) for p in found)
    for product in found:
        assert {"oat", "bar"} <= set(product.name.lower().replace(",", " ").split())


def test_a_product_holds_what_its_portion_holds() -> None:
    """Energy follows by the Atwater general factors (4, 4, 9 kcal/g); labels are rounded."""
    product = find_products("oat bar")[0]
    held = product.nutrients
    assert held.carbs_g is not None
    assert held.protein_g is not None
    assert held.fat_g is not None
    assert held.carbs_g + held.protein_g + held.fat_g < product.grams
    assert held.energy_kcal == pytest.approx(4 * (held.carbs_g + held.protein_g) + 9 * held.fat_g, rel=0.15)


def test_accents_and_case_do_not_matter() -> None:
    assert find_products("Crème Brulée") == find_products("creme brulee") != ()


@pytest.mark.parametrize("words", ["", "a", "!!", "zzzzqqx", "燕麦", "oat zzzzqqx"])
def test_what_is_not_there_is_not_found(words: str) -> None:
    assert find_products(words) == ()


def test_a_product_is_found_again_by_its_place_only() -> None:
    product = find_products("oat bar")[0]
    assert product_at(product.place) == product
    for place in (0, -1, product.place + 1, 10**12):
        assert product_at(place) is None
