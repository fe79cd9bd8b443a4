"""Log and readings as the analyses over days take them: with the person's own days, by their clock.

Days are those of the zone the person has now; a journey in between moves the days before it, too.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

import numpy as np
import pandas as pd

from analysis.columns import add_local
from analysis.contrast import Contrast, contrast
from analysis.day import AverageDay, average_day, find_day_means
from analysis.eating import Eating, describe_eating
from analysis.fasting import Fasting, describe_fasting
from analysis.nights import NightDip
from analysis.offsets import Offset
from analysis.pressed import find_spans, mark_pressed
from analysis.results import Floats, Serving
from analysis.summaries import Summary, summarise
from analysis.waking import align_at_waking
from analysis.wear import Wear, describe_wear
from bot.frames.notes import meals_frame, sleep_frame
from bot.frames.readings import find_interval, readings_frame, readings_of
from bot.frames.sensors import (
    Worn,
    offset_between,
    sensors_frame,
    syncs_frame,
    used_readings,
    wear_between,
)
from bot.frames.servings import servings_between
from bot.model.entries import Meal
from bot.store import Logged, Person, Transaction

SATURDAY = 5
NIGHT = timedelta(hours=24)
"""The day before a span: what was eaten then settles whether its first meal was eaten fasting."""


def average_between(
    tx: Transaction,
    person: Person,
    since: datetime | None,
    until: datetime | None,
    *,
    weekends: bool = False,
    tags: Mapping[date, str] | None = None,
) -> AverageDay:
    """Return the average day of [since, until), all in one or weekdays and weekends apart, or by tags.

    Raises InsufficientData without readings.
    """
    return average_day(local_readings(tx, person, since, until), weekends=weekends, tags=tags)


def from_waking(
    tx: Transaction, person: Person, since: datetime, until: datetime
) -> tuple[AverageDay, list[tuple[Floats, Floats]]]:
    """Return the average day from waking, and each day's line: minutes since waking and mmol/L.

    Raises InsufficientData without a night, noted with both its ends, that readings follow.
    """
    readings = local_readings(tx, person, since, until)
    aligned = align_at_waking(readings, sleep_frame(tx, person, since - NIGHT, until))
    return average_day(aligned), [_line_of(pd.DataFrame(day)) for _, day in aligned.groupby("day_on")]


def shift_days(tx: Transaction, person: Person, since: datetime, until: datetime) -> dict[date, str]:
    """Return the shift of each local day with readings in a span; days before the first one are left out."""
    begun = tx.shifts.begun(person.id)
    if not begun:
        return {}
    found = {}
    for day in lines_by_day(tx, person, since, until):
        held = [switch.name for switch in begun if switch.from_on <= day]
        if held:
            found[day] = held[-1]
    return found


def contrast_weekends(
    tx: Transaction, person: Person, since: datetime | None, until: datetime | None
) -> Contrast:
    """Return the means of the weekdays against those of the weekend days, of days covered for the most part.

    Raises InsufficientData with fewer than two days of a kind.
    """
    readings = local_readings(tx, person, since, until)
    means = find_day_means(readings, find_interval(readings["at"]))
    weekdays = [mean for day, mean in means.items() if day.weekday() < SATURDAY]
    return contrast(weekdays, [mean for day, mean in means.items() if day.weekday() >= SATURDAY])


def summary_between(
    tx: Transaction, person: Person, since: datetime | None, until: datetime | None
) -> Summary:
    """Return the summary of a sensor's readings; typed ones stand for no length of time and are left out.

    Raises InsufficientData without readings of a sensor.
    """
    readings, dips = used_readings(tx, person, since, until, "file")
    found = summarise(
        add_local(readings, person.zone), interval_min=find_interval(readings["at"]), unit=person.unit
    )
    return replace(found, dips=len(dips))


def fasting_between(
    tx: Transaction, person: Person, since: datetime | None, until: datetime | None
) -> Fasting:
    """Return the fasting values of the days in [since, until).

    Raises InsufficientData with fewer than three.
    """
    before = None if since is None else since - NIGHT
    readings, dips = used_readings(tx, person, since, until)
    found = describe_fasting(
        add_local(readings.dropna(subset="mmol"), person.zone),
        local_meals(tx, person, before, until),
        sleep=sleep_frame(tx, person, before, until),
        sensors=sensors_frame(tx, person),
        life_days=person.sensor_days,
        dips=dips,
    )
    if since is None:
        return found
    first_on = since.astimezone(person.zone).date()
    return replace(found, left_out={day: why for day, why in found.left_out.items() if day >= first_on})


def eating_between(tx: Transaction, person: Person, since: datetime | None, until: datetime | None) -> Eating:
    """Return when a person ate in [since, until)."""
    return describe_eating(local_meals(tx, person, since, until))


def local_readings(
    tx: Transaction, person: Person, since: datetime | None, until: datetime | None
) -> pd.DataFrame:
    """Return the LOCAL_READINGS frame: values of the sensor, and typed ones where it has none.

    Those that somebody lay on the sensor for, it seems, are left out.
    """
    readings, _ = used_readings(tx, person, since, until)
    return add_local(readings.dropna(subset="mmol"), person.zone)


def local_meals(
    tx: Transaction, person: Person, since: datetime | None, until: datetime | None
) -> pd.DataFrame:
    """Return the LOCAL_MEALS frame of all that was eaten or drunk, known to the food table or not."""
    meals = [
        logged
        for logged in tx.log.between(person.id, ("meal",), since, until)
        if isinstance(logged.entry, Meal) and logged.entry.items
    ]
    return add_local(meals_frame(meals), person.zone)


def lines_by_day(
    tx: Transaction, person: Person, since: datetime, until: datetime
) -> dict[date, tuple[Floats, Floats]]:
    """Return each local day's readings: minutes of the day and mmol/L, both shape (n,), sorted.

    Readings of one clock time, as in the hour that comes twice in autumn, are averaged.
    """
    readings = local_readings(tx, person, since, until).dropna(subset="mmol")
    means = readings.groupby(["day_on", "minute"], as_index=False)["mmol"].mean()
    return {
        of_day["day_on"].iloc[0].date(): _line_of(pd.DataFrame(of_day))
        for _, of_day in means.groupby("day_on")
    }


def _line_of(day: pd.DataFrame) -> tuple[Floats, Floats]:
    return day["minute"].to_numpy(dtype=np.float64), day["mmol"].to_numpy(dtype=np.float64)


def days_read(tx: Transaction, person: Person, since: datetime, until: datetime) -> tuple[date, date]:
    """Return the first and the last local day with readings; of a span without any, its own."""
    at = readings_frame(tx, person, since, until)["at"]
    ends = (at.iloc[0].to_pydatetime(), at.iloc[-1].to_pydatetime()) if len(at) else (since, until)
    first, last = (end.astimezone(person.zone).date() for end in ends)
    return first, last


@dataclass(frozen=True, slots=True)
class OneDay:
    """One local day, or what has passed of it.

    readings: the READINGS frame; dips: what of it lying on the sensor may explain
    meals: all that was eaten or drunk; servings: those of them to be scored
    worn: what the sensor's readings cover, None without any
    """

    since: datetime
    readings: pd.DataFrame
    meals: tuple[Logged, ...]
    servings: tuple[Serving, ...]
    worn: Worn | None
    dips: tuple[NightDip, ...] = ()

    @property
    def extremes(self) -> tuple[tuple[datetime, float], tuple[datetime, float]] | None:
        """When the lowest and the highest reading were, those of dips aside, and their values (mmol/L)."""
        at_us = self.readings["at"].to_numpy(dtype="datetime64[us]").astype("int64")
        known = self.readings[~mark_pressed(at_us, find_spans(self.dips))].dropna(subset="mmol")
        if known.empty:
            return None
        mmol, at = known["mmol"].tolist(), known["at"].dt.to_pydatetime().tolist()
        low, high = (mmol.index(value) for value in (min(mmol), max(mmol)))
        return (at[low], mmol[low]), (at[high], mmol[high])


def look_at_day(tx: Transaction, person: Person, since: datetime, until: datetime) -> OneDay:
    """Return what is known of one local day, [since, until)."""
    return OneDay(
        since=since,
        readings=readings_frame(tx, person, since, until),
        meals=tuple(tx.log.between(person.id, ("meal",), since, until)),
        servings=servings_between(tx, person, since, until),
        worn=wear_between(tx, person, since, until),
        dips=used_readings(tx, person, since, until)[1],
    )


@dataclass(frozen=True, slots=True)
class SensorWear:
    """One sensor's wear, and how far it reads from finger-pricks (None with too few).

    logged: it was said to be put on; otherwise one is taken to be on from the first reading
    """

    wear: Wear
    offset: Offset | None
    logged: bool


def sensors_between(
    tx: Transaction, person: Person, since: datetime | None, until: datetime
) -> tuple[SensorWear, ...]:
    """Return the sensors worn in [since, until), each over all of its time up to `until`, which is not ahead.

    The last one, if nobody said it came off, is taken to be on while one lasts, and longer where its readings
    reach further; if nobody said it was put on either, up to its newest reading, unless more may be in its
    memory.
    """
    readings = readings_of(tx, person, None, until, "file")
    first = readings["at"].iloc[0].to_pydatetime() if len(readings) else None
    newest = readings["at"].iloc[-1].to_pydatetime() if len(readings) else until
    sensors = sensors_frame(tx, person, find_interval(readings["at"]), worn_from=first)
    if len(sensors) and pd.isna(sensors["ended_at"].iloc[-1]):
        last = sensors.iloc[-1]
        over_at = _find_end(last["started_at"], last["entry_id"] != 0, newest, until, person)
        sensors.loc[sensors.index[-1], "ended_at"] = over_at if over_at < until else pd.NaT
    wears = describe_wear(readings, sensors, syncs_frame(tx, person), until=until)
    return tuple(
        SensorWear(
            wear,
            offset_between(tx, person, wear.started_at, wear.ended_at or until, "meter"),
            wear.entry_id != 0,
        )
        for wear in wears
        if since is None or (wear.ended_at or until) > since
    )


def _find_end(
    started_at: datetime, logged: bool, newest: datetime, end: datetime, person: Person
) -> datetime:
    """Return when a sensor of which nobody said so came off, at the latest `end`."""
    if logged:
        return min(end, max(started_at + timedelta(days=person.sensor_days), newest))
    return end if end - newest <= timedelta(minutes=person.memory_min) else newest
