"""The buttons under a reminder; what a press does is in `bot/talk/reminder_buttons.py`."""

from collections.abc import Sequence
from datetime import datetime

from bot.language.texts import say
from bot.model.button_ids import write_ids
from bot.model.messages import Button
from bot.reminders import days
from bot.reminders.quiet_hours import quiet_of
from bot.store import Person


def later_button(with_sync: bool, meal_ids: Sequence[int]) -> Button:
    """Return the button that puts off a sync, the checks of some meals, or both."""
    about = ["sync"] if with_sync else []
    if meal_ids:
        about.append(write_ids(meal_ids))
    return Button(say("In 30 min"), "later:" + ",".join(about))


def not_today_button(person: Person, now: datetime) -> Button:
    """Return the button that ends the checks until the person's day is over; it says when that is."""
    until = days.day_end(now, quiet_of(person), person.zone)
    return Button(say("Not today"), f"notoday:{int(until.timestamp()) // 60}")
