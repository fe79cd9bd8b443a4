"""Runs with a sensor: days of readings that hang together, and the pauses between them.

Sensors need not be noted for it, so that a file that was only imported has a report; answers in the chat
about “my runs” go by the sensors that were noted (`runs.py`), and the two may differ where these are missing.
"""

from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise

from bot.answers.pictured import LONGEST_RUN
from bot.reminders.rules import first_instant
from bot.store import Person, Transaction

PAUSE = timedelta(days=14)
"""So long without a reading ends a run."""
Span = tuple[datetime, datetime]


def runs_before(tx: Transaction, person: Person, until: datetime) -> list[Span]:
    """Return the runs that began before an instant, oldest first, each as whole local days [since, until)."""
    seconds, _, _ = tx.readings.arrays(person.id, None, until, sources=("file",))
    days = sorted({datetime.fromtimestamp(second, UTC).astimezone(person.zone).date() for second in seconds})
    if not days:
        return []
    starts = [days[0], *(later for earlier, later in pairwise(days) if later - earlier > PAUSE)]
    ends = [*(earlier for earlier, later in pairwise(days) if later - earlier > PAUSE), days[-1]]
    return [
        (_midnight(first, person), _midnight(last + timedelta(days=1), person))
        for first, last in zip(starts, ends, strict=True)
    ]


def start_of_run(tx: Transaction, person: Person, until: datetime) -> datetime:
    """Return since when a report looks where nothing else is said: the newest run, 92 days at most."""
    runs = runs_before(tx, person, until)
    longest = until - LONGEST_RUN
    return max(longest, runs[-1][0]) if runs else longest


def _midnight(day: date, person: Person) -> datetime:
    return first_instant(day, time(0), person.zone)
