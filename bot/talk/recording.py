"""Storing what a message said: new entries, edits of earlier messages, corrections, button presses."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from bot.model.amending import CannotAmend, amend
from bot.model.entries import Activity, Correction, Entry, Feeling, Meal, Nothing, Question, Reading, Stored
from bot.model.messages import Button, Incoming, Outgoing
from bot.reminders.sensor import say_more
from bot.reply import fixed, numbers, words
from bot.store import Logged, Person, Transaction, records

ANSWER_WITHIN = timedelta(hours=1)
UNWELL = re.compile(r"dizz|shak|faint|sweat|trembl|blurr|unwell|confus", re.IGNORECASE)
OF_BLOOD = re.compile(
    r"\b(finger|finger[ -]?(prick|stick)\w*|prick\w*|meter|strips?|blood|capillary)\b", re.I
)
MOST_IDS, MOST_IDS_BYTES = 500, 50
ASK_FIX = {
    "amounts": "What is the right amount for {what}? Say it like “no, 150 g rice”, or “remove the rice”.",
    "time": "When was the first bite of {what}? Say it like “7:15” or “20 min ago”.",
}


@dataclass(frozen=True, slots=True)
class Heard:
    """The message that entries come from, and for whom they are stored."""

    tx: Transaction
    person: Person
    incoming: Incoming


def record(heard: Heard, entries: Sequence[Entry]) -> list[Logged]:
    """Store the entries that have an instant; asking about the others is the caller's."""
    logged = []
    for ordinal, entry in enumerate(entries):
        if isinstance(entry, Question | Correction | Nothing) or _instant(entry) is None:
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


def keep_reading(heard: Heard, entry: Stored) -> None:
    """A typed reading stands in the log and, for the curves, among the readings: its minute's last one."""
    if isinstance(entry, Reading) and entry.at is not None:
        heard.tx.readings.drop(heard.person.id, *_minute_of(entry.at), source=_kind_of(entry))
        heard.tx.readings.add(
            heard.person.id,
            [entry],
            source=_kind_of(entry),
            at=heard.incoming.sent_at,
            update_id=heard.incoming.update_id,
        )


def _minute_of(at: datetime) -> tuple[datetime, datetime]:
    start = at.replace(second=0, microsecond=0)
    return start, start + timedelta(minutes=1)


def _kind_of(entry: Reading) -> records.Source:
    """Return "meter" for a value that was said to be of blood: only such a one can check the sensor."""
    return "meter" if OF_BLOOD.search(entry.said) else "typed"


def drop_reading(heard: Heard, logged: Logged) -> None:
    """Take a typed reading from the curves; the one said before it for the same minute counts again."""
    if isinstance(logged.entry, Reading):
        heard.tx.readings.drop(heard.person.id, *_minute_of(logged.at), source=_kind_of(logged.entry))
        for _, other in _said_beside(heard, logged, logged.entry):
            keep_reading(heard, other)


def _said_beside(heard: Heard, logged: Logged, reading: Reading) -> list[tuple[int, Reading]]:
    """Return the other readings of this kind that were typed for the same minute, as they came, by entry."""
    beside = heard.tx.log.between(heard.person.id, ("reading",), *_minute_of(logged.at))
    found = [(other.id, other.entry) for other in beside if isinstance(other.entry, Reading)]
    kind = _kind_of(reading)
    return sorted(
        ((entry_id, other) for entry_id, other in found if entry_id != logged.id and _kind_of(other) == kind),
        key=lambda each: each[0],
    )


def _instant(entry: Entry) -> object:
    return next((at for name in ("at", "from_at", "to_at") if (at := getattr(entry, name, None))), None)


def say_noted(heard: Heard, logged: Sequence[Logged], more: Sequence[str]) -> list[Outgoing]:
    """Answer with what was noted, then with `more` sentences; buttons for the likely fixes."""
    person = heard.person
    now = heard.incoming.sent_at
    lines = [words.noted(entry.entry, zone=person.zone, unit=person.unit, now=now) for entry in logged]
    lines += _say_replaced(heard, logged)
    lines += _cautions(heard, logged)
    lines += say_more(heard.tx, person, logged, now)
    lines += more
    if not lines:
        return []
    meal = next((entry for entry in logged if isinstance(entry.entry, Meal)), None)
    about = meal or next(iter(logged), None)
    return [
        Outgoing(
            person.id,
            "\n".join(lines),
            buttons=fixes_of(meal, logged),
            entry_id=None if about is None else about.id,
        )
    ]


def _say_replaced(heard: Heard, logged: Sequence[Logged]) -> list[str]:
    """Say of a reading typed again for its minute that the last one counts."""
    lines = []
    for one in logged:
        if isinstance(one.entry, Reading):
            before = [r for entry_id, r in _said_beside(heard, one, one.entry) if entry_id < one.id]
            if before and before[-1].mmol != one.entry.mmol:
                was = numbers.glucose_with_unit(before[-1].mmol, heard.person.unit)
                lines.append(f"It takes the place of {was}, said for that minute before.")
    return lines


def fixes_of(meal: Logged | None, logged: Sequence[Logged]) -> tuple[Button, ...]:
    """Return the buttons for the likely fixes of what was noted."""
    if not logged:
        return ()
    undo = Button("Undo", "undo:" + write_ids([entry.id for entry in logged]))
    if meal is None:
        return (undo,)
    return (
        Button("Fix amounts", f"amounts:{meal.id}"),
        Button("Fix time", f"time:{meal.id}"),
        undo,
    )


