"""A run of days as its picture takes it."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from analysis.columns import add_local
from analysis.run import DAY_MIN, RunDay, Span, describe_run
from analysis.waking import NIGHT_MIN
from bot.frames.nights import sleep_between
from bot.frames.readings import find_interval, readings_of
from bot.frames.servings import occasions_between
from bot.model.entries import Sensor
from bot.store import Person, Transaction

NIGHT = timedelta(hours=24)


@dataclass(frozen=True, slots=True)
class Run:
    """A run of days.

    scored, meals: how many occasions have a score, and how many there are
    sensors: how many were put on, so far as was said; 0 where none was
    """

    days: tuple[RunDay, ...]
    scored: int
    meals: int
    sensors: int

    @property
    def share(self) -> float:
        """The mean share that readings cover of the days since the sensor was on, 0 to 1."""
        first = next((k for k, day in enumerate(self.days) if day.covered or day.sensors), 0)
        return sum(day.share for day in self.days[first:]) / len(self.days[first:])

    @property
    def nights_lost(self) -> int:
        """How many nights are lost."""
        return sum(day.night_lost for day in self.days)


def run_between(tx: Transaction, person: Person, since: datetime, until: datetime) -> Run | None:
    """Return the run of days in [since, until), from the first reading or meal on; None without any."""
    readings = readings_of(tx, person, since - NIGHT, until, "file")
    occasions = [serving for serving, _ in occasions_between(tx, person, since, until)]
    zone = person.zone
    inside = readings[readings["at"] >= since]
    ends = [serving.at for serving in occasions] + [
        at.to_pydatetime() for at in (inside["at"].iloc[:1].tolist() + inside["at"].iloc[-1:].tolist())
    ]
    if not ends:
        return None
    first, last = (end.astimezone(zone).date() for end in (min(ends), max(ends)))
    days = [first + timedelta(days=k) for k in range((last - first).days + 1)]
    meals: dict[date, list[tuple[float, bool]]] = defaultdict(list)
    for serving in occasions:
        day, minute = _place(serving.at, person)
        meals[day].append((minute, serving.evenness is not None))
    sensors: dict[date, list[float]] = defaultdict(list)
    for logged in tx.log.between(person.id, ("sensor",), since, until):
        if isinstance(logged.entry, Sensor) and logged.entry.what == "started":
            day, minute = _place(logged.at, person)
            sensors[day].append(minute)
    began = [_place(at.to_pydatetime(), person) for at in inside["at"].iloc[:1]]
    began += [(day, minute) for day, minutes in sensors.items() for minute in minutes]
    began_on, began_min = min(began, default=(last, DAY_MIN))
    parts = {day: (DAY_MIN, DAY_MIN) for day in days if day < began_on}  # there was no sensor to read
    parts[began_on] = (began_min, DAY_MIN)
    now_on, now_min = _place(until, person)
    parts[now_on] = (parts.get(now_on, (0.0, 0.0))[0], now_min)
    found = describe_run(
        add_local(readings, zone),
        days,
        interval_min=find_interval(readings["at"]),
        meals=meals,
        sensors=sensors,
        nights=_nights(tx, person, since, until),
        parts=parts,
    )
    scored = sum(serving.evenness is not None for serving in occasions)
    return Run(found, scored, len(occasions), sum(map(len, sensors.values())))


def _place(at: datetime, person: Person) -> tuple[date, float]:
    local = at.astimezone(person.zone)
    return local.date(), local.hour * 60 + local.minute + local.second / 60


def _nights(tx: Transaction, person: Person, since: datetime, until: datetime) -> dict[date, Span]:
    """Return the part of each noted night that lies on the day of its waking."""
    nights: dict[date, Span] = {}
    for slept_at, woke_at in sleep_between(tx, person.id, since - NIGHT, until):
        if (woke_at - slept_at) / timedelta(minutes=1) < NIGHT_MIN:
            continue
        (slept_on, slept_min), (woke_on, woke_min) = _place(slept_at, person), _place(woke_at, person)
        nights[woke_on] = (slept_min if slept_on == woke_on else 0.0, min(woke_min, DAY_MIN))
    return nights
