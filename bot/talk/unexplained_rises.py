"""Meals nobody logged: one friendly question about a rise that no note explains."""

from datetime import UTC, datetime, timedelta

from bot.model.button_ids import read_ids
from bot.model.messages import Button, Outgoing
from bot.reminders import rules
from bot.reminders.days import day_start
from bot.reminders.quiet_hours import quiet_of
from bot.reply import numbers
from bot.store import Person, Transaction
from bot.store.records import Pending
from bot.talk.heard import Heard

PRESSES = ("food", "nofood")
LOOK_BACK = timedelta(hours=24)
SAME_RISE = timedelta(minutes=60)
"""With more readings a rise can begin a little elsewhere: within this it is still the same."""
A_DAY = 2
ANSWER_WITHIN = timedelta(minutes=60)


def ask_about_rise(tx: Transaction, person: Person, now: datetime) -> list[Outgoing]:
    """Ask about the largest unexplained rise of the last day; twice a day at most, never in quiet hours."""
    if person.remind != "all" or rules.in_quiet(now, quiet_of(person), person.zone):
        return []
    asked = tx.reminders.sent_since(person.id, "rise", now - 3 * LOOK_BACK)
    today = day_start(now, person.zone)
    if sum(r.settled_at is not None and r.settled_at >= today for r in asked) >= A_DAY:
        return []
    from bot.frames.servings import rises_between

    new = [
        rise
        for rise in rises_between(tx, person, now - LOOK_BACK, now)
        if all(abs(rise.at - r.due_at) > SAME_RISE for r in asked)
    ]
    if not new:
        return []
    rise = max(new, key=lambda one: one.rise_mmol)
    tx.reminders.add_sent(person.id, "rise", rise.at, now)
    when = numbers.day_and_clock(rise.at, person.zone, now)
    high = numbers.difference_with_unit(rise.rise_mmol, person.unit)
    minute = int(rise.at.timestamp()) // 60
    buttons = (Button("It was food", f"food:{minute}"), Button("No food", f"nofood:{minute}"))
    clock = numbers.clock(rise.at, person.zone)
    at = f"{when.removesuffix(clock)}around {clock}"
    return [Outgoing(person.id, f"Something {at}? A rise of {high} that no meal explains.", buttons=buttons)]


def press_rise(heard: Heard, what: str, about: str) -> Outgoing:
    """Answer a button under such a question: ask what it was, or leave it."""
    person, now, ids = heard.person, heard.incoming.sent_at, read_ids(about)
    if what == "nofood" or not ids:
        return Outgoing(person.id, "No food, then. I won't ask about that one again.")
    at = datetime.fromtimestamp(min(ids[0] * 60, int(now.timestamp())), UTC)
    heard.tx.pending.ask(person.id, f"food {at.isoformat()}", None, now, now + ANSWER_WITHIN)
    when = numbers.day_and_clock(at, person.zone, now)
    return Outgoing(person.id, f"What was it? Say it like “a banana”: I note it for {when}.")


def meant_now(pending: Pending | None, now: datetime) -> datetime:
    """Return what "now" means in a message: the time of the rise when it answers what was eaten then."""
    if pending is None or not pending.about.startswith("food "):
        return now
    return datetime.fromisoformat(pending.about.removeprefix("food "))
