"""Changes of the diary: which entries a message may change; each stored and said, the last one undone."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from bot.model.entries import Choice, Correction
from bot.model.messages import Button, Outgoing
from bot.reply import fixed
from bot.reply.noted import say_noted
from bot.store import Pending
from bot.talk.another_entry import with_others
from bot.talk.heard import Heard
from bot.talk.offering import with_offers
from bot.talk.recording import ANSWER_WITHIN, ASKED_OUT, record, store_change, undo
from bot.talk.remarks import remark_on
from bot.talk.taking_back import take_back_last
from bot.understanding.context import Noted
from bot.understanding.corrections.portions import ASKED

RECENT = timedelta(days=8)
"""How far back a message may change entries; the older one is, the more must be said of it."""
KINDS = ("meal", "activity", "reading", "sleep", "sync", "sensor", "feeling")
MOST_KEPT = 500
NOTHING_NOTED = "I have nothing noted in the last days that I could change."
WHICH = "which "
OPEN_BUTTONS = "buttons"
"""What is open while a question waits for one of its buttons, or for the same in words."""


def recent_log(heard: Heard, pointed: int | None = None) -> tuple[Noted, ...]:
    """Return the live entries of the last days, the one touched last at the end.

    With them the entry that is pointed at, however old, and even if it was taken back.
    """
    now = heard.incoming.sent_at
    log = heard.tx.log.between(heard.person.id, KINDS, now - RECENT, now + timedelta(days=1))
    meant = None if pointed is None else heard.tx.log.get(pointed)
    if meant is not None and meant.id not in {logged.id for logged in log}:
        log.append(meant)
    oldest = min((logged.at for logged in log), default=now)
    touched = heard.tx.log.touched(heard.person.id, oldest)
    noted = [Noted(one.id, one.entry, touched.get(one.id, one.logged_at)) for one in log]
    return tuple(sorted(noted, key=lambda n: (n.touched_at, n.id)))


def pointed_at(heard: Heard, pending: Pending | None) -> int | None:
    """Return the entry that the person answered to, or was asked about."""
    tx, person, reply_to = heard.tx, heard.person, heard.incoming.reply_to
    if pending is not None and pending.entry_id is not None and not pending.about.startswith(ASKED):
        return pending.entry_id
    if reply_to is None:
        return None
    theirs = tx.log.of_message(person.id, reply_to)
    return theirs[0].id if theirs else tx.outbox.entry_of(person.id, reply_to)


def change(heard: Heard, corrections: Sequence[Correction], *, pointed: bool) -> list[Outgoing]:
    """Store changes one after the other, and say each."""
    replies: list[Outgoing] = []
    for correction in corrections:
        if not pointed and heard.tx.inbox.is_overtaken(heard.incoming.update_id, heard.person.id):
            # Tried again after newer messages: “the note before” would be another one by now.
            said = heard.incoming.text[:60]
            return [*replies, Outgoing(heard.person.id, fixed.OVERTAKEN.format(said=said))]
        changed = _change_one(heard, correction)
        once = [one.target for one in corrections].count(correction.target) == 1
        once = once and not correction.also
        replies.append(with_others(heard, correction, changed) if once else changed)
        replies += _note_new(heard, correction.also)
    return replies


def _note_new(heard: Heard, corrections: Sequence[Correction]) -> list[Outgoing]:
    """Note what a change makes of its own: a food that was of another meal."""
    logged = record(heard, [one.after for one in corrections if one.what == "note" and one.after is not None])
    if not logged:
        return []
    noted = say_noted(logged, heard.person, heard.incoming.sent_at, remark_on(heard, logged))
    return with_offers(heard, logged, noted)


def _change_one(heard: Heard, correction: Correction) -> Outgoing:
    if correction.target is None and correction.what == "undo":
        return take_back_last(heard)
    if correction.target is None:
        return Outgoing(heard.person.id, NOTHING_NOTED)
    target = heard.tx.log.get(correction.target)
    if target is None or target.removed_at is not None:
        return Outgoing(heard.person.id, fixed.TAKEN_BACK)
    if correction.after is None:
        return undo(heard, [target], what=ASKED_OUT)
    return store_change(heard, target, correction.after, heard.incoming.text[:MOST_KEPT])


def ask_which(heard: Heard, choice: Choice, log: Sequence[Noted]) -> Outgoing:
    """Ask which entry a change means; nothing is changed before the answer."""
    person, incoming = heard.person, heard.incoming
    first = next((c.target for _, c in choice.options if c.target is not None), log[-1].id)
    asked_id = heard.tx.asked.put(
        person.id, f"{WHICH}{incoming.update_id}", first, list(choice.options), incoming.sent_at
    )
    heard.tx.pending.ask(person.id, OPEN_BUTTONS, None, incoming.sent_at, incoming.sent_at + ANSWER_WITHIN)
    buttons = tuple(
        Button(label[:1].upper() + label[1:], f"answer:{asked_id},{k}")
        for k, (label, _) in enumerate(choice.options)
    )
    return Outgoing(person.id, choice.text, buttons=buttons)


def answer_which(heard: Heard, correction: Correction) -> Outgoing:
    """Make the changes that were waiting for the answer, and note what was something new."""
    answers = (correction, *correction.also)
    changed = [_change_one(heard, one) for one in answers if one.what != "note"]
    noted = _note_new(heard, answers)
    first, *others = [*changed, *noted]
    text = "\n".join([first.text, *(other.text for other in others)])
    return replace(first, text=text, replaces=heard.incoming.message_id)
