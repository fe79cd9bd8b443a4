"""A day as text: handed out to be copied, and taken in again, each entry once."""

from datetime import date, time

from bot.answers.day_list import NOTHING, day_around, entries_of_day
from bot.model.entries import Nothing, Question, Reading, Stored
from bot.model.messages import Outgoing
from bot.reply import fixed, numbers
from bot.reply.day_list import list_day, say_when
from bot.reply.noted import fixes
from bot.store import Logged
from bot.talk.heard import Heard
from bot.talk.incoming_readings import complete
from bot.talk.recording import instant_of, record
from bot.understanding import Context, understand
from bot.understanding.day_texts import context_of, read_day, write_day, write_line
from bot.understanding.pieces.instants import place

TO_COME = "{day} is still to come, so I have noted nothing of it."
KNOWN = "I had {count} of it already."


def say_day_text(heard: Heard, question: Question) -> Outgoing:
    """Hand out the day that a question names as plain text, and nothing else, so that it can be copied."""
    person, now = heard.person, heard.incoming.sent_at
    since, until = day_around(question.since or now, person)
    entries = [one.entry for one in entries_of_day(heard.tx, person, since, until)]
    if not entries:
        return Outgoing(person.id, NOTHING.format(day=say_when(since, person.zone, now)))
    day = since.astimezone(person.zone).date()
    return Outgoing(person.id, write_day(day, entries, person.zone, person.unit))


def hear_day_text(heard: Heard, context: Context) -> list[Outgoing] | None:
    """Note a day that was pasted as text, each line by itself; None where the message is none."""
    found = read_day(heard.incoming.text, context)
    if found is None:
        return None
    day, lines = found
    if day > context.local_now.date():
        said = f"{day:%A} {day.day} {day:%B}"
        return [Outgoing(heard.person.id, TO_COME.format(day=said))]
    entries, unread = _read_lines(lines, context_of(day, context))
    person = heard.person
    since, until = day_around(place(day, time(12), person.zone), person)
    there = [one.entry for one in entries_of_day(heard.tx, person, since, until)]
    known = {write_line(entry, day, person.zone, person.unit) for entry in there}
    fresh = [e for e in entries if write_line(e, day, person.zone, person.unit) not in known]
    stamps = [e.at for e in fresh if isinstance(e, Reading) and e.at is not None]
    if stamps:
        logged, _ = complete(heard.tx, person, min(stamps), max(stamps), lambda: record(heard, fresh))
    else:
        logged = record(heard, fresh)
    return [_say(heard, day, logged, len(entries) - len(fresh), unread)]


def _read_lines(lines: list[str], context: Context) -> tuple[list[Stored], list[str]]:
    """Return what the lines note, and those that note nothing."""
    entries: list[Stored] = []
    unread: list[str] = []
    for line in lines:
        understood = understand(line, context)
        noted = [e for e in understood.entries if isinstance(e, Stored) and instant_of(e) is not None]
        entries += noted
        if not noted or any(isinstance(e, Nothing) for e in understood.entries):
            unread.append(line)
        else:
            unread += understood.left_out
    return entries, unread


def _say(heard: Heard, day: date, logged: list[Logged], known: int, unread: list[str]) -> Outgoing:
    person, now = heard.person, heard.incoming.sent_at
    lines = []
    if logged:
        ordered = sorted(logged, key=lambda one: one.at)
        said = say_when(ordered[-1].at, person.zone, now)
        lines.append(f"Noted for {said}:")
        lines += list_day(ordered, {}, zone=person.zone, unit=person.unit)
    if known:
        lines.append(KNOWN.format(count=numbers.count(known, "entry", "entries")))
    if unread:
        lines.append(fixed.say_left_out(unread))
    return Outgoing(person.id, "\n".join(lines) or fixed.HOW_TO_SAY, buttons=fixes(None, logged))
