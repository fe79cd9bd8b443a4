"""“Another entry”: a change that was meant for another entry is undone, and made there instead."""

import re
from dataclasses import replace

from bot.model.entries import Activity, Correction, Feeling, Meal
from bot.model.messages import Button, Outgoing
from bot.reply import fixed, numbers
from bot.store import Asked, Change, Logged
from bot.talk.heard import Heard
from bot.talk.recording import MOVED, store_change
from bot.talk.typed_readings import keep_reading

OTHER = "other "
"""What the choice of another entry is kept as: the update that made the change and its entry follow."""
PRESSED = "another"
LABEL = "Another entry"


def with_others(heard: Heard, correction: Correction, reply: Outgoing) -> Outgoing:
    """Add the button to what is said of a change, where it could have meant another entry that lives."""
    person, incoming = heard.person, heard.incoming
    choices = []
    for other in correction.others:
        logged = None if other.target is None else heard.tx.log.get(other.target)
        if logged is not None and logged.removed_at is None:
            choices.append((_name(heard, logged), other))
    if not choices or correction.target is None:
        return reply
    about = f"{OTHER}{incoming.update_id} {correction.target}"
    asked_id = heard.tx.asked.put(person.id, about, correction.target, choices, incoming.sent_at)
    if asked_id is None:
        return reply
    return replace(reply, buttons=(*reply.buttons, Button(LABEL, f"{PRESSED}:{asked_id}")))


def _name(heard: Heard, logged: Logged) -> str:
    entry = logged.entry
    what = entry.slot if isinstance(entry, Meal) else logged.kind
    what = entry.what if isinstance(entry, Activity | Feeling) else what
    when = numbers.day_and_clock(logged.at, heard.person.zone, heard.incoming.sent_at)
    return f"{what[:1].upper()}{what[1:]} {when}"


def press_another(heard: Heard, data: str) -> Outgoing | None:
    """Undo the change that a button is under, and offer the other entries; None where it is not known."""
    asked = heard.tx.asked.get(int(data)) if re.fullmatch(r"[0-9]{1,18}", data) else None
    target = None if asked is None else heard.tx.log.get(asked.entry_id)
    if (
        asked is None
        or not asked.about.startswith(OTHER)
        or target is None
        or asked.person != heard.person.id
    ):
        return None
    person, incoming, name = heard.person.id, heard.incoming, _name(heard, target)
    if asked.answer is not None:
        return answered_before(heard, asked)
    history = heard.tx.log.history(target.id)
    if any(one.update_id == _update_of(asked) for one in history) and history[-1].what != MOVED:
        if history[-1].update_id != _update_of(asked):
            text = f"{name} was changed again since, so I leave it. Say what to change, and where."
            return Outgoing(person, text, entry_id=target.id)
        _put_back(heard, target, history[-1])
    buttons = [Button(label, f"answer:{asked.id},{k}") for k, (label, _) in enumerate(asked.choices)]
    text = f"{name} is as it was. Which did you mean?"
    return Outgoing(person, text, buttons=tuple(buttons), replaces=incoming.message_id, entry_id=target.id)


def _put_back(heard: Heard, target: Logged, last: Change) -> None:
    if last.before is not None and last.after is not None:
        store_change(heard, target, last.before, MOVED)
    elif last.after is None:
        heard.tx.log.restore(target.id, update_id=heard.incoming.update_id, at=heard.incoming.sent_at)
        keep_reading(heard, target.entry)


def _update_of(asked: Asked) -> str:
    """Return the update whose words were asked about: what it is about ends in that, and an entry perhaps."""
    return asked.about.split(" ")[1]


def answered_before(heard: Heard, asked: Asked) -> Outgoing:
    """Say that a question has its answer: another one beside it would make both changes."""
    label = next((label for label, change in asked.choices if change == asked.answer), "")
    text = f"You chose “{label}” there already. “Undo” takes the last change back; or say what to change."
    return Outgoing(heard.person.id, text)


def changed_since(heard: Heard, asked: Asked, correction: Correction) -> Outgoing | None:
    """Say so where an entry was changed after the words of the question: the answer would undo that."""
    for one in (correction, *correction.also):
        logged = None if one.target is None else heard.tx.log.get(one.target)
        history = [] if logged is None else heard.tx.log.history(logged.id)
        if logged is None or not any(_came_after(heard, change, asked) for change in history):
            continue
        if logged.removed_at is not None:
            return Outgoing(heard.person.id, fixed.TAKEN_BACK)
        text = f"{_name(heard, logged)} was changed since. Please say what to change there once more."
        return Outgoing(heard.person.id, text, entry_id=logged.id)
    return None


def _came_after(heard: Heard, change: Change, asked: Asked) -> bool:
    return heard.tx.inbox.came_after(change.update_id, _update_of(asked))
