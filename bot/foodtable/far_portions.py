"""Lists everyday foods whose usual portion is far from the survey's, without a reason beside it.

python -m bot.foodtable.far_portions
"""

from collections.abc import Iterable, Iterator

from bot.foodtable.everyday import Everyday, read_everyday
from bot.foodtable.portions import unsaid_portion

FAR = 1 / 3
"""How far a portion may be from the survey's, as a share of it."""


def far_portions(entries: Iterable[Everyday]) -> Iterator[tuple[Everyday, float]]:
    """Yield the foods that differ by more than a third and say no reason, with the survey's grams."""
    for entry in entries:
        surveyed = unsaid_portion(entry.food)
        if surveyed is None or entry.why or entry.assumed.startswith("counted as"):
            continue
        if abs(entry.portion.grams - surveyed.grams) > FAR * surveyed.grams + 0.5:
            yield entry, surveyed.grams


if __name__ == "__main__":
    for found, grams in far_portions(read_everyday()):
        print(f"{found.name}: {found.portion.grams:g} g, survey {grams:g} g ({found.food})")
