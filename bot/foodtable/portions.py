"""What pieces, sizes and cups of the composition's foods weigh, and how much is taken when nobody says.

The figures are portion weights of USDA FoodData Central (survey foods 2021-2023 and SR Legacy; public
domain), made by build_portions.py and kept in portions.txt.gz.
"""

import gzip
from collections.abc import Mapping
from functools import cache, lru_cache
from importlib.resources import files

from bot.foodtable.everyday import Weight

FILE = "portions.txt.gz"
SURVEY = "USDA portions"


@cache
def _lines() -> Mapping[str, tuple[str, str]]:
    text = gzip.decompress((files("bot.foodtable") / FILE).read_bytes()).decode()
    rows = (line.rsplit("|", 2) for line in text.splitlines())
    return {description: (taken, measures) for description, taken, measures in rows}


def unsaid_portion(description: str) -> Weight | None:
    """Return what the survey takes of a food when no amount was said, None where it does not say."""
    taken = _lines().get(description, ("", ""))[0]
    if not taken:
        return None
    grams, low, high = map(float, taken.split())
    return Weight(grams, low, high, SURVEY)


@lru_cache(maxsize=2048)
def portions_of(description: str) -> Mapping[tuple[str, str], Weight]:
    """Return the grams of one by unit and size ("" for none); nothing for a food that is not surveyed."""
    measures = _lines().get(description, ("", ""))[1]
    found = {}
    for part in filter(None, measures.split(",")):
        unit, size, grams = part.split(" ")
        found[unit, size] = Weight(float(grams), float(grams), float(grams), SURVEY)
    return found
