"""Which reminders stand for a person, and what is said when they fall due.

Reminders are planned anew after every message from what the log holds, so that there is nothing to keep in
step: a reminder whose reason is gone is simply no longer planned.
"""

from collections.abc import Container, Sequence
from datetime import datetime, timedelta

from analysis.units import write_glucose
from bot.entries import Meal, Sensor
from bot.messages import Button, Outgoing
from bot.reply import numbers
from bot.reply.words import title
from bot.schedule import rules
from bot.store import Logged, Person, Reminder, Unit

CHECK_AFTER = timedelta(hours=2)
SENSOR_SILENT = timedelta(days=3)
"""Nothing synced for this long: the sensor is taken to be off, and reminders stop."""
LATE = timedelta(minutes=15)


def plan_reminders(unit: Unit, person: Person, now: datetime) -> None:
    """Plan the next sync and the checks of recent meals; take back those no longer wanted."""
    planned = {(r.kind, r.entry_id): r.due_at for r in unit.reminders.pending(person.id)}
    wanted = _wanted(unit, person, now, planned)
    for kind, entry_id in planned.keys() - wanted.keys():
        unit.reminders.cancel(person.id, kind, entry_id)
    for (kind, entry_id), due_at in wanted.items():
        if planned.get((kind, entry_id)) != due_at:
            unit.reminders.plan(person.id, kind, due_at, entry_id)


def _wanted(
    unit: Unit, person: Person, now: datetime, planned: Container[tuple[str, int | None]]
) -> dict[tuple[str, int | None], datetime]:
    last = last_sync(unit, person)
    if not _wears_sensor(unit, person, last, now):
        return {}
    quiet, memory = quiet_of(person), timedelta(minutes=person.memory_min)
    wanted: dict[tuple[str, int | None], datetime] = {}
    if last is not None:
        asked = unit.reminders.last_sent(person.id, "sync")
        wanted["sync", None] = rules.sync_due(
            last,
            None if asked is None else asked.settled_at,
            memory_min=person.memory_min,
            lead_min=person.sync_lead_min,
            quiet=quiet,
            zone=person.zone,
        )
    newest = unit.readings.last_at(person.id)
    for meal in unit.log.between(person.id, ("meal",), now - memory, now + memory):
        due_at = rules.check_due(meal.at, memory_min=person.memory_min, quiet=quiet, zone=person.zone)
        eaten = isinstance(meal.entry, Meal) and meal.entry.slot != "drink" and meal.entry.items
        # One that is overdue is still to be said when it was planned before it fell due.
        ahead = due_at is not None and (due_at > now or ("check", meal.id) in planned)
        if due_at is not None and ahead and eaten and not _is_covered(meal, newest):
            wanted["check", meal.id] = due_at
    return wanted


def quiet_of(person: Person) -> rules.Quiet:
    """Return the person's quiet hours as the rules take them."""
    return rules.Quiet(person.quiet_from, person.quiet_to)


def last_sync(unit: Unit, person: Person) -> datetime | None:
    """Return when the sensor was last read out: said so, or shown by the newest reading of a file."""
    said = unit.log.last(person.id, ("sync",))
    found = [entry.at for entry in said]
    newest = unit.readings.last_at(person.id, source="file")
    return max([*found, newest] if newest is not None else found, default=None)


def _wears_sensor(unit: Unit, person: Person, last: datetime | None, now: datetime) -> bool:
    """Tell whether a sensor is on, as far as the log shows; `last` is when it was last read out."""
    put_on = next((e for e in unit.log.last(person.id, ("sensor",))), None)
    if put_on is not None and isinstance(put_on.entry, Sensor) and put_on.entry.what == "ended":
        return last is not None and last > put_on.at
    started = None if put_on is None else put_on.at
    known = [at for at in (last, started) if at is not None]
    return bool(known) and now - max(known) < SENSOR_SILENT


def _is_covered(meal: Logged, newest: datetime | None) -> bool:
    """Tell whether the readings, of which the newest is given, reach two hours past a meal."""
    return newest is not None and newest >= meal.at + CHECK_AFTER - timedelta(minutes=10)


def remind(unit: Unit, person: Person, due: Sequence[Reminder], now: datetime) -> Outgoing | None:
    """Word all that is due for one person as one message; None when nothing is wanted any more."""
    lines: list[str] = []
    buttons: list[Button] = []
    entry_id: int | None = None
    newest = unit.readings.last_at(person.id)
    for reminder in due:
        if reminder.kind == "sync":
            lines.append(_word_sync(unit, person, now))
            buttons = [Button("Synced", "synced")]
        elif reminder.entry_id is not None:
            logged = unit.log.get(reminder.entry_id)
            if logged is None or logged.removed_at is not None or _is_covered(logged, newest):
                continue
            if now >= rules.lapse_at(logged.at, person.memory_min):
                continue  # held back so long that the sensor has forgotten the first bite
            entry_id = logged.id
            lines.append(_word_check(logged, person, now))
    if not lines:
        return None
    first = min(reminder.due_at for reminder in due)
    if now - first > LATE:
        lines.append(f"(Due at {numbers.day_and_clock(first, person.zone, now)}; I was not running then.)")
    return Outgoing(person.id, "\n".join(lines), buttons=tuple(buttons), reminder=True, entry_id=entry_id)


def _word_sync(unit: Unit, person: Person, now: datetime) -> str:
    last = last_sync(unit, person)
    if last is None:
        return "Sync your sensor."
    lapse_at = rules.lapse_at(last, person.memory_min)
    hours = numbers.minutes(person.memory_min)
    seen = numbers.day_and_clock(last, person.zone, now)
    if now >= lapse_at:
        kept_from = numbers.day_and_clock(now - timedelta(minutes=person.memory_min), person.zone, now)
        return f"Sync your sensor: it keeps {hours}, so readings from {seen} to {kept_from} have lapsed."
    by = numbers.clock(lapse_at, person.zone)
    until = rules.next_allowed(lapse_at, quiet_of(person), person.zone)
    loss = numbers.minutes((until - lapse_at) / timedelta(minutes=1))
    if until > lapse_at:
        return (
            f"Sync your sensor before you sleep: it keeps {hours} and was last read {seen}. "
            f"Left until {numbers.clock(until, person.zone)}, {loss} of readings would lapse."
        )
    return f"Sync your sensor by {by}: it keeps {hours} and was last read {seen}."


def _word_check(logged: Logged, person: Person, now: datetime) -> str:
    meal = logged.entry
    assert isinstance(meal, Meal)
    age = numbers.minutes((now - logged.at) / timedelta(minutes=1))
    return (
        f"{age} since {meal.slot} ({title(meal)}). Sync and send the readings for its curve, "
        f"or type the value you see, like {write_glucose(6.1, person.unit)}."
    )
