"""The buttons under a reminder: half an hour later, once; no more checks today."""

from datetime import UTC, datetime

from bot.language.texts import say
from bot.model.button_ids import read_ids
from bot.model.messages import Outgoing
from bot.reminders import days, rules
from bot.reminders.planning import is_covered, kept_since, last_asked, last_sensor, last_sync
from bot.reminders.quiet_hours import quiet_of
from bot.reply import numbers
from bot.talk.heard import Heard

PRESSES = ("later", "notoday")


def press_reminder(heard: Heard, what: str, about: str) -> Outgoing:
    """Answer a button of a reminder; it may be an old one, whose reason is gone."""
    return _put_off(heard, about) if what == "later" else _end_today(heard, about)


def _put_off(heard: Heard, about: str) -> Outgoing:
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    due_at = rules.next_allowed(now + days.SNOOZE, quiet_of(person), person.zone)
    planned, again = False, False
    asked_at = last_asked(tx, person)
    last = kept_since(last_sensor(tx, person), last_sync(tx, person, now))
    if "sync" in about.split(",") and asked_at is not None and last is not None and asked_at > last:
        if tx.reminders.is_planned_since(person.id, "later sync", last):
            again = True
        else:
            tx.reminders.plan(person.id, "later sync", due_at)
            planned = True
    newest = tx.readings.last_at(person.id)
    for entry_id in read_ids(about):
        meal = tx.log.get(entry_id)
        if meal is None or meal.person != person.id or meal.removed_at is not None:
            continue
        if is_covered(meal, newest) or due_at >= rules.lapse_at(meal.at, person.memory_min):
            continue
        if tx.reminders.is_planned_since(person.id, "later check", meal.at, entry_id):
            again = True
        else:
            tx.reminders.plan(person.id, "later check", due_at, entry_id)
            planned = True
    if planned:
        return Outgoing(
            person.id, say("I'll ask again at {clock}.", clock=numbers.clock(due_at, person.zone))
        )
    if again:
        return Outgoing(person.id, say("I've put it off once, so I'll leave it there."))
    return Outgoing(person.id, say("There is nothing left of that to put off."))


def _end_today(heard: Heard, about: str) -> Outgoing:
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    ids = read_ids(about)
    # the longest day has 25 hours; a number from anywhere else is no button of ours
    until = datetime.fromtimestamp(min(ids[0] * 60, 4_000_000_000), UTC) if ids else now
    if not now < until < now + 2 * days.DAY_BEFORE:
        return Outgoing(person.id, say("That was another day. “Remind me less” ends the checks for good."))
    tx.people.update(person.id, no_checks_until=until)
    return Outgoing(
        person.id,
        say("No more checks today. I'll still say when you would lose readings; /remind off ends that, too."),
    )
