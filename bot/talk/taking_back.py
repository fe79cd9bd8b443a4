"""“undo”: what was done last is put back as it was; said again, what was done before that."""

from collections import Counter
from dataclasses import replace

from bot.language.texts import later, say
from bot.model.messages import Outgoing
from bot.model.naming import join
from bot.reply import fixed
from bot.reply.taken_back import ELSE, say_ended, word_taken_back
from bot.store import Act, Change, Logged, Step
from bot.talk.heard import Heard
from bot.talk.recording import MOVED, TAKEN_OUT, put_back, store_change, undo
from bot.talk.trials import take_back_step

UNDONE = "undone"
TAKEN_BACK = later("Taken back: {what}.")
_PUT_BACK = frozenset({UNDONE, MOVED, "restored"})
"""Changes that put an entry back as it was before another one."""
_FAR = 100
"""How many changes back it is looked."""


def take_back_last(heard: Heard) -> Outgoing:
    """Undo what was done last and stands: settings, words and facts, a change of an entry, a note."""
    person = heard.person
    last = heard.tx.log.last_logged(person.id)
    found = _last_standing(heard)
    step = heard.tx.trials.last_step(person.id)
    act = heard.tx.journal.last(person.id)
    if act is None:
        return _take_back_entry(heard, found, last, step)
    others = [one.update_id for one in (None if found is None else found[0], last, step) if one is not None]
    if act.update_id in others and not any(heard.tx.inbox.came_after(one, act.update_id) for one in others):
        reply = _take_back_entry(heard, found, last, step)  # both came with the same message
        more = _take_back(heard, act)
        return (
            replace(reply, text="\n".join([reply.text, say(TAKEN_BACK, what=join(more))])) if more else reply
        )
    if all(heard.tx.inbox.came_after(act.update_id, other) for other in others):
        more = _take_back(heard, act) or [say(ELSE)]
        if ended := say_ended(act):
            return Outgoing(person.id, ended)
        return Outgoing(person.id, say(TAKEN_BACK, what=join(more)))
    return _take_back_entry(heard, found, last, step)


def _take_back(heard: Heard, act: Act) -> list[str]:
    """Put settings, words and facts back as they were, and return which."""
    said = word_taken_back(act, heard.person.zone)
    heard.tx.journal.take_back(act, heard.incoming.sent_at)
    heard.tx.people.reread(heard.person.id)
    return said


def _take_back_entry(
    heard: Heard, found: tuple[Change, Logged] | None, last: Logged | None, step: Step | None
) -> Outgoing:
    """Undo what was done last with a trial or an entry."""
    person = heard.person
    if step is not None and _came_last(heard, step, found, last):
        return take_back_step(heard, step)
    if found is not None and (last is None or _is_later(heard, found[0], last)):
        change, target = found
        if change.before is not None and change.after is not None:
            return store_change(heard, target, change.before, UNDONE)
        return put_back(heard, [target], None)
    if last is None:
        return Outgoing(person.id, f"There is nothing noted yet to change. {fixed.HOW_TO_SAY}")
    together = [one for one in heard.tx.log.of_update(person.id, last.update_id) if one.removed_at is None]
    return undo(heard, together or [last])


def _came_last(heard: Heard, step: Step, found: tuple[Change, Logged] | None, last: Logged | None) -> bool:
    """Tell whether a step of a trial came after the last change and the last note."""
    others = [one.update_id for one in (None if found is None else found[0], last) if one is not None]
    return all(heard.tx.inbox.came_after(step.update_id, other) for other in others)


def _last_standing(heard: Heard) -> tuple[Change, Logged] | None:
    """Return the change made last that was not put back since, and its entry."""
    put_back_since: Counter[int] = Counter()
    for change in heard.tx.log.last_changes(heard.person.id, _FAR):
        if change.what in _PUT_BACK:
            put_back_since[change.entry_id] += 1
        elif put_back_since[change.entry_id]:
            put_back_since[change.entry_id] -= 1
        elif change.what != TAKEN_OUT:
            target = heard.tx.log.get(change.entry_id)
            if target is not None and (target.removed_at is None) == (change.after is not None):
                return change, target
    return None


def _is_later(heard: Heard, change: Change, note: Logged) -> bool:
    """Tell whether a change came after a note; one of that very note did, even within the same message."""
    same = change.entry_id == note.id
    return same or heard.tx.inbox.came_after(change.update_id, note.update_id)
