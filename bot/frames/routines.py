"""Routines as movement and sitting that is assumed on their days: where nothing else was noted for then."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from bot.model.entries import Activity, Skipped
from bot.store import Person, Transaction
from bot.understanding.settings.routines import Kind, Routine, read_routine

AROUND = timedelta(minutes=60)
"""Movement noted so near to an assumed one is that one, as it really was."""
USUAL_MIN = 15.0
"""What was not said how long counts as so many minutes (common practice, no source)."""
AFTER_BITE = timedelta(minutes=15)
"""“After dinner” begins so long after the first bite (judgement)."""
_WHAT: dict[Kind, str] = {"sitting": "sitting", "light": "housework", "walk": "walk", "exercise": "workout"}
_NOON = timedelta(hours=12)
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Told:
    """A routine, assumed since the local day it was told on: nobody could say no to it before."""

    routine: Routine
    since: date


@dataclass(frozen=True, slots=True)
class Routines:
    """What is assumed of a person: told, and what was not kept as (value, local day)."""

    person: Person
    told: tuple[Told, ...]
    skipped: frozenset[tuple[str, date]]

    @staticmethod
    def of(tx: Transaction, person: Person, since: datetime, until: datetime) -> "Routines":
        """Read what may be assumed within [since, until]."""
        facts = [
            (read_routine(fact), at.astimezone(person.zone).date())
            for fact, at in tx.facts.told(person.id, "routine")
        ]
        logged = tx.log.between(person.id, ("skipped",), since - _DAY, until + _DAY) if facts else []
        skipped = frozenset(
            (one.entry.routine, one.at.astimezone(person.zone).date())
            for one in logged
            if isinstance(one.entry, Skipped)
        )
        told = tuple(Told(routine, day) for routine, day in facts if routine.counts)
        return Routines(person, told, skipped)

    def due(self, day: date) -> list[Routine]:
        """Return the routines that are assumed on a day."""
        return [
            one.routine
            for one in self.told
            if day >= one.since
            and day.weekday() in one.routine.days
            and (one.routine.value, day) not in self.skipped
        ]

    def assumed_by_clock(self, since: datetime, until: datetime) -> Iterator[tuple[datetime, Routine]]:
        """Yield when those of a clock time begin within [since, until]."""
        day = since.astimezone(self.person.zone).date()
        while self.told and day <= until.astimezone(self.person.zone).date():
            for routine in self.due(day):
                if routine.start is not None:
                    yield at_of(routine, day, self.person), routine
            day += _DAY

    def assumed_beside(self, at: datetime, slot: str) -> Iterator[tuple[datetime, Routine]]:
        """Yield when those before or after a meal of this slot begin."""
        for routine in self.due(at.astimezone(self.person.zone).date()) if self.told else ():
            if routine.beside == f"after {slot}":
                yield at + AFTER_BITE, routine
            elif routine.beside == f"before {slot}":
                yield at - timedelta(minutes=routine.minutes or USUAL_MIN), routine


def at_of(routine: Routine, day: date, person: Person) -> datetime:
    """Return when a routine begins on a local day; one beside a meal counts as at noon."""
    minute = _NOON if routine.start is None else timedelta(minutes=routine.start)
    return (datetime.combine(day, time(), person.zone) + minute).astimezone(UTC)


def as_move(routine: Routine, at: datetime) -> Activity:
    """Return a routine as what it counts as."""
    return Activity(_WHAT[routine.kind], routine.minutes, at, said=routine.value)


def is_noted(at: datetime, routine: Routine, noted: Sequence[tuple[datetime, Activity]]) -> bool:
    """Tell whether movement was noted at the time of an assumed one; a walk does not end hours at a desk."""
    if routine.kind == "sitting":
        return False
    end = at + timedelta(minutes=routine.minutes or USUAL_MIN)
    return any(at - AROUND <= start <= end + AROUND for start, _ in noted)
