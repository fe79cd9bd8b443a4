"""A day's entries: which they are, what their meals scored, and the list of them with a button each."""

from datetime import datetime, time, timedelta

from bot.model.entries import Meal, Nutrients, Question, Sleep
from bot.model.messages import Outgoing
from bot.reminders.rules import first_instant
from bot.reply.day_list import fix_buttons, list_day, say_when
from bot.reply.words import nutrients
from bot.store import Logged, Person, Transaction

KINDS = ("meal", "activity", "reading", "sleep", "sync", "sensor", "feeling", "skipped")
LONGEST_NIGHT = timedelta(hours=16)
"""So long before its day a night may begin."""
HEAD = "What I have for {day}; a button lets you change that entry:"
TOTAL = "Together {held}"
NOTHING = "I have nothing noted for {day}. Write what happened, like “soup and bread at 12:30”."


def entries_of_day(tx: Transaction, person: Person, since: datetime, until: datetime) -> list[Logged]:
    """Return what is noted in [since, until), oldest first; a night belongs to the day it ended on."""
    found = tx.log.between(person.id, KINDS, since - LONGEST_NIGHT, until)
    return [one for one in found if since <= _counts_at(one) < until]


def _counts_at(logged: Logged) -> datetime:
    night = logged.entry
    return night.to_at if isinstance(night, Sleep) and night.to_at is not None else logged.at


def scores_of_day(tx: Transaction, person: Person, since: datetime, until: datetime) -> dict[int, float]:
    """Return the evenness of each meal of [since, until) that has one, by its entry; none if hidden."""
    newest = tx.readings.last_at(person.id)
    if not person.scores or newest is None or newest < since:
        return {}  # nothing is loaded for scores that cannot be there
    from bot.frames.servings import servings_between

    servings = servings_between(tx, person, since, until)
    return {s.entry_id: s.evenness.score for s in servings if s.evenness is not None}


def day_around(at: datetime, person: Person) -> tuple[datetime, datetime]:
    """Return the local day that an instant is in, as [since, until)."""
    day = at.astimezone(person.zone).date()
    since, until = (first_instant(one, time(0), person.zone) for one in (day, day + timedelta(days=1)))
    return since, until


def say_day_list(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """List the entries of the day that a question names, today without one, with a button for each."""
    since, until = day_around(question.since or now, person)
    entries = entries_of_day(tx, person, since, until)
    day = say_when(since, person.zone, now)
    if not entries:
        return Outgoing(person.id, NOTHING.format(day=day))
    scores = scores_of_day(tx, person, since, until)
    lines = list_day(entries, scores, zone=person.zone, unit=person.unit)
    head = HEAD.format(day=day)
    eaten = [one.entry.nutrients for one in entries if isinstance(one.entry, Meal)]
    held = nutrients(sum(eaten, Nutrients()))
    lines += [TOTAL.format(held=held[:1].lower() + held[1:])] if held else []
    return Outgoing(person.id, "\n".join([head, *lines]), buttons=fix_buttons(entries, person.zone))
