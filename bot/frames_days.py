"""Log and readings as the analyses over days take them: with the person's own days, by their clock.

Days are those of the zone the person has now; a journey in between moves the days before it, too.
"""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import pandas as pd

from analysis.columns import add_local
from analysis.day import AverageDay, average_day
from analysis.eating import Eating, describe_eating
from analysis.fasting import Fasting, describe_fasting
from analysis.offsets import Offset
from analysis.summaries import Summary, summarise
from analysis.wear import Wear, describe_wear
from bot.entries import Meal
from bot.frames import (
    find_interval,
    meals_frame,
    offset_between,
    readings_frame,
    readings_of,
    sensors_frame,
    sleep_frame,
    syncs_frame,
)
from bot.store import Person, Unit

NIGHT = timedelta(hours=24)
"""The day before a span: what was eaten then settles whether its first meal was eaten fasting."""


def average_between(
    unit: Unit, person: Person, since: datetime | None, until: datetime | None, *, weekends: bool = False
) -> AverageDay:
    """Return the average day of [since, until), all in one or weekdays and weekends apart.

    Raises InsufficientData without readings.
    """
    return average_day(local_readings(unit, person, since, until), weekends=weekends)


def summary_between(unit: Unit, person: Person, since: datetime | None, until: datetime | None) -> Summary:
    """Return the summary of a sensor's readings; typed ones stand for no length of time and are left out.

    Raises InsufficientData without readings of a sensor.
    """
    readings = readings_of(unit, person, since, until, "file")
    return summarise(
        add_local(readings, person.zone), interval_min=find_interval(readings["at"]), unit=person.unit
    )


def fasting_between(unit: Unit, person: Person, since: datetime | None, until: datetime | None) -> Fasting:
    """Return the fasting values of the days in [since, until).

    Raises InsufficientData with fewer than three.
    """
    before = None if since is None else since - NIGHT
    found = describe_fasting(
        local_readings(unit, person, since, until),
        local_meals(unit, person, before, until),
        sleep=sleep_frame(unit, person, before, until),
        sensors=sensors_frame(unit, person),
    )
    if since is None:
        return found
    first_on = since.astimezone(person.zone).date()
    return replace(found, left_out={day: why for day, why in found.left_out.items() if day >= first_on})


def eating_between(unit: Unit, person: Person, since: datetime | None, until: datetime | None) -> Eating:
    """Return when a person ate in [since, until)."""
    return describe_eating(local_meals(unit, person, since, until))


def local_readings(
    unit: Unit, person: Person, since: datetime | None, until: datetime | None
) -> pd.DataFrame:
    """Return the LOCAL_READINGS frame: the sensor's, and typed ones where the sensor has none."""
    return add_local(readings_frame(unit, person, since, until), person.zone)


def local_meals(unit: Unit, person: Person, since: datetime | None, until: datetime | None) -> pd.DataFrame:
    """Return the LOCAL_MEALS frame of all that was eaten or drunk, known to the food table or not."""
    meals = [
        logged
        for logged in unit.log.between(person.id, ("meal",), since, until)
        if isinstance(logged.entry, Meal) and logged.entry.items
    ]
    return add_local(meals_frame(meals), person.zone)


@dataclass(frozen=True, slots=True)
class Sensor:
    """One sensor's wear, and how far it reads from finger-pricks (None with too few).

    logged: it was said to be put on; otherwise one is taken to be on from the first reading
    """

    wear: Wear
    offset: Offset | None
    logged: bool


def sensors_between(
    unit: Unit, person: Person, since: datetime | None, until: datetime | None, now: datetime
) -> tuple[Sensor, ...]:
    """Return the sensors worn in [since, until), each over all of its time up to `until` (or now)."""
    readings = readings_of(unit, person, None, until, "file")
    first = readings["at"].iloc[0].to_pydatetime() if len(readings) else None
    newest = readings["at"].iloc[-1].to_pydatetime() if len(readings) else now
    sensors = sensors_frame(unit, person, find_interval(readings["at"]), worn_from=first)
    end = until or max(now, newest)
    wears = describe_wear(readings, sensors, syncs_frame(unit, person), until=end)
    return tuple(
        Sensor(wear, offset_between(unit, person, wear.started_at, wear.ended_at or end), wear.entry_id != 0)
        for wear in wears
        if since is None or (wear.ended_at or end) > since
    )
