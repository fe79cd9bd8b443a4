"""What somebody said of themselves, in words."""

from collections.abc import Sequence
from typing import get_args

from bot.language.times import rewrite
from bot.model.entries import Fact
from bot.model.units import GlucoseUnit
from bot.reply import numbers
from bot.understanding.settings.older import read_older
from bot.understanding.settings.routines import Kind, read_routine

_DAYS = {"mon-fri": "on weekdays", "sat,sun": "at weekends", "mon-sun": "every day"}
COUNTED: dict[Kind, str] = {
    "sitting": "sitting", "light": "light movement", "walk": "a walk", "exercise": "exercise",
}  # fmt: skip
"""What a routine counts as."""
_HEAD = {
    "medicine": "you take",
    "avoids": "you avoid",
    "health": "",
    "pregnancy": "",
    "eating disorder": "",
    "other": "your",
}


def describe(fact: Fact) -> str:
    """Put a fact in a few words: desk on weekdays, 09:00-12:30."""
    if fact.what == "routine":
        what, days, when = (*(part.strip() for part in fact.value.split(";")), "", "")[:3]
        said = _DAYS.get(days) or "on " + " and ".join(day.capitalize() for day in days.split(","))
        return f"{what} {said}, {rewrite(when)}".rstrip(", ")
    older = read_older(fact)
    if older is not None:
        mmol, year, by = older
        both = " or ".join(numbers.glucose_with_unit(mmol, unit) for unit in get_args(GlucoseUnit))
        return f"fasting at {both} in {year}" + (f" by {by}" if by else "")
    if fact.what == "avoids" and fact.value in (
        "vegetarian",
        "vegan",
        "pure veg",
        "halal",
        "kosher",
        "gluten free",
        "pescatarian",
    ):
        return fact.value
    return f"{_HEAD.get(fact.what, '')} {fact.value}".strip()


def say_counted(fact: Fact) -> str:
    """Say as what a routine counts around meals; "" of another fact."""
    if fact.what != "routine":
        return ""
    routine = read_routine(fact)
    if not routine.counts:
        return "I can't tell when, or whether you sit or move then, so I don't count it beside meals."
    return (
        f"From today on I'll count that as {COUNTED[routine.kind]} before or after a meal on those days; “no "
        f"{routine.name} today” takes it out for one."
    )


def say_facts(facts: Sequence[Fact]) -> str:
    """List what is known about a person, with how to have it forgotten."""
    if not facts:
        return (
            "You have told me nothing about yourself yet, such as “weekdays I sit at the desk from 9 to half "
            "12”."
        )
    lines = [f"• {describe(fact)}" for fact in facts]
    return "\n".join(["What you told me about yourself:", *lines, "“Forget that I …” drops one of them."])
