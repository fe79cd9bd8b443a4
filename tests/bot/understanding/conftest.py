"""Two food tables: a small one for the grammar, the real one for whole notes."""

import pytest

from bot.foodtable import FoodTable, load_table
from tests.bot.understanding.small_table import build_small_table


@pytest.fixture(scope="session")
def table() -> FoodTable:
    return build_small_table()


@pytest.fixture(scope="session")
def real_table(tmp_path_factory) -> FoodTable:
    return load_table(tmp_path_factory.mktemp("foods"))
