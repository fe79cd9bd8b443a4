"""One turn of the talk: a message in, the answers out. The only orchestrator; each turn is one transaction.

In that transaction stand the mark that the update was handled, the entries, the reminders that follow from
them and the answers to be sent. So a turn either happened, answers included, or it did not.
"""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from bot import asking, snoozing
from bot.answering import answer, say_new_curves
from bot.cautions import find_caution
from bot.commands import run_command
from bot.entries import Correction, Meal, Nothing, Question, Reading, Sync, Understood
from bot.foodtable import FoodTable
from bot.messages import Incoming, Outgoing
from bot.plain_settings import as_command
from bot.receiving import caution_for, complete, receive_file
from bot.recording import Source, ask_fix, correct, edit, put_back, read_ids, record, say_noted, undo
from bot.reminding import plan_reminders
from bot.reply import fixed
from bot.saying_due import say_due
from bot.store import Logged, Person, Reminder, Store, Unit
from bot.understanding import Context, understand
from bot.units import GlucoseUnit


class Turn:
    """Handles messages and the clock.

    store, table: where entries are kept, and a function that gives the food table (loaded when first needed)
    zone, unit: for people who have not set theirs; address: where programs can post readings
    """

    def __init__(
        self, store: Store, table: Callable[[], FoodTable], *, zone: str, unit: GlucoseUnit, address: str
    ) -> None:
        self._store, self._table, self._zone, self._unit = store, table, zone, unit
        self._address = address

    def handle(self, incoming: Incoming, now: datetime) -> list[Outgoing]:
        """Handle one message; a message handled before gives nothing."""
        with self._store.begin() as unit:
            person = unit.people.ensure(incoming.person, zone=self._zone, unit=self._unit, at=now)
            if not unit.inbox.claim(incoming.update_id, person.id, now):
                return []
            replies = self._answer(unit, person, incoming)
            plan_reminders(unit, unit.people.get(person.id) or person, now)
            return [unit.outbox.put(reply, at=now, update_id=incoming.update_id) for reply in replies]

    def tick(self, now: datetime, serves: str) -> list[Outgoing]:
        """Say what is due at `now`: one message for each person, none in their quiet hours."""
        with self._store.begin() as unit:
            due: dict[str, list[Reminder]] = defaultdict(list)
            for reminder in unit.reminders.due(now, serves):
                due[reminder.person].append(reminder)
            return [
                unit.outbox.put(message, at=now)
                for person_id, reminders in due.items()
                for message in say_due(unit, person_id, reminders, now)
            ]

    def _answer(self, unit: Unit, person: Person, incoming: Incoming) -> list[Outgoing]:
        source = Source(unit, person, incoming)
        if incoming.press is not None:
            return _press(source, incoming.press)
        if incoming.too_large:
            return [Outgoing(person.id, "That file is too large to fetch: send at most 20 MB.")]
        if incoming.file is not None:
            said, completed = receive_file(unit, person, incoming)
            said += say_new_curves(unit, person, completed, incoming.sent_at)
            return said + asking.ask_about_rise(unit, person, incoming.sent_at)
        if incoming.other is not None and not incoming.text.strip():
            return [Outgoing(person.id, fixed.NO_WORDS.get(incoming.other, fixed.NO_WORDS_OTHER))]
        if not incoming.text.strip():
            return [Outgoing(person.id, fixed.NO_WORDS[""])]
        command = as_command(unit, person, incoming.text, incoming.sent_at)
        if command.startswith("/"):
            reply = run_command(unit, person, command, incoming.sent_at, self._address)
            if reply is not None:
                return [reply]
        return self._text(Source(unit, person, replace(incoming, text=command)))

    def _text(self, source: Source) -> list[Outgoing]:
        unit, person, incoming = source.unit, source.person, source.incoming
        # An edit is a new version of what was said before, not the answer to what was asked since.
        pending = None if incoming.edited else unit.pending.get(person.id, incoming.sent_at)
        if pending is not None:
            unit.pending.clear(person.id)
        meant, pointed = _meant(source, None if pending is None else pending.entry_id)
        understood = understand(
            incoming.text.removeprefix("/"),
            Context(
                now=asking.meant_now(pending, incoming.sent_at),
                zone=person.zone,
                table=self._table(),
                unit=person.unit,
                last=None if meant is None else meant.entry,
                answering="" if pending is None else pending.about,
            ),
        )
        if incoming.edited and incoming.message_id is not None:
            old = unit.log.of_message(person.id, incoming.message_id)
            if old:
                return edit(source, old, understood.entries)
        caution = find_caution(incoming.text)
        if caution is not None and not _is_note(understood):
            return [Outgoing(person.id, caution)]
        return _store_and_answer(source, understood, meant, pointed, [caution] if caution else [])


