"""What can be analysed, by name; light, since every command loads it."""

from typing import Literal, get_args

What = Literal[
    "meals",
    "foods",
    "habits",
    "variants",
    "ranking",
    "day",
    "fasting",
    "eating",
    "wear",
    "trials",
    "plan",
    "feelings",
    "progress",
    "good-days",
    "intakes",
]
WHAT: tuple[What, ...] = get_args(What)
