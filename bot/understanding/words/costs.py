"""What it costs to believe a reading of some words, as `costs.toml` holds it."""

import tomllib
from functools import cache
from pathlib import Path

_FILE = Path(__file__).with_name("costs.toml")


@cache
def _tables() -> dict[str, dict[str, float]]:
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))


def cost_of(table: str, name: str) -> float:
    """Return one cost; a name that is not there is a mistake in the code.

    >>> cost_of("word", "food") > cost_of("word", "plain")
    True
    """
    return float(_tables()[table][name])
