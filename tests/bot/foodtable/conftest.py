"""One food table for all tests here; its cache lives in a folder of the test run."""

import pytest

from bot.foodtable import FoodTable, load_table


@pytest.fixture(scope="session")
def food_cache(tmp_path_factory):
    return tmp_path_factory.mktemp("foods")


@pytest.fixture(scope="session")
def foods(food_cache) -> FoodTable:
    return load_table(food_cache)
