"""The composition table and its cache."""

import gzip
import json

import pytest

from bot.foodtable import composition, load_table
from bot.foodtable.composition import CACHE_NAME, load_composition
from bot.model.errors import TablenoteError


def test_every_row_is_generic_food_with_energy_and_carbohydrate(food_cache):
    table = load_composition(food_cache)
    assert 7000 < len(table) <= 7349  # 7,349 generic rows in the file, some twice, some without figures
    for description, _ in table.outline():
        per_100g = table[description].per_100g
        assert per_100g.energy_kcal is not None
        assert per_100g.carbs_g is not None
        assert 0 <= per_100g.carbs_g <= 100


def test_carbohydrate_is_available_carbohydrate(food_cache):
    # The file's own figures for this row: Carbohydrate 53.1, Fiber 6.4.
    rye = load_composition(food_cache)["Bread, rye, toasted"].per_100g
    assert rye.fibre_g == pytest.approx(6.4)
    assert rye.carbs_g == pytest.approx(53.1 - 6.4, abs=0.05)


def test_available_carbohydrate_is_never_below_zero(food_cache):
    # Some rows hold more fibre than carbohydrate, which is counted by difference.
    table = load_composition(food_cache)
    assert min(table[d].per_100g.carbs_g for d, _ in table.outline()) == 0


def test_the_complete_one_of_two_rows_is_kept(food_cache):
    # "Beets, raw" stands in the file three times; the foundation row has no sugars.
    assert load_composition(food_cache)["Beets, raw"].per_100g.sugars_g is not None


def test_unknown_description_is_a_key_error(food_cache):
    table = load_composition(food_cache)
    assert "Sofa, upholstered" not in table
    with pytest.raises(KeyError):
        table["Sofa, upholstered"]


def test_second_start_reads_the_cache_only(tmp_path, monkeypatch):
    first = load_composition(tmp_path)
    monkeypatch.setattr(composition, "_read_data_file", _must_not_be_read)
    second = load_composition(tmp_path)
    assert list(second.outline()) == list(first.outline())
    assert second["Banana, raw"] == first["Banana, raw"]


def _must_not_be_read(source):
    raise AssertionError(f"{source} was read though a cache was there")


@pytest.mark.parametrize(
    "damage",
    [
        b"",
        b"not gzip at all",
        gzip.compress(b"not json", mtime=0),
        gzip.compress(b"[1, 2, 3]", mtime=0),
        gzip.compress(b'{"key": [0, 0, 0], "count": 0, "rows": [], "categories": []}', mtime=0),
    ],
)
def test_damaged_cache_is_built_again(tmp_path, damage):
    (tmp_path / CACHE_NAME).write_bytes(damage)
    assert "Banana, raw" in load_composition(tmp_path)
    kept = json.loads(gzip.decompress((tmp_path / CACHE_NAME).read_bytes()))
    assert kept["count"] == len(kept["rows"]) > 7000


def test_cut_off_cache_is_built_again(tmp_path):
    load_composition(tmp_path)
    cache = tmp_path / CACHE_NAME
    cache.write_bytes(cache.read_bytes()[:5000])
    assert "Banana, raw" in load_composition(tmp_path)


def test_cache_folder_that_cannot_be_written_costs_only_time(tmp_path):
    blocked = tmp_path / "a file where the folder should be"
    blocked.write_text("in the way")
    assert load_table(blocked).match("banana") is not None
    assert blocked.read_text() == "in the way"


def test_no_leftovers_beside_the_cache(tmp_path):
    load_composition(tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == [CACHE_NAME]


def test_missing_data_file_is_one_clear_sentence(tmp_path, monkeypatch):
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    with pytest.raises(TablenoteError, match="food data is missing") as caught:
        load_table(tmp_path)
    assert "\n" not in str(caught.value)