def _cautions(heard: Heard, logged: Sequence[Logged]) -> list[str]:
    """Return the caution for an extra the first time it is eaten, and for feeling unwell."""
    texts = {"vinegar": fixed.VINEGAR, "cinnamon": fixed.CINNAMON}
    unwell = any(isinstance(e.entry, Feeling) and UNWELL.search(e.entry.what) for e in logged)
    said = [fixed.UNWELL] if unwell else []
    for name, text in texts.items():
        now = [entry for entry in logged if _has_extra(entry, name)]
        ids = {entry.id for entry in logged}
        if now and not any(
            _has_extra(e, name)
            for e in heard.tx.log.last(heard.person.id, ("meal",), n=500)
            if e.id not in ids
        ):
            said.append(text)
    return said


def _has_extra(logged: Logged, name: str) -> bool:
    return isinstance(logged.entry, Meal) and any(name in extra.name for extra in logged.entry.extras)


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
    return _store_change(heard, target, after, incoming.text)


def _store_change(heard: Heard, target: Logged, after: Stored, what: str) -> Outgoing:
    person, incoming = heard.person, heard.incoming
    if after != target.entry:
        drop_reading(heard, target)
        keep_reading(heard, after)
        heard.tx.log.amend(target.id, after, update_id=incoming.update_id, at=incoming.sent_at, what=what)
    text = words.changed(target.entry, after, zone=person.zone, unit=person.unit, now=incoming.sent_at)
    meal = target if isinstance(after, Meal) else None
    return Outgoing(person.id, text, buttons=fixes_of(meal, [target]), entry_id=target.id)


def undo(heard: Heard, targets: Sequence[Logged], replaces: str | None = None) -> Outgoing:
    """Take entries back; a button puts them there again."""
    person, incoming = heard.person, heard.incoming
    for target in targets:
        heard.tx.log.remove(target.id, update_id=incoming.update_id, at=incoming.sent_at)
        drop_reading(heard, target)
    names = numbers.join([name_of(t, heard.person.zone, heard.incoming.sent_at) for t in targets])
    back = Button("Put back", "back:" + write_ids([target.id for target in targets]))
    return Outgoing(person.id, f"Taken back: {names}.", buttons=(back,), replaces=replaces)


def put_back(heard: Heard, targets: Sequence[Logged], replaces: str | None) -> Outgoing:
    """Restore entries that were taken back."""
    for target in targets:
        heard.tx.log.restore(target.id, update_id=heard.incoming.update_id, at=heard.incoming.sent_at)
        keep_reading(heard, target.entry)
    names = numbers.join([name_of(t, heard.person.zone, heard.incoming.sent_at) for t in targets])
    return Outgoing(
        heard.person.id,
        f"Put back: {names}.",
        buttons=fixes_of(next((t for t in targets if isinstance(t.entry, Meal)), None), targets),
        replaces=replaces,
        entry_id=targets[0].id,
    )


def write_ids(ids: Sequence[int]) -> str:
    """Write entry ids for a button, which holds at most 64 bytes: 3,7-12. Those of one message follow on."""
    runs: list[list[int]] = []
    for one in sorted(ids):
        if runs and one == runs[-1][-1] + 1:
            runs[-1].append(one)
        else:
            runs.append([one])
    said = ""
    for run in runs:
        part = str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}"
        if len(said) + len(part) > MOST_IDS_BYTES:
            break  # the oldest are named; what else there is can still be taken back one by one
        said = f"{said},{part}" if said else part
    return said


def read_ids(said: str) -> list[int]:
    """Read what `write_ids` wrote; anything else gives no ids."""
    ids: list[int] = []
    for first, last in re.findall(r"(?:^|,)([0-9]{1,18})(?:-([0-9]{1,18}))?(?=,|$)", said):
        ids += range(int(first), min(int(last or first), int(first) + MOST_IDS - 1) + 1)
    return ids


def name_of(logged: Logged, zone: tzinfo | None = None, now: datetime | None = None) -> str:
    """Name an entry in a few words, with its time if `zone` and `now` are given: breakfast (oats), 07:10."""
    when = "" if zone is None or now is None else f", {numbers.day_and_clock(logged.at, zone, now)}"
    match logged.entry:
        case Meal() as meal:
            return f"{meal.slot} ({words.title(meal)}){when}"
        case Activity(what=what) | Feeling(what=what):
            return f"{what}{when}"
        case _:
            return f"the {logged.kind}{when}"


def ask_fix(heard: Heard, about: str, target: Logged) -> Outgoing:
    """Ask for the right amounts or time, and remember what the answer will be about."""
    incoming = heard.incoming
    heard.tx.pending.ask(
        heard.person.id, about, target.id, incoming.sent_at, incoming.sent_at + ANSWER_WITHIN
    )
    text = ASK_FIX[about].format(what=name_of(target))
    return Outgoing(heard.person.id, text, entry_id=target.id)


def edit(heard: Heard, old: Sequence[Logged], entries: Sequence[Entry]) -> list[Outgoing]:
    """Bring the entries of an edited message in line with its new words, and say what changed."""
    person = heard.person
    fresh = [e for e in entries if not isinstance(e, Question | Correction | Nothing) and _instant(e)]
    if not fresh:
        text = f"I could not read the new version, so the first one stands. {fixed.HOW_TO_SAY}"
        return [Outgoing(person.id, text, entry_id=old[0].id)]
    rest = list(old)
    replies, added = [], []
    for ordinal, entry in enumerate(fresh):
        match = next((logged for logged in rest if type(logged.entry) is type(entry)), None)
        if match is None:
            added.append(_add(heard, entry, ordinal))
        else:
            rest.remove(match)
            replies.append(_store_change(heard, match, entry, "edited"))
    if rest:
        replies.append(undo(heard, rest))
    return replies + say_noted(heard, added, [])
