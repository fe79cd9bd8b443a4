"""What is said when a sensor ends: its last readings, and then that it, or the run, is over."""

from datetime import datetime, timedelta

from bot.model.messages import Button
from bot.reminders.stages import Standing
from bot.reply import numbers
from bot.store import Person

REPORT = "report"
"""What the button stands for that asks for the report of the run."""
REPORT_BUTTON = Button("Send me the report", REPORT)
READ_JUST_NOW = timedelta(minutes=45)
QUIET_NOW = "I won't ask for syncs until you say “new sensor on”; what you eat you can note all the same."


def say_last_hours(at: Standing, last_sync_at: datetime | None, person: Person, now: datetime) -> str:
    """Ask for the last readings of a sensor that is about to end; "" where they are there, or it went on."""
    if at.stage != "last day" or at.ends_at is None:
        return ""
    if last_sync_at is not None and now - last_sync_at < READ_JUST_NOW:
        return ""
    ends = numbers.day_and_clock(at.ends_at, person.zone, now)
    return f"Your sensor ends at {ends}. Please sync before you take it off and send me its last readings."


def say_sensor_over(at: Standing, person: Person) -> str:
    """Say that a sensor, or with it the run, is over; "" where a sensor is on or it is long past."""
    if at.stage == "over":
        return f"{_say_run(at, person)} {QUIET_NOW}"
    if at.stage == "between":
        return f"Your sensor's {person.sensor_days} days are over, and I know of no next one. {QUIET_NOW}"
    return ""


def say_taken_off(at: Standing, person: Person) -> str:
    """Say what follows when a sensor was said to come off; "" where it was none that I knew of."""
    if at.stage == "over":
        return f"{_say_run(at, person)} {QUIET_NOW}"
    return QUIET_NOW if at.stage == "between" else ""


def say_run_begins(at: Standing, person: Person) -> str:
    """Say, when the first sensor of a later run is put on, which one went before; "" at any other."""
    if at.sensors != 1 or len(at.runs) < 2:
        return ""
    first = numbers.day(at.runs[-2][0], person.zone)
    return (
        f"This begins another run; your last one began on {first}. “Compare my runs” sets the two side by "
        "side once this one has a few whole days."
    )


def _say_run(at: Standing, person: Person) -> str:
    first, last = (numbers.day(one, person.zone) for one in (at.runs[-1][0], at.ends_at or at.runs[-1][-1]))
    return f"Your run is complete: {at.sensors} sensors, {first} to {last}. The report sums it up."
