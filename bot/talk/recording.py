"""Storing what a message said: new entries, edits of earlier messages, corrections, button presses."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from bot.model.amending import CannotAmend, amend
from bot.model.button_ids import write_ids
from bot.model.entries import Correction, Entry, Meal, Nothing, Question, Stored, Understood
from bot.model.messages import Button, Outgoing
from bot.model.naming import join
from bot.reply import fixed, words
from bot.reply.noted import fixes, name_of, say_noted
from bot.store import Logged
from bot.talk.heard import Heard
from bot.talk.remarks import remark_on
from bot.talk.typed_readings import drop_reading, keep_reading

ANSWER_WITHIN = timedelta(hours=1)
MOVED = "moved to another entry"
"""What a change is kept as that puts an entry back because another one was meant."""
TAKEN_OUT, ASKED_OUT = "taken back", "removed"
"""What the end of an entry is kept as: its note was undone, or words asked to take that entry out."""
ASK_FIX = {
    "amounts": "What is the right amount for {what}? Say it like “no, 150 g rice”, or “remove the rice”.",
    "time": "When was the first bite of {what}? Say it like “7:15” or “20 min ago”.",
}


def record(heard: Heard, entries: Sequence[Entry]) -> list[Logged]:
    """Store the entries that have an instant; asking about the others is the caller's."""
    logged = []
    for ordinal, entry in enumerate(entries):
        if isinstance(entry, Question | Correction | Nothing) or instant_of(entry) is None:
            continue
        logged.append(_add(heard, entry, ordinal))
    return logged


def _add(heard: Heard, entry: Stored, ordinal: int) -> Logged:
    keep_reading(heard, entry)
    return heard.tx.log.add(
        heard.person.id,
        entry,
        update_id=heard.incoming.update_id,
        ordinal=ordinal,
        message_id=heard.incoming.message_id,
        at=heard.incoming.sent_at,
    )


def instant_of(entry: Entry) -> object:
    """Return when an entry was, by which it is kept; None where that is not known."""
    return next((at for name in ("at", "from_at", "to_at") if (at := getattr(entry, name, None))), None)


def correct(heard: Heard, target: Logged | None, correction: Correction) -> Outgoing:
    """Apply a correction to the entry it means and say what changed."""
    person, incoming = heard.person, heard.incoming
    if target is None:
        return Outgoing(person.id, f"There is nothing noted yet to change. {fixed.HOW_TO_SAY}")
    if target.removed_at is not None:
        return Outgoing(person.id, fixed.TAKEN_BACK)
    if correction.what == "undo":
        return undo(heard, [target])
    try:
        after = amend(target.entry, correction)
    except CannotAmend as error:
        return Outgoing(person.id, str(error))
    return store_change(heard, target, after, incoming.text)


def store_change(heard: Heard, target: Logged, after: Stored, what: str) -> Outgoing:
    """Put what an entry becomes in its place, and say what changed."""
    person, incoming = heard.person, heard.incoming
    if _differs(target.entry, after):
        drop_reading(heard, target)
        keep_reading(heard, after)
        heard.tx.log.amend(target.id, after, update_id=incoming.update_id, at=incoming.sent_at, what=what)
    text = words.changed(target.entry, after, zone=person.zone, unit=person.unit, now=incoming.sent_at)
    meal = target if isinstance(after, Meal) else None
    return Outgoing(person.id, text, buttons=fixes(meal, [target]), entry_id=target.id)


def _differs(before: Stored, after: Stored) -> bool:
    """Tell whether an entry becomes another one, not only the same in other words."""
    if isinstance(before, Meal) and isinstance(after, Meal):
        foods = [[(i.name, i.food, i.grams, i.nutrients) for i in meal.items] for meal in (before, after)]
        before, after = replace(before, items=()), replace(after, items=())
        return foods[0] != foods[1] or before != replace(after, said=before.said, timed=before.timed)
    return type(before) is not type(after) or before != replace(after, said=before.said)


def undo(
    heard: Heard, targets: Sequence[Logged], replaces: str | None = None, what: str = TAKEN_OUT
) -> Outgoing:
    """Take entries back; a button puts them there again."""
    person, incoming = heard.person, heard.incoming
    for target in targets:
        heard.tx.log.remove(target.id, update_id=incoming.update_id, at=incoming.sent_at, what=what)
        drop_reading(heard, target)
    names = join([name_of(t, heard.person.zone, heard.incoming.sent_at) for t in targets])
    back = Button("Put back", "back:" + write_ids([target.id for target in targets]))
    return Outgoing(person.id, f"Taken back: {names}.", buttons=(back,), replaces=replaces)


def put_back(heard: Heard, targets: Sequence[Logged], replaces: str | None) -> Outgoing:
    """Restore entries that were taken back."""
    for target in targets:
        heard.tx.log.restore(target.id, update_id=heard.incoming.update_id, at=heard.incoming.sent_at)
        keep_reading(heard, target.entry)
    names = join([name_of(t, heard.person.zone, heard.incoming.sent_at) for t in targets])
    return Outgoing(
        heard.person.id,
        f"Put back: {names}.",
        buttons=fixes(next((t for t in targets if isinstance(t.entry, Meal)), None), targets),
        replaces=replaces,
        entry_id=targets[0].id,
    )


def ask_fix(heard: Heard, about: str, target: Logged) -> Outgoing:
    """Ask for the right amounts or time, and remember what the answer will be about."""
    incoming = heard.incoming
    heard.tx.pending.ask(
        heard.person.id, about, target.id, incoming.sent_at, incoming.sent_at + ANSWER_WITHIN
    )
    text = ASK_FIX[about].format(what=name_of(target))
    return Outgoing(heard.person.id, text, entry_id=target.id)


def edit(heard: Heard, old: Sequence[Logged], understood: Understood) -> list[Outgoing]:
    """Bring the entries of an edited message in line with its new words, and say what changed."""
    person = heard.person
    fresh = [e for e in understood.entries if isinstance(e, Stored) and instant_of(e)]
    if not fresh:
        text = f"I couldn't read the new version, so the first one stands. {fixed.HOW_TO_SAY}"
        return [Outgoing(person.id, text, entry_id=old[0].id)]
    rest = list(old)
    replies, added = [], []
    for ordinal, entry in enumerate(fresh):
        match = next((logged for logged in rest if type(logged.entry) is type(entry)), None)
        if match is None:
            added.append(_add(heard, entry, ordinal))
        else:
            rest.remove(match)
            replies.append(store_change(heard, match, entry, "edited"))
    if rest:
        replies.append(undo(heard, rest))
    more = [*remark_on(heard, added)]
    if understood.left_out:
        more.append(fixed.say_left_out(understood.left_out))
    return replies + say_noted(added, person, heard.incoming.sent_at, more)
