"""What things are called wherever they are shown: parts of a phrase, a meal, the cause of a gap."""

from bot.language.texts import say
from bot.model.entries import Meal


def join(parts: list[str]) -> str:
    """Join words: a, b and c."""
    if len(parts) < 2:
        return "".join(parts)
    return say("{parts} and {last}", parts=", ".join(parts[:-1]), last=parts[-1])


def title(meal: Meal) -> str:
    """Name a meal by what is on the plate: rye toast, butter and boiled egg."""
    return join([item.name for item in meal.items] or [extra.name for extra in meal.extras])


GAP_REASONS = {
    "lapsed memory": "synced too late",
    "no sensor": "no sensor on",
    "warm-up": "warming up",
    "not read yet": "not synced yet",
    "not known": "of unknown cause",
}
