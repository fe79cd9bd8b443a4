"""What was noted, said back, with buttons for the likely fixes."""

from collections.abc import Sequence
from datetime import datetime, tzinfo

from bot.model.button_ids import write_ids
from bot.model.entries import Activity, Feeling, Meal, Skipped
from bot.model.messages import Button, Outgoing
from bot.model.naming import title
from bot.reply import numbers, words
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
