"""What the buttons under a week's review, and at the end of a run, do."""

from collections.abc import Callable

from bot.answers.reports import answer_report
from bot.answers.week import NO_MORE, TEST, TRY
from bot.model.entries import Question
from bot.model.messages import Button, Outgoing
from bot.reminders.ending import REPORT, REPORT_BUTTON, say_run_begins, say_taken_off
from bot.reminders.evenings import EAT, stage_of
from bot.reminders.planning import last_sync
from bot.reminders.trying import Serving, name_serving, next_meal_at, plate_of, read_serving
from bot.reply import numbers
from bot.store import Logged, Person, Transaction
from bot.talk.heard import Heard
from bot.talk.reminder_settings import SETTINGS
from bot.talk.trials import propose_serving
from bot.understanding.questions.sorts import ABOUT

FORGET = "forget try"
GONE = "That plate is not noted any more, so there is nothing to start."


def press_no_more(heard: Heard, _data: str) -> Outgoing:
    """End the reviews that come by themselves."""
    return Outgoing(
        heard.person.id, SETTINGS["reviews"](heard.tx, heard.person, "off", heard.incoming.sent_at)
    )


def press_report(heard: Heard, _data: str) -> Outgoing:
    """Send the report of the run."""
    question = Question(ABOUT["report"], sort="report")
    return answer_report(heard.tx, heard.person, question, heard.incoming.sent_at)


def press_try(heard: Heard, data: str) -> Outgoing:
    """Remind of a serving before its next meal; only of the one that was chosen last."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    serving = _read(data)
    plate = None if serving is None else plate_of(tx, person, serving)
    if serving is None or plate is None:
        return Outgoing(person.id, GONE)
    _forget_servings(tx, person)
    due_at = next_meal_at(tx, person, plate.slot, now)
    tx.reminders.plan(person.id, serving.reminder, due_at, serving.entry_id)
    clock, today = numbers.clock(due_at, person.zone), now.astimezone(person.zone).date()
    day = "today" if due_at.astimezone(person.zone).date() == today else numbers.day(due_at, person.zone)
    text = f"I'll remind you {day} at {clock}. {name_serving(serving, plate)}."
    return Outgoing(person.id, text, buttons=(Button("Not after all", FORGET),))


def press_forget(heard: Heard, _data: str) -> Outgoing:
    """Take back that a serving was to be remembered."""
    gone = _forget_servings(heard.tx, heard.person)
    said = "Then I won't remind you of it." if gone else "There is nothing left to remind you of."
    return Outgoing(heard.person.id, said)


def press_test(heard: Heard, data: str) -> Outgoing:
    """Propose a test of a serving."""
    serving = _read(data)
    plate = None if serving is None else plate_of(heard.tx, heard.person, serving)
    if serving is None or plate is None:
        return Outgoing(heard.person.id, GONE)
    return propose_serving(heard, serving, plate)


def _read(data: str) -> Serving | None:
    parts = data.split(",")
    return read_serving(parts[0], parts[1], parts[2]) if len(parts) == 3 else None


def _forget_servings(tx: Transaction, person: Person) -> int:
    planned = [r for r in tx.reminders.pending(person.id) if r.kind.split(":")[0] == EAT]
    for reminder in planned:
        tx.reminders.cancel(person.id, reminder.kind, reminder.entry_id)
    return len(planned)


def say_sensors(heard: Heard, logged: list[Logged]) -> tuple[list[str], tuple[Button, ...]]:
    """Return what follows when a sensor was put on or came off, and the button that a whole run offers."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    if not any(one.kind == "sensor" and one.at <= now for one in logged):
        return [], ()
    at = stage_of(tx, person, last_sync(tx, person, now), now)
    said = say_run_begins(at, person) if at.on else say_taken_off(at, person)
    return ([said] if said else []), ((REPORT_BUTTON,) if at.stage == "over" else ())


PRESSES: dict[str, Callable[[Heard, str], Outgoing]] = {
    NO_MORE: press_no_more,
    TRY: press_try,
    TEST: press_test,
    FORGET: press_forget,
    REPORT: press_report,
}
