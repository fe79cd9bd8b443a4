"""The commands that set when and of what a person is reminded."""

import re
from collections.abc import Callable
from datetime import date, datetime, time, timedelta

from bot.language.times import rewrite, write_span
from bot.model.naming import join
from bot.reminders import days
from bot.reminders.quiet_hours import say_long_quiet, word_quiet
from bot.reply import numbers
from bot.store import Person, Transaction
from bot.store.records import Remind
from bot.understanding.settings.clocks import clocks_in

HOURS = re.compile(r"(\d{1,2})(?:[:.](\d{2}))?\s*(?:-|–|to|until)\s*(\d{1,2})(?:[:.](\d{2}))?")
_HALF = r"\d{1,2}(?:[:.]\d{2})? ?[ap]\.?m\.?"
_HALVES = re.compile(rf"{_HALF}\s*(?:-|–|to|until)\s*{_HALF}")
LENGTH = re.compile(
    r"(\d{1,4}(?:[.,]\d+)?)\s*(m|min|mins|minutes?|h|hr|hrs|hours?|d|days?)?(?:\s*(\d{1,2})\s*(?:m|min)?)?"
)
MINUTES_IN = {"h": 60, "d": 24 * 60}
LEAST_MEMORY_MIN, MOST_MEMORY_MIN = 30, 30 * 24 * 60
LEAST_LEAD_MIN = 5
MOST_SENSOR_DAYS = 60
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
SHIFT_NAME = re.compile(r"[^\W\d_][\w-]{0,19}")


def read_hours(text: str) -> tuple[time, time] | None:
    """Read two clock times, like 23:00-06:30 or 11pm-6:30am; None when they are not."""
    found = HOURS.fullmatch(text.strip())
    if found is None:
        clocks = clocks_in(text) if _HALVES.fullmatch(text.strip().lower()) else []
        first, last = ([time(*divmod(clock.minute, 60)) for clock in clocks] + [None, None])[:2]
        return None if first is None or last is None else (first, last)
    a, b, c, d = (int(part or 0) for part in found.groups())
    try:
        return time(a, b), time(c, d)
    except ValueError:
        return None


def read_minutes(text: str, unit: str = "m") -> float | None:
    """Read a length of time, like 90, 90 min, 8h or 1 h 30; `unit`: what a bare number means."""
    found = LENGTH.fullmatch(text.strip().lower())
    if found is None:
        return None
    value, said, rest = float(found[1].replace(",", ".")), (found[2] or unit)[0], int(found[3] or 0)
    return value * MINUTES_IN.get(said, 1) + rest


def _set_lead(tx: Transaction, person: Person, value: str, _now: datetime) -> str:
    now = numbers.minutes(person.sync_lead_min)
    if not value:
        return f"I'll ask {now} before readings are lost. To change it write /lead 90."
    lead = read_minutes(value)
    most = _longest_lead(person.memory_min)
    if lead is None or not LEAST_LEAD_MIN <= lead <= most:
        allowed = f"{LEAST_LEAD_MIN} to {most}" if most > LEAST_LEAD_MIN else f"{LEAST_LEAD_MIN}"
        kept = numbers.minutes(person.memory_min)
        return f"I couldn't use that, so it stays {now}: with a memory of {kept} it can be {allowed} minutes."
    tx.people.update(person.id, sync_lead_min=round(lead))
    return f"I'll ask {numbers.minutes(lead)} before readings are lost, and at bedtime."


def _longest_lead(memory_min: float) -> int:
    """Return the longest lead that leaves an hour of memory before it."""
    return max(round(memory_min) - 60, LEAST_LEAD_MIN)


def _set_memory(tx: Transaction, person: Person, value: str, _now: datetime) -> str:
    now = numbers.minutes(person.memory_min)
    if not value:
        return f"I take it that your sensor keeps {now} of readings. To change it write /memory 8 h."
    memory = read_minutes(value, "h")
    if memory is None or not LEAST_MEMORY_MIN <= memory <= MOST_MEMORY_MIN:
        return f"I couldn't use that, so it stays {now}. Write it like /memory 8 h."
    lead = min(person.sync_lead_min, _longest_lead(memory))
    tx.people.update(person.id, memory_min=round(memory), sync_lead_min=lead)
    said = [f"Your sensor keeps {numbers.minutes(memory)} of readings: I'll ask you to sync within that."]
    if lead < person.sync_lead_min:
        said.append(f"From now on I'll ask {numbers.minutes(lead)} before readings are lost.")
    return " ".join([*said, *say_long_quiet(person.quiet_from, person.quiet_to, memory)])


def _set_remind(tx: Transaction, person: Person, value: str, _now: datetime) -> str:
    levels: dict[str, Remind] = {"on": "all", "all": "all", "less": "sync", "off": "none", "none": "none"}
    level = levels.get(value.lower())
    if level is None:
        said = {"all": "on", "sync": "down to syncs", "none": "off"}[person.remind]
        return f"Reminders are {said}. Write /remind on, /remind less or /remind off."
    tx.people.update(person.id, remind=level, no_checks_until=None)
    return {
        "all": "Reminders are on: to sync in time, and to check a meal after two hours.",
        "sync": "From now on I'll only ask you to sync before readings are lost. /remind off ends that too, "
        "/remind on brings all back.",
        "none": "No more reminders. Readings the sensor overwrites are then lost unasked; /remind on brings "
        "them back.",
    }[level]


