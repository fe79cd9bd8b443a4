"""Random days with the whole bot: what is promised about reminders holds whatever the person does.

A machine of hypothesis eats, syncs, presses buttons, sleeps through, travels, changes shifts, stops the bot
for some minutes and steps its clock, around changes of the clocks in both directions (Vienna 29 March and
25 October 2026, Chicago 8 March, Lord Howe 5 April; IANA time zone database). Then the record is judged:

- none in quiet hours;  - none twice
- no readings lapse unless a reminder was sent between when they were measured and when they lapsed, or they
  lapsed in quiet hours of which a message had said until when they last and what is lost
"""

import re
import shutil
from datetime import UTC, datetime, time, timedelta
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule
from sqlalchemy import text

from bot.app import App
from bot.model.clock import SettableClock
from bot.model.messages import Outgoing
from bot.reminders.rules import NUDGE_APART, Quiet, first_instant, in_quiet
from bot.store import Person, open_store
from tests.talk import Talk

STARTS = ("2026-03-27 12:00", "2026-10-23 12:00", "2026-03-06 18:00", "2026-04-03 00:00")
PLACES = ("Vienna", "Chicago", "Lord Howe", "Kolkata")
QUIETS = ("23:00-06:30", "22:00-07:30", "21:30-03:45", "0-0", "00:30-09:15")
SHIFTS = ("early 20:30-04:00", "late 01:00-08:30", "off 23:30-08:00")
MEMORY = timedelta(hours=8)
STEP = timedelta(minutes=5)
UNSAID = timedelta(minutes=10)
"""A loss of less than five minutes is not announced; the judge looks every five minutes."""
UNTIL = re.compile(r"(?:lose[^.;]* by|[Bb]y(?= \d\d:\d\d you lose)) (\d\d):(\d\d)")


