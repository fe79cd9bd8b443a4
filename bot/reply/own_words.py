"""The person's own words, said back."""

from collections.abc import Sequence

from bot.reply import numbers, words
from bot.store import Word

_HOW = (
    "Name the last meal with “call this my early-shift breakfast”, or teach a food like "
    "“my protein bar: 60 g, 21 g carbs, 15 g protein, 9 g fat”."
)


def list_words(known: Sequence[Word]) -> str:
    """List a person's words, or say how to teach one."""
    if not known:
        return f"You have taught me no words yet. {_HOW}"
    lines = [f"• {describe(word)}" for word in known]
    return "\n".join(["Your words:", *lines, f"Drop one with “forget my {known[0].name}”."])


def describe(word: Word) -> str:
    """Say what a word stands for."""
    held = words.held_in(word.meal.nutrients)
    if word.kind == "food":
        return f"“{word.name}” is {numbers.grams(word.meal.items[0].grams)} with {held}"
    return f"“{word.name}” is {words.contents(word.meal)}"
