"""Which food some words mean, what it holds, and what a slice, bowl or handful of it weighs."""

from bot.foodtable.composition import Food
from bot.foodtable.everyday import Weight
from bot.foodtable.table import FoodTable, Match, load_table

__all__ = ["Food", "FoodTable", "Match", "Weight", "load_table"]
