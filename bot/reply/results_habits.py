"""What habits around meals do, in words: the finding, how sure it is, what tells more, the literature."""

import re
from collections.abc import Sequence

from analysis.habits.effects import NEED_DAYS, NEED_EACH, LeverEffect, told_among
from analysis.habits.fat import FAT
from analysis.habits.published import PUBLISHED
from analysis.habits.seen import Said
from bot.model.naming import join
from bot.reply import numbers

UNIT_MIN = 15
AMONG_MANY = "of so many habits at once, one looks like this by chance"
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
    "alcohol": "Alcohol with the meal",
    "period": "The days of a period",
    "low": "Feeling low",
    "sitting after": "Sitting after the meal",
    FAT: "Fat beside carbohydrate",
}
CONTROLS = {
    "walk hours before": "The same three to six hours before a meal, which can hardly act",
    "exercise hours before": "The same three to six hours before a meal, which can hardly act",
    "short night to come": "A short night to come, which can't act on a meal before it",
}
_BEING = ("tired", "sleepy", "stressed", "anxious", "ill", "hungover", "restless")
_MOVED = re.compile(r" (?:after|before)$")
_KEY = re.compile(r"(?: \[\w+\])+$")


def verdict(one: LeverEffect, *, among_all: bool = True) -> str:
    """Say in one phrase whether a lever does something, or what it would take to know.

    among_all: whether it is beyond chance among all levers that are looked at beside it
    """
    if one.told and not among_all:
        return f"too early to judge: {AMONG_MANY}"
    if one.told:
        later = ", perhaps only later" if _may_come_later(one) else ""
        return f"smaller rise with it{later}" if one.effect.estimate < 0 else "larger rise with it"
    if one.differs:
        return "too early to judge: what can't act on the meal seems to do something, too"
    if not one.enough:
        lack = []
        for have, how in ((one.on, "with it"), (one.off, "without")):
            if have < NEED_EACH:
                lack.append(f"{numbers.count(NEED_EACH - have, 'more meal')} {how}")
        if not lack:
            return f"too early to judge: it takes {NEED_DAYS} days with it and {NEED_DAYS} without"
        return f"too early to judge: it takes {' and '.join(lack)} at least"
    if one.more is None:
        return "too early to judge: if it does something, it is hidden by how much your meals vary"
    return f"too early to judge: about {numbers.count(max(one.more, 1), 'more meal')} with it may settle it"


def one_lever(one: LeverEffect, *, medicine: bool, whole: bool = True, among_all: bool = True) -> str:
    """Say what one lever does, how sure that is, and what others found.

    medicine: whether they take one; whole: the plain figure too, where it agrees
    among_all: whether it is beyond chance among all levers that are looked at beside it
    """
    title = title_of(one.name)
    amount = _usually(one)
    meals = f"{numbers.count(one.on, 'meal')} with it and {one.off} without"
    if not one.enough:
        lines = [f"{title}{amount}: {meals} have a curve of their own.", f"{_capital(verdict(one))}."]
        return " ".join([*lines, others_found(one.name, medicine=medicine)]).strip()
    low, high = one.effect.low, one.effect.high
    if one.told and among_all:
        lines = [
            f"{title}{amount} goes with about {_change(one.effect.estimate)} rise over two hours, at like "
            f"meals (likely {_change(max(low, high, key=abs))} to {_change(min(low, high, key=abs))}): "
            f"{meals}.",
            "That is beyond chance; what else goes with it I can't know.",
        ]
    else:
        lines = [
            f"{title}{amount}: too early to judge. At like meals the rise over two hours is anything from "
            f"{_change(low)} to {_change(high)}: {meals}.",
            f"{_capital(verdict(one, among_all=among_all))}.",
        ]
    if one.name == FAT:
        lines.append(_say_late(one))
    if one.plain is not None and (whole or abs(one.plain - one.effect.estimate) > FAR_PERCENT):
        lines.append(f"Plain averages, blind to what was eaten, say {_percent(one.plain)} %.")
    if one.control is not None:
        lines.append(_say_control(one.control))
    return " ".join([*lines, others_found(one.name, medicine=medicine)]).strip()


