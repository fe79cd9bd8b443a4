"""What one person's words mean: what they taught, what they usually have, what they had before.

Plain data and functions that are handed in, so that understanding stays pure; what is behind them is looked
up only when a message needs it.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from bot.model.entries import Meal, Slot


@dataclass(frozen=True, slots=True)
class Own:
    """What a word of the person's own stands for.

    kind: "food" (one item, with the grams of one of it) or "meal" (what was on a plate)
    """

    kind: Literal["food", "meal"]
    meal: Meal


@dataclass(frozen=True, slots=True)
class Usual:
    """How much of a food the person usually has, from how many meals (0: they said so when asked)."""

    grams: float
    meals: int


def _no_usual(food: str) -> Usual | None:
    return None


def _no_kind(food: str) -> str | None:
    return None


def _no_meal(slot: Slot | None, day: date | None) -> Meal | None:
    return None


def _none_named(name: str, day: date | None) -> Meal | None:
    return None


@dataclass(frozen=True, slots=True)
class Personal:
    """One person's words and habits.

    words: what they taught, by name in lower case
    usual: the usual portion of a food, by its description in the table ("rice" and "cooked rice" are one)
    kind_of: which food, by name, they mean where a weight may be that of two ("dry rice" for the food that
    "rice" is otherwise), as they once answered
    recall: the meal of a slot on a local day; without a slot the last of that day; without a day the one they
    have most often in that slot; without either the one noted last. None when there is no such meal.
    recall_named: the last meal of a local day, or of all, that was noted by some words ("porridge")
    """

    words: Mapping[str, Own] = field(default_factory=dict)
    usual: Callable[[str], Usual | None] = _no_usual
    kind_of: Callable[[str], str | None] = _no_kind
    recall: Callable[[Slot | None, date | None], Meal | None] = _no_meal
    recall_named: Callable[[str, date | None], Meal | None] = _none_named
