"""Storing what a message said: new entries, edits of earlier messages, corrections, button presses."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from bot.amending import CannotAmend, amend
from bot.entries import Correction, Entry, Meal, Nothing, Question, Reading, Stored
from bot.messages import Button, Incoming, Outgoing
from bot.reply import fixed, words
from bot.reply.numbers import join
from bot.store import Logged, Person, Unit

ANSWER_WITHIN = timedelta(hours=1)
ASK_FIX = {
    "amounts": "What is the right amount for {what}? Say it like “no, 150 g rice”, or “remove the rice”.",
    "time": "When was the first bite of {what}? Say it like “7:15” or “20 min ago”.",
}


@dataclass(frozen=True, slots=True)
class Source:
    """The message that entries come from, and for whom they are stored."""

    unit: Unit
    person: Person
    incoming: Incoming


def record(source: Source, entries: Sequence[Entry]) -> list[Logged]:
    """Store the entries that have an instant; asking about the others is the caller's."""
    logged = []
    for ordinal, entry in enumerate(entries):
        if isinstance(entry, Question | Correction | Nothing) or _instant(entry) is None:
            continue
        logged.append(_add(source, entry, ordinal))
    return logged


def _add(source: Source, entry: Stored, ordinal: int) -> Logged:
    _keep_reading(source, entry)
    return source.unit.log.add(
        source.person.id,
        entry,
        update_id=source.incoming.update_id,
        ordinal=ordinal,
        message_id=source.incoming.message_id,
        at=source.incoming.sent_at,
    )


def _keep_reading(source: Source, entry: Stored) -> None:
    """A typed reading stands in the log and, for the curves, among the readings."""
    if isinstance(entry, Reading):
        source.unit.readings.add(
            source.person.id,
            [entry],
            source="typed",
            at=source.incoming.sent_at,
            update_id=source.incoming.update_id,
        )


def _drop_reading(source: Source, logged: Logged) -> None:
    if isinstance(logged.entry, Reading):
        source.unit.readings.drop(source.person.id, logged.at, source="typed")


def _instant(entry: Entry) -> object:
    return getattr(entry, "at", None) or getattr(entry, "from_at", None)


def say_noted(source: Source, logged: Sequence[Logged], more: Sequence[str]) -> list[Outgoing]:
    """Answer with what was noted, then with `more` sentences; buttons for the likely fixes."""
    person = source.person
    now = source.incoming.sent_at
    lines = [words.noted(entry.entry, zone=person.zone, unit=person.unit, now=now) for entry in logged]
    lines += _cautions(source, logged)
    lines += more
    if not lines:
        return []
    meal = next((entry for entry in logged if isinstance(entry.entry, Meal)), None)
    about = meal or next(iter(logged), None)
    return [
        Outgoing(
            person.id,
            "\n".join(lines),
            buttons=_fixes(meal, logged),
            entry_id=None if about is None else about.id,
        )
    ]


def _fixes(meal: Logged | None, logged: Sequence[Logged]) -> tuple[Button, ...]:
    if not logged:
        return ()
    undo = Button("Undo", "undo:" + ",".join(str(entry.id) for entry in logged[:5]))
    if meal is None:
        return (undo,)
    return (
        Button("Fix amounts", f"amounts:{meal.id}"),
        Button("Fix time", f"time:{meal.id}"),
        undo,
    )


def _cautions(source: Source, logged: Sequence[Logged]) -> list[str]:
    """Return the caution for an extra the first time it is eaten."""
    texts = {"vinegar": fixed.VINEGAR, "cinnamon": fixed.CINNAMON}
    said = []
    for name, text in texts.items():
        now = [entry for entry in logged if _has_extra(entry, name)]
        ids = {entry.id for entry in logged}
        if now and not any(
            _has_extra(e, name)
            for e in source.unit.log.last(source.person.id, ("meal",), n=500)
            if e.id not in ids
        ):
            said.append(text)
    return said


def _has_extra(logged: Logged, name: str) -> bool:
    return isinstance(logged.entry, Meal) and any(name in extra.name for extra in logged.entry.extras)