def title_of(name: str) -> str:
    """Return what a lever is called at the head of a sentence."""
    return TITLES.get(name) or (f"Being {name}" if name in _BEING else _capital(name))


def _usually(one: LeverEffect) -> str:
    """Say how much of a lever there usually was, where that varies."""
    if one.name == FAT:
        return f" (usually {10 * one.amount:.0f} g for 10 g)"
    return f" (usually {numbers.minutes(one.amount * UNIT_MIN)})" if _MOVED.search(one.name) else ""


def _say_late(one: LeverEffect) -> str:
    """Say what is left over four hours of what fat does over two."""
    if one.late is None:
        return "Whether it only comes later I can't tell: too few of my curves reach four hours."
    low, high = one.late.low, one.late.high
    said = f"Over four hours it is anything from {_change(low)} to {_change(high)} area"
    return f"{said}{', so it may only come later' if _may_come_later(one) else ''}."


def _may_come_later(one: LeverEffect) -> bool:
    """Tell whether what fat takes off two hours may be there within four; so where that is not known."""
    if one.name != FAT or not one.told or one.effect.estimate > 0:
        return False
    return one.late is None or one.late.high > 0


def lever_words(one: LeverEffect) -> Said:
    """Return what the picture of a lever says."""
    name = f"{title_of(one.name)}{_usually(one)}"
    finding = f"{name}: {f'about {_change(one.effect.estimate)} rise' if one.told else 'too early to judge'}"
    return Said(name, finding, one.effect.estimate, one.effect.low, one.effect.high, one.told)


def _change(percent: float) -> str:
    return f"{abs(percent):.0f} % {'less' if percent < 0 else 'more'}"


def _say_control(control: LeverEffect) -> str:
    low, high = (_percent(end) for end in (control.effect.low, control.effect.high))
    return f"{CONTROLS[control.name]}: {_percent(control.effect.estimate)} % (likely {low} to {high})."


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
            "I can't tell yet: no walk, order, vinegar, late meal or short night is noted with a "
            "meal that has "
            "a curve of its own."
        )
    told = told_among(found)
    return "\n".join(one_lever(one, medicine=medicine, among_all=one.name in told) for one in found)


def brief_levers(found: Sequence[LeverEffect]) -> str:
    """Say in a few sentences which levers are beyond chance among all, and which are not known yet."""
    if not found:
        return list_levers(found, medicine=False)
    told = told_among(found)
    lines = []
    for one in sorted(found, key=lambda one: one.p):
        if one.name in told:
            low, high = sorted((one.effect.low, one.effect.high), key=abs)
            lines.append(
                f"{title_of(one.name)}{_usually(one)}: about {_change(one.effect.estimate)} rise over two "
                f"hours, at like meals (likely {_change(low)} to {_change(high)})."
            )
    if lines:
        lines.append(f"That is beyond chance among all {len(found)} habits I looked at." * (len(found) > 1))
    rest = [one for one in found if one.name not in told]
    if rest:
        nearest = min(rest, key=lambda one: (one.more is None, one.more or 0))
        lines.append(f"I can't tell yet: {join([title_of(one.name).lower() for one in rest])}.")
        if nearest.more:
            lines.append(
                f"The nearest to an answer is {title_of(nearest.name).lower()}: about "
                f"{numbers.count(nearest.more, 'more meal')} with it may settle it."
            )
    return " ".join(line for line in lines if line)


def by_routine(meals: int) -> str:
    """Say with how many meals a lever was assumed."""
    if not meals:
        return ""
    return f"With {numbers.count(meals, 'meal')} of these I took it from what you told me of your days."


def not_noted(name: str, meals: int, *, medicine: bool) -> str:
    """Say that a lever never went with a meal that has a curve of its own."""
    title = title_of(name)
    said = (
        f"{title}: none noted with a meal that has a curve of its own, out of {meals}. I can't tell yet: it "
        f"takes {NEED_EACH} meals with it and {NEED_EACH} without."
    )
    return " ".join(line for line in (said, others_found(name, medicine=medicine)) if line)


def _percent(value: float) -> str:
    return numbers.points(value)


def _capital(said: str) -> str:
    return said[:1].upper() + said[1:]
