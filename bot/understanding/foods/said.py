"""One food as it was said, before it is weighed, and the words for eating."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import islice, takewhile

from bot.foodtable import FoodTable, Match
from bot.understanding.pieces.pieces import Amount
from bot.understanding.words.lexicon import TAGS

EATING, MADE_UP = TAGS.eating, TAGS.made_up


@dataclass(slots=True)
class Said:
    """One food as said: its words, its amount, where it stands.

    leads: its clause's separators; inside: the parenthesis it stands in, 0 for none
    whole: the dish that it was said to be with ("sausage" in "stew with sausage")
    """

    words: list[str]
    amount: Amount | None
    start: int
    end: int
    leads: frozenset[str] = field(default=frozenset())
    match: Match | None = None
    inside: int = 0
    whole: "Said | None" = None

    @property
    def name(self) -> str:
        """Its words as one name."""
        return " ".join(self.words)

    @property
    def is_extra(self) -> bool:
        """It is taken for its effect: vinegar, cinnamon."""
        words = [w for w in self.words if w not in ("shot", "shots", "ground", "powder", "drink", "diluted")]
        return words[-1:] in (["vinegar"], ["acv"], ["cinnamon"]) and (
            "cinnamon" not in words or len(words) == 1
        )


def names_product(words: Sequence[str]) -> bool:
    """Tell whether words hold one that things sold ready made are called by: "zorbo fudge bar"."""
    return not MADE_UP.isdisjoint(words)


def parenthesis(foods: Sequence[Said], start: int) -> list[Said]:
    """Return the foods of the parenthesis that the food at `start` stands in, none outside of any."""
    number = foods[start].inside
    return list(takewhile(lambda food: food.inside == number, islice(foods, start, None))) if number else []


def is_measured(food: Said) -> bool:
    """Tell whether a food has an amount that was said, not just "a" or "some"."""
    amount = food.amount
    return amount is not None and amount.end > amount.start and not (amount.vague or amount.article)


def known_as(dish: Said, words: Sequence[str], table: FoodTable, amount: Amount | None) -> Said:
    """Return a food said as the dish that it is all of, `dish` itself where the table does not know it."""
    match = table.match(" ".join(words))
    if match is None:
        return dish
    return Said(list(words), amount, dish.start, dish.end, dish.leads, match, dish.inside)
