"""The bot as one object: builds the parts, wires them, and is what every channel talks to."""

import logging
import threading
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

from bot import metrics
from bot.foodtable import FoodTable, load_table
from bot.language.texts import Language, say, speaking
from bot.language.times import ClockStyle
from bot.model.clock import Clock, SystemClock
from bot.model.errors import BadSetting, StoreError
from bot.model.messages import Incoming, Outgoing, Picture, PictureSpec, Post
from bot.model.settings import read_zone
from bot.model.talker import Left, TakesLong
from bot.model.units import GlucoseUnit
from bot.reply import fixed
from bot.reply.numbers import day_and_clock
from bot.store import SPOKEN, InboxRow, Store, Transaction, open_store
from bot.store.copies import copies_folder, erase_in_copies, is_copy_due, make_copy
from bot.store.health import file_faults
from bot.store.invitations import MOST_OPEN
from bot.store.records import Manner
from bot.talk.drawing import Drawer, draw
from bot.talk.own_process import OwnProcess

if TYPE_CHECKING:
    from bot.talk.answering import Finder
    from bot.talk.turn import Turn

_log = logging.getLogger(__name__)
MAX_STARTS = 3
"""An update whose handling broke this often is put aside, so that it cannot stop the others for ever."""

SILENT = timedelta(minutes=3)
"""So long the clock may not tick, and a reminder may be due, before that is said to be a fault."""


LEFT = timedelta(seconds=10)
"""What has waited so long was begun by a process that is no more, rather than about to be done by one."""


class App:
    """Everything behind a channel (`bot.model.talker.Talker`).

    db: SQLAlchemy URL; zone, unit, talk: for people who have not set theirs; clock: the machine's by default
    serves: whose reminders and undelivered messages are this channel's, as an SQL LIKE pattern
    address: where programs can post readings, as it is told to people
    cards: the channel can pin a card of the day
    works_apart: pictures are drawn, and answers found, in processes of their own
    copies: so many copies of an SQLite database are kept, one a day; 0 for none
    """

    def __init__(
        self,
        db: str,
        *,
        zone: str,
        unit: GlucoseUnit = "mmol/L",
        clock: Clock | None = None,
        serves: str = "%",
        address: str = "http://127.0.0.1:8080",
        copies: int = 0,
        cards: bool = False,
        talk: Manner = "short",
        works_apart: bool = False,
    ) -> None:
        self.clock = clock or SystemClock()
        self.zone = zone
        self._serves = serves
        self._db, self._copies, self._copied_into = db, copies, copies_folder(db)
        self.store: Store = open_store(db, self._after_erasing)
        self._drawing = threading.Lock()
        self._drawer = Drawer(db) if works_apart else None
        self._works_apart = works_apart
        self._finder: Finder | None = None
        self._ticked_at: datetime | None = None
        self._left: set[str] = set()
        self._cut_off: set[int] = set()
        self._unit: GlucoseUnit = unit
        self._address, self._cards = address, cards
        self._talk: Manner = talk

    @cached_property
    def _turn(self) -> "Turn":
        from bot.talk.turn import Turn  # understanding need not be loaded for what only reads the record

        if self._works_apart:
            from bot.talk.answering import Finder

            self._finder = Finder(self._db)
        return Turn(
            self.store,
            lambda: self._table,
            zone=self.zone,
            unit=self._unit,
            talk=self._talk,
            address=self._address,
            cards=self._cards,
            finder=self._finder,
        )

    @cached_property
    def _table(self) -> FoodTable:
        return load_table()

    def close(self) -> None:
        """Let go of the database."""
        for process in self._own_processes():
            process.close()
        self.store.close()

    def prepare(self) -> None:
        """Load what the first message needs; nobody has to wait for it, and no kill is put down to it."""
        _ = self._turn, self._table

    def receive(self, incoming: Incoming, *, quick: bool = False) -> list[Outgoing]:
        """Handle one message, once however often it is given; the replies are stored in the outbox.

        quick: raise TakesLong where it would take long, to be given again where others do not wait for it.
        A turn that breaks changes nothing but the inbox, where the message waits for another start; who wrote
        it is told. Only that the store cannot be used is raised: then the channel has to say so.
        """
        self._count_start(incoming.update_id)
        try:
            with metrics.TURNS.time():
                return self._turn.handle(incoming, self.clock.now(), quick=quick)
        except (StoreError, TakesLong):
            raise
        except Exception as error:
            metrics.TURNS_BROKEN.inc()
            _log.exception("the turn of update %s broke", incoming.update_id)
            return self._turn.give_up(incoming, repr(error), self.clock.now())

    def tick(self) -> list[Outgoing]:
        """Return what the clock has brought due, stored in the outbox; once a day, copy the database."""
        self._ticked_at = self.clock.now()
        due = self._turn.tick(self._ticked_at, self._serves)
        self._keep_copy()
        return due

    def _keep_copy(self) -> None:
        folder, now = self._copied_into, self.clock.now()
        if folder is None or not self._copies or not is_copy_due(folder, now):
            return
        try:
            make_copy(self._db, folder, now, keep=self._copies)
        except StoreError as error:  # a disk that is full: reminders must not wait for it
            _log.error("Today's copy of the database was not made: %s", error)

    def _after_erasing(self, people: list[str]) -> None:
        erase_in_copies(self._db, people)
        for process in self._own_processes():
            process.renew()  # what it has read stays in its memory

    def _own_processes(self) -> list[OwnProcess]:
        return [process for process in (self._drawer, self._finder) if process is not None]

    def find_poster(self, token: str) -> str | None:
        """Return the person whose token for posting this is, None when it is nobody's."""
        with self.store.read() as tx:
            return tx.tokens.holder(token)

    def take_post(self, post: Post) -> tuple[dict[str, object], list[Outgoing]] | None:
        """Store posted readings; return the answer and what is to be said, None when nobody is there."""
        from bot.talk.posted_readings import take_post

        return take_post(self.store, post, self.clock.now(), cards=self._cards)

    def check(self) -> list[str]:
        """Return what is wrong, in words that name nobody; StoreError when the database cannot be used."""
        now, faults = self.clock.now(), file_faults(self._db)
        if self._ticked_at is not None and now - self._ticked_at > SILENT:
            faults.append("the clock has stopped ticking")
        due_at = self.next_due_at()
        if self._ticked_at is not None and due_at is not None and now - due_at > SILENT:
            faults.append("reminders are late")
        return faults

    def next_due_at(self) -> datetime | None:
        """Return when the next reminder is due, None when none is planned."""
        with self.store.read() as tx:
            return tx.reminders.next_due_at(self._serves)

    def draw(self, spec: PictureSpec, person: str) -> Picture:
        """Draw one picture; one at a time, as drawing is bound by the processor."""
        with self._drawing, metrics.DRAWN.labels(spec.kind).time():
            return self._drawer.draw(spec, person) if self._drawer else draw(self.store, spec, person)

    def accept(self, updates: Sequence[tuple[str, str, str]]) -> list[bool]:
        """Store updates (id, person, raw) before they are acknowledged; False for each that is known."""
        with self.store.begin() as tx:
            return [tx.inbox.add(*update, self.clock.now()) for update in updates]

    def invite(self) -> str:
        """Return the code of a new invitation; BadSetting while as many wait to be taken as may."""
        with self.store.begin() as tx:
            if tx.invitations.open_count(self.clock.now()) >= MOST_OPEN:
                raise BadSetting(
                    f"{MOST_OPEN} invitations wait to be taken already, which is the most: hand these on, or "
                    "make another one when one of them was taken or a week has passed."
                )
            return tx.invitations.make(self.clock.now())

    def invite_first(self) -> str | None:
        """Return the code of an invitation for the first person, None when somebody took one already."""
        with self.store.begin() as tx:
            return tx.invitations.make_first(self.clock.now())

    def let_in(self, person: str, code: str) -> bool:
        """Let a person in by the code of an invitation; False when it is not, or no longer, one."""
        with self.store.begin() as tx:
            return tx.invitations.take(code, person, self.clock.now())

    def is_in(self, person: str) -> bool:
        """Tell whether a person was let in by an invitation."""
        with self.store.read() as tx:
            return tx.invitations.took(person)

    def knows(self, person: str) -> bool:
        """Tell whether anything is held about a person."""
        with self.store.read() as tx:
            return tx.people.get(person) is not None

    def spoken(self, person: str) -> tuple[Language, ClockStyle]:
        """Return how a person is spoken to: in which language, by which clock."""
        try:
            with self.store.read() as tx:
                known = tx.people.get(person)
        except StoreError:  # what is to be said is said all the same
            return SPOKEN
        return SPOKEN if known is None else known.spoken

    def waiting(self) -> list[tuple[str, str]]:
        """Return (update id, raw) of updates not yet handled, oldest first.

        Poison ones are put aside, which is told to whom they came from; what was begun before comes last, so
        that each of the others is handled whatever it does. To be handled one at a time.
        """
        with self.store.begin() as tx:
            ready = self._ready(tx, tx.inbox.waiting())
        self._left = {row.update_id for row in ready}
        if ready:
            self.prepare()
        return [(row.update_id, row.raw) for row in sorted(ready, key=lambda row: row.attempts)]

    def _ready(self, tx: Transaction, waiting: list[InboxRow]) -> list[InboxRow]:
        ready = []
        for row in waiting:
            if row.attempts >= MAX_STARTS:
                tx.inbox.park(row.update_id, f"started {MAX_STARTS} times", self.clock.now())
                tx.outbox.put(self._say_parked(tx, row), at=self.clock.now())
            else:
                ready.append(row)
        return ready

    @property
    def shared(self) -> bool:
        """Whether other processes may work on the same database."""
        return self.store.holds.shared

    def hold(self, people: Collection[str]) -> set[str]:
        """Have this process alone deal with people; return with whom, which is all that no other one has."""
        return self.store.holds.take(*people)

    def let_go(self, people: Collection[str], busy: Collection[int]) -> set[str]:
        """Leave people to others; return for whom something waits that came meanwhile.

        Asked only afterwards: who stored it then either took the person, or found them held before.
        busy: messages that this process knows of
        """
        self.store.holds.let_go(*people)
        with self.store.read() as tx:
            waiting = {row.person for row in tx.inbox.waiting(people, failed=False)}
            return waiting | tx.outbox.waits_for(people, busy)

    def take_place(self, most: int, mine: Collection[int]) -> int | None:
        """Take one of `most` places that all processes share, None while they are taken."""
        return self.store.holds.take_place(most, mine)

    def leave_places(self, places: Collection[int]) -> None:
        """Leave some of those places."""
        self.store.holds.leave_places(places)

    def whose_left(self, *, starting: bool) -> list[str]:
        """Return for whom something waits that was left by a process which is no more, or may have been.

        starting: also what is not old yet, and what broke
        """
        before = self.clock.now() if starting else self.clock.now() - LEFT
        with self.store.read() as tx:
            return sorted(tx.inbox.whose(before, failed=starting) | tx.outbox.whose(before, self._serves))

    def left_for(self, people: Collection[str], busy: Collection[int], *, starting: bool) -> dict[str, Left]:
        """Return what waits for people who are held; what is not old was begun by nobody, but at a start.

        busy: messages that this process knows of
        """
        before = self.clock.now() - LEFT
        with self.store.begin() as tx:
            ready = self._ready(tx, tx.inbox.waiting(people, failed=starting))
            unsent = tx.outbox.unsent(people, busy)
            old = tx.outbox.queued_before(before, [one.id for one in unsent if one.id is not None])
        self._left |= {row.update_id for row in ready if row.received_at < before or row.state == "failed"}
        self._cut_off |= old
        left = {person: Left([], [], []) for person in people}
        for row in ready:
            left[row.person].updates.append((row.update_id, row.raw))
        for message in unsent:
            whose = left[message.person]
            (whose.begun if starting or message.id in old else whose.messages).append(message)
        return left

    def _say_parked(self, tx: Transaction, row: InboxRow) -> Outgoing:
        now, person = self.clock.now(), tx.people.get(row.person)
        zone = read_zone(self.zone) if person is None else person.zone
        with speaking(*SPOKEN if person is None else person.spoken):
            when = day_and_clock(row.received_at, zone, now)
            return Outgoing(row.person, say(fixed.PARKED, when=when))

    def _count_start(self, update_id: str) -> None:
        """Count, before it is handled, the start of an update that an earlier run left behind.

        Only now, since what merely waits behind another when the bot dies has done no harm.
        """
        if update_id in self._left:
            self._left.discard(update_id)
            with self.store.begin() as tx:
                tx.inbox.attempt(update_id)

    def failed(self, update_id: str, error: str, *, harmless: bool = False) -> None:
        """Note that handling an update broke; it is tried again at the next start, up to MAX_STARTS times.

        harmless: the messenger failed, not the update, so that it does not count
        """
        if not harmless:
            self._count_start(update_id)
        with self.store.begin() as tx:
            tx.inbox.fail(update_id, error, self.clock.now())

    def unsent(self) -> list[Outgoing]:
        """Return the messages of the outbox that an earlier run left unsent, each once."""
        with self.store.begin() as tx:
            unsent = tx.outbox.unsent(self._serves)
        self._cut_off = {message.id for message in unsent if message.id is not None}
        return unsent

    def review(self, message: Outgoing) -> Outgoing | None:
        """Return what is to be sent by now in place of a message that waited, None when nothing is."""
        return self._turn.say_anew(message, self.clock.now())

    def sending(self, id: int) -> None:
        """Note that message `id` is now being sent, which counts where an earlier run left it."""
        if id in self._cut_off:
            with self.store.begin() as tx:
                tx.outbox.attempt(id)
            self._cut_off.discard(id)

    def refused(self, *ids: int) -> None:
        """Note that messages were certainly not delivered so far; they are tried again."""
        with self.store.begin() as tx:
            tx.outbox.refused(*ids)

    def sent(self, refs: Mapping[int, str]) -> None:
        """Note that messages were delivered: their ids, and what the messenger calls each.

        The disk is not waited for: deliveries end meanwhile, and a crash would repeat those, too.
        """
        with self.store.begin(outlasts_power=False) as tx:
            tx.outbox.sent(refs, at=self.clock.now())

    def unsure(self, id: int, why: str) -> None:
        """Note that message `id` may or may not have been delivered, and is not sent again."""
        with self.store.begin() as tx:
            tx.outbox.uncertain(id, why, self.clock.now())

    def not_sent(self, id: int, why: str) -> None:
        """Note that message `id` cannot be delivered."""
        with self.store.begin() as tx:
            tx.outbox.failed(id, why, self.clock.now())
