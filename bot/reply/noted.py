"""What was noted, said back, with buttons for the likely fixes."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, tzinfo

from bot.model.button_ids import write_ids
from bot.model.entries import Activity, Feeling, Meal, Skipped, Sync
from bot.model.messages import Button, Outgoing
from bot.model.naming import title
from bot.reply import numbers, words
from bot.reply.reactions import react
from bot.store import Logged, Person


def say_noted(logged: Sequence[Logged], person: Person, now: datetime, more: Sequence[str]) -> list[Outgoing]:
    """Answer with what was noted, then with `more` sentences; buttons for the likely fixes."""
    lines = [words.noted(entry.entry, zone=person.zone, unit=person.unit, now=now) for entry in logged]
    lines += more
    if not lines:
        return []
    meal = next((entry for entry in logged if isinstance(entry.entry, Meal)), None)
    about = meal or next(iter(logged), None)
    buttons = fixes(meal, logged)
    return [
        Outgoing(person.id, "\n".join(lines), buttons=buttons, entry_id=None if about is None else about.id)
    ]


def say_briefly(
    logged: Sequence[Logged],
    person: Person,
    now: datetime,
    more: Sequence[str],
    message_id: str | None,
    *,
    is_clear: bool,
) -> list[Outgoing]:
    """Answer with what was noted in a line each, then with `more`; with a mark where nothing needs saying.

    message_id: of what the person said; is_clear: nothing needs saying
    """
    if is_clear and logged:
        synced = all(isinstance(one.entry, Sync) for one in logged)
        meal = next((one for one in logged if isinstance(one.entry, Meal)), logged[0])
        mark = react(person.id, message_id, "synced" if synced else "noted")
        return [replace(mark, entry_id=meal.id)]
    short = [words.noted_briefly(one.entry, zone=person.zone, unit=person.unit, now=now) for one in logged]
    return [replace(said, text="\n".join([*short, *more])) for said in say_noted(logged, person, now, more)]


def fixes(meal: Logged | None, logged: Sequence[Logged]) -> tuple[Button, ...]:
    """Return the buttons for the likely fixes of what was noted; without anything, none."""
    if not logged:
        return ()
    undo = Button("Undo", "undo:" + write_ids([entry.id for entry in logged]))
    if meal is None:
        return (undo,)
    return (
        Button("Fix amounts", f"amounts:{meal.id}"),
        Button("Fix time", f"time:{meal.id}"),
        undo,
    )


def name_of(logged: Logged, zone: tzinfo | None = None, now: datetime | None = None) -> str:
    """Name an entry in a few words, with its time if `zone` and `now` are given: breakfast (oats), 07:10."""
    when = "" if zone is None or now is None else f", {numbers.day_and_clock(logged.at, zone, now)}"
    match logged.entry:
        case Meal() as meal:
            return f"{meal.slot} ({title(meal)}){when}"
        case Activity(what=what) | Feeling(what=what):
            return f"{what}{when}"
        case Skipped(what=what):
            return f"no {what}{when}"
        case _:
            return f"the {logged.kind}{when}"
