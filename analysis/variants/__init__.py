"""Variants of a staple: a meal eaten again and again, and what was changed in it from time to time."""
