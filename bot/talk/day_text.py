"""A day as text: handed out to be copied, and taken in again, each entry once."""

from datetime import time

from bot.answers.day_list import NOTHING, day_around, entries_of_day
from bot.model.entries import Nothing, Question, Reading, Stored, Understood
from bot.model.messages import Outgoing
from bot.reply import fixed, numbers
from bot.reply.cautions import concerns_of_readings
from bot.reply.day_list import list_day, say_when
from bot.reply.noted import fixes
from bot.store import Logged
from bot.talk.cautions import concerns_in, with_cautions
from bot.talk.heard import Heard
from bot.talk.incoming_readings import complete
from bot.talk.recording import instant_of, record
from bot.talk.telling import tell
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
    read = [(line, understand(line, context_of(day, context))) for line in lines]
    entries = [entry for _, understood in read for entry in _noted(understood)]
    unread = [words for line, understood in read for words in _unread(line, understood)]
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
    told = [each for _, understood in read for each in understood.told]
    concerns = [each for _, understood in read for each in concerns_in(heard, understood)]
    values = [one.entry.mmol for one in logged if isinstance(one.entry, Reading)]
    concerns += concerns_of_readings(min(values), max(values)) if values else []
    reply = _say(heard, logged, len(entries) - len(fresh), unread)
    return with_cautions(heard, [reply, *tell(heard, tuple(told))], concerns)


def _noted(understood: Understood) -> list[Stored]:
    """Return what a line notes."""
    return [e for e in understood.entries if isinstance(e, Stored) and instant_of(e) is not None]


def _unread(line: str, understood: Understood) -> list[str]:
    """Return what of a line was used for nothing: all of it, or some words."""
    if understood.told or understood.concerns:
        return []
    whole = not _noted(understood) or any(isinstance(e, Nothing) for e in understood.entries)
    return [line] if whole else list(understood.left_out)


def _say(heard: Heard, logged: list[Logged], known: int, unread: list[str]) -> Outgoing:
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