class Days(RuleBasedStateMachine):
    template: Path

    def __init__(self) -> None:
        super().__init__()
        self.folder = TemporaryDirectory()
        file = Path(self.folder.name) / "days.db"
        shutil.copy(self.template, file)
        self.url = f"sqlite:///{file}"
        self.asked: list[datetime] = []
        self.warned: list[tuple[datetime, datetime]] = []
        self.synced: list[datetime] = []
        self.unruly: list[datetime] = []
        self.said_in_quiet: list[str] = []
        self.checked: dict[str, int] = {}
        self.heard = 0
        self.meals = 0

    @initialize(start=st.sampled_from(STARTS), place=st.sampled_from(PLACES))
    def begin(self, start: str, place: str) -> None:
        self.clock = SettableClock(datetime.fromisoformat(start).replace(tzinfo=UTC))
        self.talk = Talk(self._open(), self.clock)
        self.listen(self.talk.say, f"/zone {place}")
        self.sync()

    def _open(self) -> App:
        return App(self.url, zone="Europe/Vienna", clock=self.clock)

    def person(self) -> Person:
        with self.talk.app.store.read() as tx:
            person = tx.people.get("local")
        assert person is not None
        return person

    def listen(self, act, *about: object) -> None:
        """Do something, and take note of what the bot says to it."""
        before = self.person() if self.heard else None
        act(*about)
        new, self.heard = self.talk.heard[self.heard :], len(self.talk.heard)
        for message in new:
            self._note(message, before or self.person())

    def _note(self, message: Outgoing, person: Person) -> None:
        now = self.clock.now()
        after = self.person()
        if message.reminder:
            if in_quiet(now, Quiet(after.quiet_from, after.quiet_to), after.zone):
                self.said_in_quiet.append(f"{now}: {message.text}")
            if "Please sync" in message.text or "Sync now to save" in message.text:
                self.asked.append(now)
            for meal in re.findall(r"\d+ g \w+|\((\w[^)]*)\)", message.text):
                self.checked[meal] = self.checked.get(meal, 0) + 1
        for hour, minute in UNTIL.findall(message.text):
            clock, day = time(int(hour), int(minute)), now.astimezone(after.zone).date()
            ends = [first_instant(day + timedelta(days=n), clock, after.zone) for n in range(3)]
            self.warned.append((now, next(end for end in ends if end > now)))

    @rule(minutes=st.integers(1, 700))
    def wait(self, minutes: int) -> None:
        until = self.clock.now() + timedelta(minutes=minutes)
        while (due_at := self.talk.app.next_due_at()) is not None and due_at <= until:
            self.clock.move_to(max(due_at, self.clock.now()))
            self.listen(self.talk.tick)
        self.clock.move_to(max(until, self.clock.now()))

    @rule()
    def sync(self) -> None:
        self.synced.append(self.clock.now())
        self.listen(self.talk.say, "synced")

    @rule()
    def eat(self) -> None:
        self.meals += 1
        self.listen(self.talk.say, f"{100 + self.meals} g white bread")

    @rule(label=st.sampled_from(["Synced", "In 30 min", "Not today"]))
    def press(self, label: str) -> None:
        if any(button.label == label for message in self.talk.heard for button in message.buttons):
            if label == "Synced":
                self.synced.append(self.clock.now())
            self.listen(self.talk.press, label)

    @rule(place=st.sampled_from(PLACES))
    def travel(self, place: str) -> None:
        self.listen(self.talk.say, f"I'm in {place} now")

    @rule(quiet=st.sampled_from(QUIETS))
    def sleep_otherwise(self, quiet: str) -> None:
        self.listen(self.talk.say, f"/quiet {quiet}")

    @rule(shift=st.sampled_from(SHIFTS), when=st.sampled_from(["", " from tomorrow", " from Sunday"]))
    def change_shift(self, shift: str, when: str) -> None:
        self.listen(self.talk.say, f"/shift {shift}{when}")

    @rule(minutes=st.integers(0, 5))
    def restart(self, minutes: int) -> None:
        self.talk.app.close()
        self.clock.move_to(self.clock.now() + timedelta(minutes=minutes))
        self.talk.app = self._open()
        self.listen(self.talk.tick)

    @rule(minutes=st.integers(-60, 60))
    def step_the_clock(self, minutes: int) -> None:
        self.unruly.append(self.clock.now())
        self.clock = SettableClock(self.clock.now() + timedelta(minutes=minutes))
        self.unruly.append(self.clock.now())
        self.restart_with_clock()

    def restart_with_clock(self) -> None:
        self.talk.app.close()
        self.talk.clock = self.clock
        self.talk.app = self._open()
        self.listen(self.talk.tick)

    def teardown(self) -> None:
        if not hasattr(self, "talk"):
            return
        try:
            assert self.said_in_quiet == []
            self._judge_twice()
            self._judge_lapsed()
        finally:
            self.talk.app.close()
            self.folder.cleanup()

    def _judge_twice(self) -> None:
        with self.talk.app.store.read() as tx:
            rows = tx.reminders._connection.execute(
                text("SELECT kind, entry_id, count(*) FROM reminders WHERE state = 'sent' AND entry_id > 0"
                     " GROUP BY kind, entry_id HAVING count(*) > 1")
            ).all()  # fmt: skip
        assert rows == []
        orderly = sorted(at for at in self.asked if not self._unruly_within(at - MEMORY, at))
        assert all(b - a >= NUDGE_APART for a, b in pairwise(orderly))

    def _unruly_within(self, start: datetime, end: datetime) -> bool:
        return any(start - timedelta(hours=2) <= at <= end + timedelta(hours=2) for at in self.unruly)

    def _judge_lapsed(self) -> None:
        """Look at each moment whose readings lapsed: was that announced in time?"""
        person = self.person()
        assert person.memory_min == MEMORY / timedelta(minutes=1)
        unannounced: list[datetime] = []
        at = min(self.synced)
        while at + MEMORY <= self.clock.now():
            lapsed_at = at + MEMORY
            kept = any(at <= sync <= lapsed_at for sync in self.synced)
            worn = any(at - timedelta(days=2) < sync <= at for sync in self.synced)
            if not kept and worn and not self._unruly_within(at, lapsed_at):
                asked = any(at < ask <= lapsed_at for ask in self.asked)
                warned = any(said <= lapsed_at <= end for said, end in self.warned)
                if not (asked or warned):
                    unannounced.append(at)
            at += STEP
        run = timedelta(0)
        for before, after in pairwise(unannounced):
            run = run + STEP if after - before == STEP else timedelta(0)
            assert run < UNSAID, f"lapsed unannounced: {after - run} to {after}"


@pytest.fixture(scope="module", autouse=True)
def template(tmp_path_factory: pytest.TempPathFactory) -> None:
    Days.template = tmp_path_factory.mktemp("days") / "empty.db"
    open_store(f"sqlite:///{Days.template}").close()


class TestDays(Days.TestCase):
    settings = settings(
        max_examples=25,
        stateful_step_count=40,
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )
