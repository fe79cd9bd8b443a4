"""One turn of the talk: a message in, the answers out. The only orchestrator; each turn is one transaction.

In that transaction stand the mark that the update was handled, the entries, the reminders that follow from
them and the answers to be sent. So a turn either happened, answers included, or it did not.
"""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial

from bot.foodtable import FoodTable
from bot.language.texts import Language, say, speaking
from bot.language.times import ClockStyle
from bot.metrics import LATENESS
from bot.model.messages import Incoming, Outgoing, drop_unkept
from bot.model.talker import TakesLong
from bot.model.units import GlucoseUnit
from bot.reminders.planning import plan_reminders
from bot.reminders.saying import LATE, NOTHING_READY, PREPARED, say_anew, say_due
from bot.reply import fixed
from bot.store import SPOKEN, Person, Reminder, Store, Transaction
from bot.store.records import Manner
from bot.talk.answering import AnswerFirst, Finder, TurnAnswers
from bot.talk.brief import unsaid
from bot.talk.buttons import press
from bot.talk.day_card import put_card
from bot.talk.eating_rules import hear_rules
from bot.talk.files import TOO_LARGE, receive_file
from bot.talk.first_hour import answer_hello, say_hello, with_question
from bot.talk.heard import Heard
from bot.talk.photos import hear_photo, keep_photo, open_photo, put_waiting
from bot.talk.plain_settings import as_command
from bot.talk.reading_files import ReadFirst, TurnReader
from bot.talk.sample import KEPT_SAMPLE
from bot.talk.sharing import hear_sharing
from bot.talk.slash_commands import run_command
from bot.talk.time_limit import TURN_S, within
from bot.talk.tour import begin_tour, with_tour
from bot.talk.word_ahead import word_ahead
from bot.talk.words import hear

KEPT = timedelta(days=1)
"""So long a reply is worth sending."""


