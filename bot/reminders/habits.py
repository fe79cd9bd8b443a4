"""When a person syncs without being asked, learnt from past days: pure rules of instants and a zone.

Somebody who reads the sensor out at about this time on most days is not asked before it; the ask then waits
until shortly before readings would lapse.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from bot.reminders.rules import Quiet, first_instant, in_quiet
from bot.store import Switch

ANSWERED = timedelta(minutes=30)
"""A sync so soon after an ask is an answer to it, not a habit."""
LATEST, ENOUGH = 4, 3
"""A habit holds on so many of the latest days of the same shift."""
LOOK_BACK = timedelta(days=28)
BEFORE_LAPSE = timedelta(minutes=10)
AFTER_LAPSE = timedelta(minutes=15)
"""Where readings lapse already, an ask waits this much longer: three readings."""
NIGHT_ENDS = time(4)
"""What is done before belongs to the day before."""


@dataclass(frozen=True, slots=True)
class Habit:
    """When somebody synced and was asked to in the last weeks, and which shift began when, in order."""

    synced: tuple[datetime, ...]
    asked: tuple[datetime, ...]
    begun: tuple[Switch, ...]
    zone: ZoneInfo

    def syncs(self, since: datetime, until: datetime) -> bool:
        """Tell whether on most of the latest days with this shift there was a sync at these clock times.

        An ask before it does not tell against that: as it then comes later, the next days show what holds.
        """
        return self._is_usual(self.synced, since, until)

    def syncs_unasked(self, since: datetime, until: datetime) -> bool:
        """Tell whether on most of those days there was one that answered no ask."""
        own = [at for at in self.synced if not any(_answers(at, ask) for ask in self.asked)]
        return self._is_usual(own, since, until)

    def _is_usual(self, syncs: Sequence[datetime], since: datetime, until: datetime) -> bool:
        today = self._day_of(since)
        shift = shift_on(today, self.begun)
        back = (timedelta(days=n) for n in range(1, LOOK_BACK.days))
        alike = [one for one in back if shift_on(today - one, self.begun) == shift][:LATEST]
        spans = [(self._on(since, one), self._on(until, one)) for one in alike]
        return sum(any(start <= at <= end for at in syncs) for start, end in spans) >= ENOUGH

    def _day_of(self, at: datetime) -> date:
        local = at.astimezone(self.zone)
        return local.date() - timedelta(days=local.time() < NIGHT_ENDS)

    def _on(self, at: datetime, earlier: timedelta) -> datetime:
        """Return the moment at which the clock showed the same so many days earlier."""
        local = at.astimezone(self.zone)
        return first_instant(local.date() - earlier, local.time(), self.zone)


def shift_on(day: date, begun: Sequence[Switch]) -> str:
    """Return the name of the shift of a day, "" before the first one; begun: which began when, in order."""
    return next((switch.name for switch in reversed(begun) if switch.from_on <= day), "")


def _answers(sync_at: datetime, asked_at: datetime) -> bool:
    return timedelta(0) <= sync_at - asked_at <= ANSWERED


def hold(due_at: datetime, lapse_at: datetime, quiet: Quiet, zone: ZoneInfo) -> datetime:
    """Return until when an ask can wait for somebody who mostly syncs unasked; `due_at` when it cannot.

    Ten minutes before readings lapse; where they lapse already, a quarter of an hour.
    """
    held = due_at + AFTER_LAPSE if due_at >= lapse_at else max(due_at, lapse_at - BEFORE_LAPSE)
    return due_at if in_quiet(held, quiet, zone) else held
