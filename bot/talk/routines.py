"""What is assumed of routines, said beside the first meal that it matters for."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.frames.levers import AFTER_MIN, BEFORE_MIN
from bot.frames.routines import Routines, is_noted
from bot.model.entries import Activity, Meal
from bot.reply import numbers
from bot.reply.facts import COUNTED
from bot.store import Logged
from bot.talk.heard import Heard
from bot.understanding.settings.routines import Routine

_BEFORE, _AFTER = timedelta(minutes=BEFORE_MIN), timedelta(minutes=AFTER_MIN)
_DAY = timedelta(days=1)


def say_assumed(heard: Heard, logged: Sequence[Logged]) -> list[str]:
    """Say of each routine what is assumed of it, beside the first meal that it lies close to."""
    meals = [one for one in logged if isinstance(one.entry, Meal)]
    if not meals:
        return []
    tx, person = heard.tx, heard.person
    first, last = min(one.at for one in meals), max(one.at for one in meals)
    routines = Routines.of(tx, person, first - _DAY, last + _DAY)
    if not routines.told:
        return []
    ids = {one.id for one in logged}
    start = min(told.since for told in routines.told)
    before = [
        one
        for one in tx.log.between(person.id, ("meal",), first - 60 * _DAY, last + _DAY)
        if one.id not in ids and one.at.astimezone(person.zone).date() >= start
    ]
    moves = [
        (one.at, one.entry)
        for one in tx.log.between(person.id, ("activity",), first - _DAY, last + _DAY)
        if isinstance(one.entry, Activity)
    ]
    said = {routine.value for one in before for _, routine in _close(routines, one)}
    lines: dict[str, str] = {}
    for one in meals:
        for at, routine in _close(routines, one):
            if routine.value not in said and not is_noted(at, routine, moves):
                when = routine.beside or f"at {numbers.clock(at, person.zone)}"
                lines[routine.value] = (
                    f"I count {routine.name} {when} as {COUNTED[routine.kind]}, as you told me; if it was "
                    f"not so, say “no {routine.name} today”."
                )
    return list(lines.values())


def _close(routines: Routines, meal: Logged) -> list[tuple[datetime, Routine]]:
    """Return the routines that count before or after a meal, with when they begin."""
    assert isinstance(meal.entry, Meal)
    found = list(routines.assumed_by_clock(meal.at - _BEFORE, meal.at + _AFTER))
    near = [(at, one) for at, one in found if meal.at - _BEFORE <= at <= meal.at + _AFTER]
    return near + list(routines.assumed_beside(meal.at, meal.entry.slot))