def _set_nudge(tx: Transaction, person: Person, value: str, _now: datetime) -> str:
    if value.lower() not in ("on", "off"):
        return f"That is {'on' if person.nudge else 'off'}. Write /nudge on or /nudge off."
    tx.people.update(person.id, nudge=value.lower() == "on")
    if value.lower() == "off":
        return "I won't ask about days without notes any more."
    return rewrite("I'll ask at 18:00 when nothing was noted since noon.")


def _set_reviews(tx: Transaction, person: Person, value: str, _now: datetime) -> str:
    """Switch the weekly reviews on or off, and say so."""
    if value.lower() not in ("on", "off"):
        stand = "on" if person.reviews else "off"
        return f"Weekly reviews are {stand}. Write /reviews on or /reviews off; /week looks back at any time."
    tx.people.update(person.id, reviews=value.lower() == "on")
    if value.lower() == "off":
        return "No more weekly reviews. “Weekly review again” brings them back; /week looks back at any time."
    return "I'll look back on each week on the evening before the next begins. “No reviews” ends that."


def _set_evening(tx: Transaction, person: Person, value: str, _now: datetime) -> str:
    """Switch the line that closes each day on or off, and say so."""
    if value.lower() not in ("on", "off"):
        return f"The evening line is {'on' if person.evening else 'off'}. Write /evening on or /evening off."
    tx.people.update(person.id, evening=value.lower() == "on")
    if value.lower() == "off":
        return "No more evening line."
    return (
        "Each evening I'll say in a line what is missing of the day and how its meals scored. “No evening "
        "line” ends it."
    )


def _set_sensor(tx: Transaction, person: Person, value: str, now: datetime) -> str:
    if not value:
        from bot.reminders.sensor import say_sensor

        return say_sensor(tx, person, now)
    long = read_minutes(value, "d")
    if long is None or not 1 <= long / MINUTES_IN["d"] <= MOST_SENSOR_DAYS:
        return f"It stays {person.sensor_days} days. Write it like /sensor 10 days."
    tx.people.update(person.id, sensor_days=round(long / MINUTES_IN["d"]))
    return (
        f"A sensor of yours lasts {round(long / MINUTES_IN['d'])} days: I'll say so the day before it ends."
    )


def _set_shift(tx: Transaction, person: Person, value: str, now: datetime) -> str:
    words = value.lower().split()
    name = words[0] if words else ""
    if not SHIFT_NAME.fullmatch(name):
        return _list_shifts(tx, person, now)
    rest = " ".join(word for word in words[1:] if word not in ("shift", "shifts"))
    found = HOURS.search(rest) or _HALVES.search(rest)
    hours = None if found is None else read_hours(found[0])
    if found is not None and hours is not None:
        rest = rest.replace(found[0], "").strip()
        tx.shifts.set(person.id, name, *hours)
        tx.first_hour.settle(person.id, "nights")
    shift = next((s for s in tx.shifts.all(person.id) if s.name == name), None)
    if shift is None:
        later = now + timedelta(minutes=60)
        tx.pending.ask(person.id, f"shift {value.lower()}"[:80], None, now, later)
        return f"Which hours are quiet on your {name} shift? Say it like 20:30-04:00."
    quiet = f"quiet {write_span(shift.quiet_from, shift.quiet_to)}"
    first = read_first_day(rest, now.astimezone(person.zone).date())
    if first is not None and days.switch_at(first, person.zone) > now:
        tx.shifts.plan(person.id, first, name)
        return f"{name.capitalize()} shift from {_day(first)}: {quiet}, from the night before on."
    # from noon on, tomorrow's has begun as well
    begun_on = (now.astimezone(person.zone) + timedelta(hours=12)).date()
    tx.shifts.forget_switches(person.id, begun_on)
    tx.shifts.begin(person.id, begun_on, name)
    tx.people.update(person.id, quiet_from=shift.quiet_from, quiet_to=shift.quiet_to)
    return f"{name.capitalize()} shift: {quiet} from now on."


def _list_shifts(tx: Transaction, person: Person, now: datetime) -> str:
    known = tx.shifts.all(person.id)
    if not known:
        return (
            "Give each shift its quiet hours, like /shift early 20:30-04:00; then say “late shift from Thu”."
        )
    said = [f"{s.name} is quiet {write_span(s.quiet_from, s.quiet_to)}" for s in known]
    ahead = [
        f"{s.name} from {_day(s.from_on)}"
        for s in tx.shifts.switches(person.id)
        if days.switch_at(s.from_on, person.zone) > now
    ]
    hours = f"Quiet now: {word_quiet(person)}."
    return f"Your shifts: {join(said)}. {hours}" + (f" Planned: {join(ahead)}." if ahead else "")


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b}"


def read_first_day(text: str, today: date) -> date | None:
    """Read the day a shift begins: from tomorrow, from Thursday, from 2026-04-02; None = now."""
    said = re.sub(r"^(from|starting|on|this|next)\s+", "", text.strip().lower())
    if said.startswith("tomorrow"):
        return today + timedelta(days=1)
    for number, name in enumerate(WEEKDAYS):
        if len(said) >= 3 and name.startswith(said):
            return today + timedelta(days=(number - today.weekday()) % 7 or 7)
    try:
        return date.fromisoformat(said)
    except ValueError:
        return None


SETTINGS: dict[str, Callable[[Transaction, Person, str, datetime], str]] = {
    "remind": _set_remind,
    "lead": _set_lead,
    "shift": _set_shift,
    "nudge": _set_nudge,
    "sensor": _set_sensor,
    "memory": _set_memory,
    "reviews": _set_reviews,
    "evening": _set_evening,
}
