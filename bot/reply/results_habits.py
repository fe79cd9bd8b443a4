"""What habits around meals do, in words: the finding, how sure it is, what tells more, the literature."""

import re
from collections.abc import Sequence

from analysis.habits.effects import NEED_EACH, LeverEffect
from analysis.habits.published import PUBLISHED
from bot.reply import numbers

UNIT_MIN = 15
TITLES = {
    "walk after": "A walk after the meal",
    "walk before": "A walk before the meal",
    "chores after": "Chores after the meal",
    "chores before": "Chores before the meal",
    "exercise after": "Exercise after the meal",
    "exercise before": "Exercise before the meal",
    "vegetables first": "Vegetables first",
    "vinegar": "Vinegar",
    "cinnamon": "Cinnamon",
    "lemon juice": "Lemon juice",
    "late meal": "A late meal",
    "short sleep": "A short night",
}
_MOVED = re.compile(r" (?:after|before)$")
_KEY = re.compile(r" \[\w+\]$")


def verdict(one: LeverEffect) -> str:
    """Say in one phrase whether a lever does something, or what it would take to know."""
    if one.told:
        return "smaller rise with it" if one.effect.estimate < 0 else "larger rise with it"
    if one.differs:
        return "not known yet: what cannot act on the meal seems to do something, too"
    if not one.enough:
        lack = []
        for have, how in ((one.on, "with it"), (one.off, "without")):
            if have < NEED_EACH:
                lack.append(f"{numbers.count(NEED_EACH - have, 'more meal')} {how}")
        return f"not known yet: it takes {' and '.join(lack)} at least"
    if one.more is None:
        return "not known yet: too small to see among how much your meals vary"
    return f"not known yet: about {numbers.count(max(one.more, 1), 'more meal')} with it would settle it"


def one_lever(one: LeverEffect, *, literature: bool = True) -> str:
    """Say what one lever does, how sure that is, and what others found."""
    title = TITLES.get(one.name, one.name)
    amount = f" (usually {numbers.minutes(one.amount * UNIT_MIN)})" if _MOVED.search(one.name) else ""
    lines = [f"{title}{amount}: {numbers.count(one.on, 'meal')} with it, {one.off} without."]
    if one.enough:
        more = "smaller" if one.effect.estimate < 0 else "larger"
        lines.append(
            f"At like meals the rise over two hours is about {abs(one.effect.estimate):.0f} % {more} with it "
            f"(likely {_percent(one.effect.low)} to {_percent(one.effect.high)} %)."
        )
        lines.append("That is beyond chance." if one.told else f"{_capital(verdict(one))}.")
        if one.plain is not None:
            lines.append(f"Plain averages, blind to what was eaten, say {_percent(one.plain)} %.")
        if one.control is not None:
            control = one.control
            lines.append(
                "The same three to six hours before, which can hardly act: "
                f"{_percent(control.effect.estimate)} % (likely {_percent(control.effect.low)} to "
                f"{_percent(control.effect.high)})."
            )
    else:
        lines.append(f"{_capital(verdict(one))}.")
    if literature:
        lines.append(others_found(one.name))
    return " ".join(line for line in lines if line)


def others_found(name: str) -> str:
    """Say what the literature found about a lever, its source and the caution; "" where nothing is known."""
    known = PUBLISHED.get(name)
    if known is None:
        return ""
    caution = f" Take care: {known.caution}." if known.caution else ""
    return f"{known.found} ({_KEY.sub('', known.source)}).{caution}"


def list_levers(found: Sequence[LeverEffect]) -> str:
    """Say what each lever does."""
    if not found:
        return (
            "Not known yet: no walk, order, vinegar, late meal or short night is noted with a meal that has "
            "a curve of its own."
        )
    return "\n".join(one_lever(one) for one in found)


def not_noted(name: str, meals: int) -> str:
    """Say that a lever never went with a meal that has a curve of its own."""
    title = TITLES.get(name, name)
    said = (
        f"{title}: none noted with a meal that has a curve of its own, out of {meals}. Not known yet: it "
        f"takes {NEED_EACH} meals with it and {NEED_EACH} without."
    )
    return " ".join(line for line in (said, others_found(name)) if line)


def _percent(value: float) -> str:
    return numbers.points(value)


def _capital(said: str) -> str:
    return said[:1].upper() + said[1:]