def correct(source: Source, target: Logged | None, correction: Correction) -> Outgoing:
    """Apply a correction to the entry it means and say what changed."""
    person, incoming = source.person, source.incoming
    if target is None:
        return Outgoing(person.id, f"There is nothing noted yet to change. {fixed.HOW_TO_SAY}")
    if correction.what == "undo":
        return undo(source, [target])
    try:
        after = amend(target.entry, correction)
    except CannotAmend as error:
        return Outgoing(person.id, str(error))
    return _store_change(source, target, after, incoming.text)


def _store_change(source: Source, target: Logged, after: Stored, what: str) -> Outgoing:
    person, incoming = source.person, source.incoming
    if after != target.entry:
        _drop_reading(source, target)
        _keep_reading(source, after)
        source.unit.log.amend(target.id, after, update_id=incoming.update_id, at=incoming.sent_at, what=what)
    text = words.changed(target.entry, after, zone=person.zone, unit=person.unit, now=incoming.sent_at)
    meal = target if isinstance(after, Meal) else None
    return Outgoing(person.id, text, buttons=_fixes(meal, [target]), entry_id=target.id)


def undo(source: Source, targets: Sequence[Logged], replaces: str | None = None) -> Outgoing:
    """Take entries back; a button puts them there again."""
    person, incoming = source.person, source.incoming
    for target in targets:
        source.unit.log.remove(target.id, update_id=incoming.update_id, at=incoming.sent_at)
        _drop_reading(source, target)
    names = join([name_of(target) for target in targets])
    back = Button("Put back", "back:" + ",".join(str(target.id) for target in targets))
    return Outgoing(person.id, f"Taken back: {names}.", buttons=(back,), replaces=replaces)


def put_back(source: Source, targets: Sequence[Logged], replaces: str | None) -> Outgoing:
    """Restore entries that were taken back."""
    for target in targets:
        source.unit.log.restore(target.id, update_id=source.incoming.update_id, at=source.incoming.sent_at)
        _keep_reading(source, target.entry)
    names = join([name_of(target) for target in targets])
    return Outgoing(
        source.person.id,
        f"Put back: {names}.",
        buttons=_fixes(next((t for t in targets if isinstance(t.entry, Meal)), None), targets),
        replaces=replaces,
        entry_id=targets[0].id,
    )


def name_of(logged: Logged) -> str:
    """Name an entry in a few words: breakfast (oats and milk)."""
    entry = logged.entry
    if isinstance(entry, Meal):
        return f"{entry.slot} ({words.title(entry)})"
    return {"activity": "the movement", "feeling": "the feeling"}.get(logged.kind, f"the {logged.kind}")


def ask_fix(source: Source, about: str, target: Logged) -> Outgoing:
    """Ask for the right amounts or time, and remember what the answer will be about."""
    incoming = source.incoming
    source.unit.pending.ask(
        source.person.id, about, target.id, incoming.sent_at, incoming.sent_at + ANSWER_WITHIN
    )
    text = ASK_FIX[about].format(what=name_of(target))
    return Outgoing(source.person.id, text, entry_id=target.id)


def edit(source: Source, old: Sequence[Logged], entries: Sequence[Entry]) -> list[Outgoing]:
    """Bring the entries of an edited message in line with its new words, and say what changed."""
    person = source.person
    fresh = [e for e in entries if not isinstance(e, Question | Correction | Nothing) and _instant(e)]
    if not fresh:
        text = f"I could not read the new version, so the first one stands. {fixed.HOW_TO_SAY}"
        return [Outgoing(person.id, text, entry_id=old[0].id)]
    rest = list(old)
    replies, added = [], []
    for ordinal, entry in enumerate(fresh):
        match = next((logged for logged in rest if type(logged.entry) is type(entry)), None)
        if match is None:
            added.append(_add(source, entry, ordinal))
        else:
            rest.remove(match)
            replies.append(_store_change(source, match, entry, "edited"))
    if rest:
        replies.append(undo(source, rest))
    return replies + say_noted(source, added, [])
