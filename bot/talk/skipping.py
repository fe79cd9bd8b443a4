"""A day on which a routine was not kept: “no training today” is noted for that day only."""

from datetime import timedelta

from bot.frames.routines import Routines, at_of
from bot.model.entries import Skipped
from bot.model.messages import Outgoing
from bot.reply.noted import say_noted
from bot.talk.heard import Heard
from bot.talk.recording import record
from bot.understanding.settings.routines import read_routine, skips_in

_DAY = timedelta(days=1)


def hear_skip(heard: Heard) -> list[Outgoing] | None:
    """Note that a routine was not kept on a day; None where words say no such thing."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    routines = [read_routine(fact) for fact, _ in tx.facts.told(person.id, "routine")]
    found = skips_in(heard.incoming.text, routines, now.astimezone(person.zone).date()) if routines else None
    if found is None:
        return None
    meant, day = found
    known = Routines.of(tx, person, now - 7 * _DAY, now + _DAY).skipped
    entries = [
        Skipped(one.name, at_of(one, day, person), one.value, heard.incoming.text)
        for one in meant
        if (one.value, day) not in known
    ]
    if not meant:
        return [Outgoing(person.id, "By what you told me it isn't for that day, so I count nothing there.")]
    if not entries:
        return [Outgoing(person.id, "I have that already.")]
    return say_noted(record(heard, entries), person, now, [])
