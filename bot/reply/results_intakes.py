"""What a day's food holds beside published lines, and movement after meals, in words."""

from collections.abc import Sequence

from analysis.intakes import (
    LINES,
    LITTLE_KCAL,
    NEED_NOTES,
    NEED_WHOLE,
    PROTEIN_G_PER_KG,
    Intakes,
    Line,
    Nutrient,
    Usual,
)
from analysis.moving import Moved
from bot.model.naming import join
from bot.reply import numbers

_KG = 70
HARDLY_ALL = (
    "So little is hardly all you ate. If it is, please talk with a clinician: this diary isn't for eating as "
    "little as possible."
)


def intakes(found: Intakes, wanted: Sequence[Nutrient]) -> str:
    """Say what a day's food holds, on how many whole days that stands, and the published lines beside."""
    if not found.noted:
        return (
            "An average takes whole days with notes, and I have none before today; today so far I can add "
            "up: “carbs today”."
        )
    counted = f"{numbers.count(found.whole, 'day')} noted whole, of {found.noted} with notes"
    if not found.whole:
        return (
            f"I can't tell yet: of {numbers.count(found.noted, 'day')} with notes none looks whole (at least "
            f"{NEED_NOTES} times of eating, all foods known), and a day with a meal missing is not what you "
            "eat in a day."
        )
    told = [one for nutrient in wanted if (one := found.usual.get(nutrient)) is not None]
    lines = [f"A day, over {counted}: {join([_amount(one) for one in told])}."] if told else []
    missing = [nutrient for nutrient in wanted if nutrient not in found.usual]
    if missing:
        lines.append(f"How much {join([*missing])} it is I can't say: your foods don't all state it.")
    energy = found.usual.get("energy")
    little = energy is not None and energy.amount < LITTLE_KCAL
    lines += [said for one in told for said in _beside(one, judged=not little)]
    if told and found.whole < NEED_WHOLE:
        lines.append(f"From {NEED_WHOLE} whole days on I set it beside these lines.")
    if told:
        lines.append("Such lines are for groups of healthy adults, and a diary as a rule misses something.")
    lines += [HARDLY_ALL] if little else []
    return " ".join(lines)


def _amount(one: Usual) -> str:
    unit = "kcal" if one.nutrient == "energy" else f"g of {one.nutrient}"
    share = "" if one.share is None else f", {one.share:.0f} % of energy"
    likely = "" if one.low is None or one.high is None else f"likely {max(one.low, 0):.0f} to {one.high:.0f}"
    beside = "; ".join(part for part in (likely, share.removeprefix(", ")) if part)
    return f"about {one.amount:.0f} {unit}" + (f" ({beside})" if beside else "")


def _beside(one: Usual, *, judged: bool) -> list[str]:
    """Say the published lines of a nutrient; judged: and how one's own intake stands to them."""
    if one.nutrient == "protein":
        weight = one.amount / PROTEIN_G_PER_KG
        return [
            f"Published for protein: {PROTEIN_G_PER_KG} g a kg of body weight (EFSA 2012), "
            f"{_KG * PROTEIN_G_PER_KG:.0f} g at {_KG} kg; yours would do for up to {weight:.0f} kg."
        ]
    if one.nutrient == "energy":
        return [
            "How much energy you need goes by your size and movement; labels reckon with 2,000 kcal (EU "
            "1169/2011), which is no line to stay under."
        ]
    lines = [_line(one, line, judged) for line in LINES if line.nutrient == one.nutrient]
    return [f"Published for {one.nutrient}: {'; '.join(lines)}."] if lines else []


def _line(one: Usual, line: Line, judged: bool) -> str:
    unit = " g" if line.unit == "g" else " % of energy"
    if line.least is not None and line.most is not None:
        amount = f"{line.least:.0f} to {line.most:.0f}{unit}"
    elif line.least is not None:
        amount = f"at least {line.least:.0f}{unit}"
    else:
        amount = f"at most {line.most:.0f}{unit}"
    where = {
        "below": ", and yours is below it",
        "above": ", and yours is above it",
        "met": ", and yours meets it",
        "near": ", and yours may be on either side of it",
        "": "",
    }[one.beside(line) if judged else ""]
    return f"{amount} ({line.whose}){where}"


def moved(found: Moved) -> str:
    """Say how movement followed meals over a run."""
    if not found.meals:
        return "I have no meal noted in these days, so no movement after one either."
    if not found.followed or found.usual is None:
        return (
            f"No movement is noted within an hour of the {numbers.count(found.meals, 'meal')} of these days; "
            "say it like “walked 15 min after lunch”."
        )
    (first, first_moved), (second, second_moved) = found.halves
    halves = ""
    if first and second:
        halves = (
            f" In the first half of these days it was {first_moved} of {first} meals, in the second "
            f"{second_moved} of {second}."
        )
    return (
        f"You moved after {found.followed} of {numbers.count(found.meals, 'meal')}, usually for "
        f"{numbers.minutes(found.usual)}, {numbers.minutes(found.total)} in all.{halves} That is what "
        "was noted; “does a walk help?” says what it does."
    )
