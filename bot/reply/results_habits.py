"""What habits around meals do, in words: the finding, how sure it is, what tells more, the literature."""

import re
from collections.abc import Sequence

from analysis.habits.effects import NEED_EACH, LeverEffect
from analysis.habits.published import PUBLISHED
from bot.reply import numbers

UNIT_MIN = 15
FAR_PERCENT = 10.0
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
    return f"not known yet: about {numbers.count(max(one.more, 1), 'more meal')} with it may settle it"


def one_lever(one: LeverEffect, *, medicine: bool, whole: bool = True) -> str:
    """Say what one lever does, how sure that is, and what others found.

    medicine: whether they take one; whole: the plain figure too, where it agrees
    """
    title = TITLES.get(one.name, one.name)
    amount = f" (usually {numbers.minutes(one.amount * UNIT_MIN)})" if _MOVED.search(one.name) else ""
    meals = f"{numbers.count(one.on, 'meal')} with it and {one.off} without"
    if not one.enough:
        lines = [f"{title}{amount}: {meals} have a curve of their own.", f"{_capital(verdict(one))}."]
        return " ".join([*lines, others_found(one.name, medicine=medicine)]).strip()
    low, high = one.effect.low, one.effect.high
    if one.told:
        lines = [
            f"{title}{amount} goes with about {_change(one.effect.estimate)} rise over two hours, at like "
            f"meals (likely {_change(max(low, high, key=abs))} to {_change(min(low, high, key=abs))}): "
            f"{meals}.",
            "That is beyond chance; what else goes with it I can't know.",
        ]
    else:
        lines = [
            f"{title}{amount}: no verdict yet. At like meals the rise over two hours is anything from "
            f"{_change(low)} to {_change(high)}: {meals}.",
            f"{_capital(verdict(one))}.",
        ]
    if one.plain is not None and (whole or abs(one.plain - one.effect.estimate) > FAR_PERCENT):
        lines.append(f"Plain averages, blind to what was eaten, say {_percent(one.plain)} %.")
    if one.control is not None:
        lines.append(_say_control(one.control))
    return " ".join([*lines, others_found(one.name, medicine=medicine)]).strip()


def _change(percent: float) -> str:
    return f"{abs(percent):.0f} % {'less' if percent < 0 else 'more'}"


def _say_control(control: LeverEffect) -> str:
    low, high = (_percent(end) for end in (control.effect.low, control.effect.high))
    return (
        "The same three to six hours before a meal, which can hardly act: "
        f"{_percent(control.effect.estimate)} % (likely {low} to {high})."
    )


def others_found(name: str, *, medicine: bool) -> str:
    """Say what the literature found about a lever, its source and the caution; "" where nothing is known."""
    known = PUBLISHED.get(name)
    if known is None:
        return ""
    due = known.caution and (medicine or not known.for_medicine)
    caution = f" Take care: {known.caution}." if due else ""
    return f"{known.found} ({_KEY.sub('', known.source)}).{caution}"


def list_levers(found: Sequence[LeverEffect], *, medicine: bool) -> str:
    """Say what each lever does."""
    if not found:
        return (
            "Not known yet: no walk, order, vinegar, late meal or short night is noted with a meal that has "
            "a curve of its own."
        )
    return "\n".join(one_lever(one, medicine=medicine) for one in found)


def not_noted(name: str, meals: int, *, medicine: bool) -> str:
    """Say that a lever never went with a meal that has a curve of its own."""
    title = TITLES.get(name, name)
    said = (
        f"{title}: none noted with a meal that has a curve of its own, out of {meals}. Not known yet: it "
        f"takes {NEED_EACH} meals with it and {NEED_EACH} without."
    )
    return " ".join(line for line in (said, others_found(name, medicine=medicine)) if line)


def _percent(value: float) -> str:
    return numbers.points(value)


def _capital(said: str) -> str:
    return said[:1].upper() + said[1:]
