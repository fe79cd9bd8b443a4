"""Settings and facts in people's own words."""

from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot.foodtable import load_table
from bot.understanding import Context
from bot.understanding.settings.read_told import read_told

VIENNA = ZoneInfo("Europe/Vienna")
SURELY = 1.3
LINES = (Path(__file__).parent / "told.txt").read_text(encoding="utf-8").splitlines()
TOLD = [line.split(" | ") for line in LINES if not line.startswith("#")]
CONTEXT = Context(datetime(2026, 3, 11, 20, 0, tzinfo=VIENNA), VIENNA, load_table())


@pytest.mark.parametrize(("expected", "text"), TOLD)
def test_what_is_told(expected: str, text: str) -> None:
    found = read_told(text, CONTEXT)
    told = found.told if found is not None and found.cost < SURELY else ()
    assert (" + ".join(f"{each.what} {each.value}".strip() for each in told) or "-") == expected