def _is_note(understood: Understood) -> bool:
    """Tell whether a message that calls for a caution also holds something to note."""
    return any(
        any(item.food for item in e.items) if isinstance(e, Meal) else not isinstance(e, Question | Nothing)
        for e in understood.entries
    )


def _store_and_answer(
    source: Source, understood: Understood, meant: Logged | None, pointed: bool, cautions: list[str]
) -> list[Outgoing]:
    unit, person, now = source.unit, source.person, source.incoming.sent_at
    readings = [e for e in understood.entries if isinstance(e, Reading) and e.at is not None]
    stamps = [e.at for e in readings if e.at is not None]
    completed: list[int] = []
    if stamps:
        logged, completed = complete(
            unit, person, min(stamps), max(stamps), lambda: record(source, understood.entries)
        )
    else:
        logged = record(source, understood.entries)
    unread = [f"I did not understand “{e.said}”." for e in understood.entries if isinstance(e, Nothing)]
    more = [*cautions, *caution_for(readings, person.unit), *unread, *understood.asks]
    if any(isinstance(e, Sync) for e in understood.entries):
        more.append("Send me the file of readings when you can.")
    if (not understood.entries and not more) or (unread and not logged and not understood.asks):
        more.append(fixed.HOW_TO_SAY)
    replies = say_noted(source, logged, more)
    for entry in understood.entries:
        if isinstance(entry, Question):
            replies.append(answer(unit, person, entry, now))
        elif isinstance(entry, Correction):
            replies.append(correct(source, _target(source, entry, meant, pointed), entry))
    return replies + say_new_curves(unit, person, completed, now)


def _meant(source: Source, pending_id: int | None) -> tuple[Logged | None, bool]:
    """Find the entry that a correction would mean, and whether the person pointed at it.

    It is the one asked about, or the one answered to; failing both, the meal noted last.
    """
    unit, person, reply_to = source.unit, source.person, source.incoming.reply_to
    if pending_id is not None:
        return unit.log.get(pending_id), True
    if reply_to is not None:
        theirs = unit.log.of_message(person.id, reply_to)
        ours = unit.outbox.entry_of(person.id, reply_to)
        if theirs or ours is not None:
            return theirs[0] if theirs else unit.log.get(ours or 0), True
    meal = unit.log.last_logged(person.id, kinds=("meal",))
    return meal or unit.log.last_logged(person.id), False


def _target(source: Source, correction: Correction, meant: Logged | None, pointed: bool) -> Logged | None:
    """An undo or a new time means what was noted last, minutes the last movement; or what was pointed at."""
    if not pointed and correction.minutes is not None:
        return source.unit.log.last_logged(source.person.id, kinds=("activity",))
    if pointed or correction.what not in ("undo", "time"):
        return meant
    return source.unit.log.last_logged(source.person.id)


def _press(source: Source, data: str) -> list[Outgoing]:
    """Answer a button. A button outlives what it was about, so that is looked up and said if it is gone."""
    what, _, ids = data.partition(":")
    person, incoming = source.person, source.incoming
    if what in snoozing.PRESSES:
        return [snoozing.press_reminder(source, what, ids)]
    if what in asking.PRESSES:
        return [asking.press_rise(source, what, ids)]
    if what == "synced":
        return say_noted(source, record(source, [Sync(incoming.sent_at)]), ["Send me its file when you can."])
    found = [source.unit.log.get(i) for i in read_ids(ids)]
    targets = [t for t in found if t is not None and t.person == person.id]
    live = [t for t in targets if t.removed_at is None]
    if what == "back":
        gone = [t for t in targets if t.removed_at is not None]
        return [put_back(source, gone, incoming.message_id) if gone else _stale(person, "back already")]
    if not live:
        return [_stale(person, "gone")]
    if what == "undo":
        return [undo(source, live, incoming.message_id)]
    if what in ("amounts", "time"):
        return [ask_fix(source, what, live[0])]
    return [_stale(person, "old")]


def _stale(person: Person, why: str) -> Outgoing:
    texts = {
        "gone": fixed.TAKEN_BACK,
        "back already": "That note is back already.",
        "old": "That button is from an older version of me: write what you want instead, or say “help”.",
    }
    return Outgoing(person.id, texts[why])