class Turn:
    """Handles messages and the clock.

    store, table: where entries are kept, and a function that gives the food table (loaded when first needed)
    zone, unit, talk: for people who have not set theirs; address: where programs can post readings
    cards: the day's entries stand on a card that is pinned in the chat
    """

    def __init__(
        self,
        store: Store,
        table: Callable[[], FoodTable],
        *,
        zone: str,
        unit: GlucoseUnit,
        talk: Manner,
        address: str,
        cards: bool,
        finder: Finder | None = None,
    ) -> None:
        self._store, self._table, self._zone, self._unit = store, table, zone, unit
        self._talk: Manner = talk
        self._address, self._cards, self._finder = address, cards, finder

    def handle(self, incoming: Incoming, now: datetime, *, quick: bool = False) -> list[Outgoing]:
        """Handle one message; a message handled before gives nothing.

        What takes long, a file or an answer, is read or found before the transaction, so that nobody else
        waits for it; where that must be `quick`, TakesLong is raised instead.
        """
        incoming, read, answers = open_photo(drop_unkept(incoming)), TurnReader(), TurnAnswers(self._finder)
        while True:
            try:
                return self._handle(incoming, read, answers, now)
            except (ReadFirst, AnswerFirst) as first:
                if quick:
                    raise TakesLong from first
                if isinstance(first, ReadFirst):
                    read.read(first)
                else:
                    answers.find(self._store, first)

    def _handle(
        self, incoming: Incoming, read: TurnReader, answers: TurnAnswers, now: datetime
    ) -> list[Outgoing]:
        with self._store.begin() as tx:
            tx.people.lock(incoming.person)
            person = self._ensure(tx, incoming, now)
            if not tx.inbox.claim(incoming.update_id, person.id, now):
                return []
            heard = Heard(tx, person, incoming, self._table, read, answers)
            replies = within(TURN_S, partial(self._work, heard, now))
            stored = [tx.outbox.put(reply, at=now, update_id=incoming.update_id) for reply in replies]
            return stored + self._put_card(tx, person.id, now, anew=not incoming.text)

    def _put_card(self, tx: Transaction, person_id: str, now: datetime, *, anew: bool) -> list[Outgoing]:
        stays = tx.people.get(person_id) if self._cards else None
        if stays is None:
            return []
        with speaking(*stays.spoken):
            return put_card(tx, stays, now, anew=anew)

    def _work(self, heard: Heard, now: datetime) -> list[Outgoing]:
        tx, person = heard.tx, heard.person
        tx.journal.begin(person.id, heard.incoming.update_id, now)
        with speaking(*person.spoken):
            replies = unsaid(tx, with_question(heard, with_tour(heard, self._answer(heard))), now)
            put_waiting(heard)
        tx.journal.end()
        stays = tx.people.get(person.id)
        if stays is not None:
            plan_reminders(tx, stays, now)
        return replies

    def give_up(self, incoming: Incoming, error: str, now: datetime) -> list[Outgoing]:
        """End a turn that broke: its message waits in the inbox, if it came through it; it is told once."""
        with self._store.begin() as tx:
            before = tx.inbox.state(incoming.update_id)
            if before == "failed":
                tx.inbox.fail(incoming.update_id, error, now)
                return []
            person = self._ensure(tx, incoming, now)
            kept = before is not None
            if kept:
                tx.inbox.fail(incoming.update_id, error, now)
            with speaking(*person.spoken):
                told = Outgoing(person.id, say(fixed.BROKEN_KEPT if kept else fixed.BROKEN))
            return [tx.outbox.put(told, at=now)]

    def _ensure(self, tx: Transaction, incoming: Incoming, now: datetime) -> Person:
        return tx.people.ensure(incoming.person, zone=self._zone, unit=self._unit, at=now, talk=self._talk)

    def tick(self, now: datetime, serves: str) -> list[Outgoing]:
        """Say what is due at `now`: one message for each person, none in their quiet hours.

        What takes long to word is worded before the transaction, so that nobody else waits for it.
        """
        with self._store.read() as tx:
            ready = word_ahead(tx, now, serves)
        with self._store.begin() as tx:
            tx.files.drop_expired(now)
            tx.shares.drop_expired(now)
            tx.first_hour.drop_samples(now - KEPT_SAMPLE)
            due: dict[str, list[Reminder]] = defaultdict(list)
            for reminder in tx.reminders.due(now, serves, without=PREPARED):
                due[reminder.person].append(reminder)
            for person_id, worded in ready.items():
                found = [r for r in tx.reminders.due_along(person_id, now) if r.kind in worded]
                if found:
                    due[person_id] += found
            said: list[Outgoing] = []
            for person_id, reminders in due.items():
                for reminder in reminders:
                    LATENESS.observe(max(0.0, (now - reminder.due_at).total_seconds()))
                with speaking(*_spoken_by(tx, person_id)):
                    said += say_due(tx, person_id, reminders, now, ready=ready.get(person_id, NOTHING_READY))
            return [tx.outbox.put(message, at=now) for message in said]

    def say_anew(self, message: Outgoing, now: datetime) -> Outgoing | None:
        """Return what is to be sent in place of a message that waited since it was stored.

        A reminder is said anew once it is late, with what has lapsed since; a reply goes as it is for a day.
        """
        assert message.id is not None  # it comes from the outbox
        with self._store.begin() as tx:
            queued_at = tx.outbox.queued_at(message.id)
            if queued_at is None:
                return None
            if now - queued_at < (LATE if message.reminder else KEPT):
                return message
            tx.outbox.failed(message.id, "waited too long to be sent as it was", now)
            if not message.reminder:
                return None
            with speaking(*_spoken_by(tx, message.person)):
                said = say_anew(tx, message.person, queued_at, now)
            anew = [tx.outbox.put(one, at=now) for one in said]
            return anew[0] if anew else None

    def _answer(self, heard: Heard) -> list[Outgoing]:
        person, incoming = heard.person, heard.incoming
        if incoming.press is not None:
            return [replace(reply, whole=True) for reply in press(heard, incoming.press)]
        if incoming.too_large:
            return [Outgoing(person.id, say(TOO_LARGE))]
        if incoming.file is not None:
            return receive_file(heard)
        if incoming.photo is not None:
            return keep_photo(heard, self._answer_words)
        return self._answer_words(heard)

    def _answer_words(self, heard: Heard) -> list[Outgoing]:
        tx, person, incoming = heard.tx, heard.person, heard.incoming
        if incoming.other is not None and not incoming.text.strip():
            return [Outgoing(person.id, say(fixed.NO_WORDS.get(incoming.other, fixed.NO_WORDS_OTHER)))]
        if not incoming.text.strip():
            return [Outgoing(person.id, fixed.NO_WORDS[""])]
        answered = answer_hello(heard)
        if answered is not None:
            return answered
        command = as_command(tx, person, incoming.text, incoming.sent_at)
        name = command.split()[0].partition("@")[0].lower()
        if name == "/start":
            return say_hello(tx, person, incoming.sent_at, incoming.language)
        if name == "/tour":
            return begin_tour(heard)
        if command.startswith("/"):
            reply = run_command(tx, person, command, incoming.sent_at, self._address)
            if reply is not None:
                return [replace(reply, whole=True)]
        said = hear_photo(heard, command) or hear_sharing(heard, command) or hear_rules(heard, command)
        if said is not None:
            return [replace(said, whole=True)]
        return hear(replace(heard, incoming=replace(incoming, text=command)))


def _spoken_by(tx: Transaction, person_id: str) -> tuple[Language, ClockStyle]:
    person = tx.people.get(person_id)
    return SPOKEN if person is None else person.spoken
