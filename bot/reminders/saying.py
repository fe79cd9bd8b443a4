"""What is said when reminders fall due: one message for each person, none in their quiet hours."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from bot.language.texts import later, say
from bot.model.messages import Button, Outgoing
from bot.reminders import ending, rules, trials, trying, words
from bot.reminders.buttons import later_button, not_today_button
from bot.reminders.evenings import EAT, EVENING, LAST_HOURS, REVIEW, SENSOR_OVER, stage_of
from bot.reminders.planning import is_covered, kept_since, last_sensor, last_sync, plan_reminders
from bot.reminders.quiet_hours import asleep_until, quiet_of
from bot.reply.words import at
from bot.store import Logged, Person, Reminder, Transaction

LATE = timedelta(minutes=15)
ALONG = timedelta(minutes=10)
"""What falls due within this is said along with what is due now."""
EXPLAINED = 3
"""So often a kind of reminder says at length why it came, from then on only how to change it.

In short talk it says why once."""
HELD = "held"
"""The mark of what fell due while I was not running, and was then held back for the night."""
LATER = {"later sync", "later check"}
NOT_REACHED = later("I couldn't reach you")
NOT_RUNNING = later("I wasn't running")
PREPARED = {REVIEW, EVENING}
"""What takes long to word is worded before, while others can write (`Ready`); else it waits for that."""
Ready = Mapping[str, Outgoing | None]
"""Of these kinds what is to be said, None where there is nothing to say."""
NOTHING_READY: Ready = {}


def say_due(
    tx: Transaction,
    person_id: str,
    due: Sequence[Reminder],
    now: datetime,
    why_late: str = NOT_RUNNING,
    ready: Ready = NOTHING_READY,
) -> list[Outgoing]:
    """Say what is due for one person, and what soon is, in one message; in quiet hours and sleep it waits."""
    person = tx.people.get(person_id)
    assert person is not None
    if any(reminder.kind == "shift" for reminder in due):
        plan_reminders(tx, person, now)
        due = [r for r in tx.reminders.pending(person_id) if r.due_at <= now]
        person = tx.people.get(person_id) or person
    due = _ready(due, ready)
    if not due:
        return []
    allowed_at = rules.next_allowed(now, quiet_of(person), person.zone)
    if allowed_at > now:  # late after a stop, and by now it is night: it waits for the morning
        tx.reminders.add_sent(person.id, HELD, min(r.due_at for r in due), now)
        for reminder in due:
            tx.reminders.plan(person.id, reminder.kind, allowed_at, entry_id=reminder.entry_id)
        return []
    wakes_at = asleep_until(tx, person, now)
    if wakes_at is not None and not {reminder.kind for reminder in due} & LATER:
        for reminder in due:
            tx.reminders.plan(person.id, reminder.kind, wakes_at, entry_id=reminder.entry_id)
        return []
    taken = {reminder.id for reminder in due}
    along = tx.reminders.due_along(person.id, now + ALONG)
    said = [*due, *_ready([r for r in along if r.id not in taken and r.kind != "shift"], ready)]
    message = remind(tx, person, said, now, why_late, ready)
    tx.reminders.mark([r.id for r in said], "dropped" if message is None else "sent", now)
    plan_reminders(tx, person, now)
    return [] if message is None else [message]


def _ready(due: Sequence[Reminder], ready: Ready) -> list[Reminder]:
    return [reminder for reminder in due if reminder.kind not in PREPARED or reminder.kind in ready]


def say_anew(tx: Transaction, person_id: str, said_at: datetime, now: datetime) -> list[Outgoing]:
    """Say by now, if it is still wanted, what was said at `said_at` and did not reach the person.

    In quiet hours it waits for their end, as what is said for the first time does.
    """
    person = tx.people.get(person_id)
    if person is None:
        return []
    tx.reminders.take_back(person.id, said_at)
    plan_reminders(tx, person, now)
    due = [reminder for reminder in tx.reminders.pending(person.id) if reminder.due_at <= now]
    return say_due(tx, person.id, due, now, why_late=NOT_REACHED) if due else []


def remind(
    tx: Transaction,
    person: Person,
    due: Sequence[Reminder],
    now: datetime,
    why_late: str = NOT_RUNNING,
    ready: Ready = NOTHING_READY,
) -> Outgoing | None:
    """Word all that is due for one person as one message; None when nothing is wanted any more."""
    kinds = {reminder.kind for reminder in due}
    prepared = {kind: one for kind in kinds & PREPARED if (one := ready.get(kind)) is not None}
    lines = {kind: prepared[kind].text for kind in (REVIEW, EVENING) if kind in prepared}
    last, sensor = last_sync(tx, person, now), last_sensor(tx, person)
    since = kept_since(sensor, last)
    standing = stage_of(tx, person, last, now)
    ended = {
        LAST_HOURS: ending.say_last_hours(standing, last, person, now),
        SENSOR_OVER: ending.say_sensor_over(standing, person),
    }
    lines |= {kind: said for kind, said in ended.items() if kind in kinds and said}
    if kinds & {"sync", "later sync"} and since is not None and LAST_HOURS not in lines:
        lines["sync"] = words.say_sync(since, person, now, put_on=since != last)
    meals = _unread_meals(tx, person, due, now)
    if meals:
        lines["check"] = words.say_checks(meals, person, now, with_sync="sync" in lines)
    if "sensor end" in kinds and sensor is not None:
        ends_at = sensor.at + timedelta(days=person.sensor_days)
        lines["sensor end"] = words.say_sensor_end(ends_at, person, now)
    if "nudge" in kinds:
        lines["nudge"] = say(words.NOTHING_SINCE_NOON)
    for serving in (each for each in due if each.kind.startswith(f"{EAT}:")):
        if reminded := trying.say_serving(tx, person, serving.kind, serving.entry_id):
            lines[EAT] = reminded
    due_trial = trials.say_trial(tx, person, now) if trials.KIND in kinds else None
    if due_trial is not None:
        lines[trials.KIND] = due_trial[0]
    if not lines:
        return None
    said = list(lines.values())
    first = _first_due(tx, person, due, since)
    about = [*meals, *([sensor] if sensor is not None else [])]
    if now - first > LATE and not any(
        one.logged_at > first for one in about
    ):  # else it was not known in time
        when = at(first, person.zone, now)
        said.append(say("(I meant to say this {when}, but {why}.)", when=when, why=say(why_late)))
    often = EXPLAINED if person.talk == "full" else 1
    told = [kind for kind in lines if kind in words.EXPLAINED]
    new = [kind for kind in told if tx.reminders.count_sent(person.id, kind, often) < often]
    said += [words.say_why(kind, person) for kind in new]
    if person.talk == "full":
        said += words.say_how([kind for kind in told if kind not in new])
    buttons = [button for one in prepared.values() for button in one.buttons]
    buttons += _buttons(person, lines, meals, kinds, now) + (() if due_trial is None else (due_trial[1],))
    if SENSOR_OVER in lines and standing.stage == "over":
        buttons.append(ending.REPORT_BUTTON)
    return Outgoing(
        person.id,
        "\n".join(said),
        buttons=tuple(buttons),
        picture=next((one.picture for one in prepared.values() if one.picture is not None), None),
        reminder=True,
        entry_id=meals[-1].id if meals else None,
    )


def _first_due(tx: Transaction, person: Person, due: Sequence[Reminder], since: datetime | None) -> datetime:
    """Return when the first of these fell due, also where the night then held it back until now."""
    first = min(reminder.due_at for reminder in due)
    held = tx.reminders.last_sent(person.id, HELD)
    if held is None or held.settled_at is None or (since is not None and since > held.settled_at):
        return first
    until = rules.next_allowed(held.settled_at, quiet_of(person), person.zone)
    return min(first, held.due_at) if any(r.due_at == until for r in due) else first


def _unread_meals(tx: Transaction, person: Person, due: Sequence[Reminder], now: datetime) -> list[Logged]:
    """Return the meals to be checked that still have no readings, as long as the sensor has their start."""
    newest = tx.readings.last_at(person.id)
    ids = {r.entry_id for r in due if r.kind in ("check", "later check") and r.entry_id is not None}
    meals = [m for m in (tx.log.get(i) for i in sorted(ids)) if m is not None and m.removed_at is None]
    held = [m for m in meals if not is_covered(m, newest) and now < rules.lapse_at(m.at, person.memory_min)]
    return sorted(held, key=lambda meal: meal.at)


def _buttons(
    person: Person, lines: Mapping[str, str], meals: Sequence[Logged], kinds: set[str], now: datetime
) -> tuple[Button, ...]:
    found = [Button(say("Synced"), "synced")] if lines.keys() & {"sync", "check", LAST_HOURS} else []
    if not kinds & LATER and lines.keys() & {"sync", "check"}:
        found.append(later_button("sync" in lines, [meal.id for meal in meals]))
    if meals:
        found.append(not_today_button(person, now))
    return tuple(found)
