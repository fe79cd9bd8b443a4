"""One local day as its picture takes it: everything by the minute of the person's clock."""

from collections.abc import Iterable
from datetime import datetime, timedelta

import numpy as np

from analysis.pressed import find_spans, mark_pressed
from analysis.results import DayTrace
from bot.frames.days import lines_by_day, look_at_day
from bot.frames.nights import sleep_between
from bot.frames.sensors import sync_times
from bot.frames.servings import as_shown
from bot.model.entries import Activity, Meal, Sensor
from bot.model.naming import GAP_REASONS, title
from bot.store import Person, Transaction

DAY_MIN = 1440.0
NIGHT = timedelta(hours=24)
"""A night that reaches into a day begins at most this long before it."""


def trace_day(tx: Transaction, person: Person, since: datetime, until: datetime) -> DayTrace:
    """Return one local day, [since, until), with all that was noted in it."""
    look = look_at_day(tx, person, since, until)
    day_on = since.astimezone(person.zone).date()
    empty = np.empty(0), np.empty(0)
    minutes, mmol = lines_by_day(tx, person, since, until).get(day_on, empty)
    shown = [as_shown(person, serving) for serving in look.servings]
    scores = {s.entry_id: None if s.evenness is None else s.evenness.score for s in shown}

    def minute(at: datetime) -> float:
        """Return the minute of this day's clock; what lies outside is at its edge."""
        local = at.astimezone(person.zone)
        if at <= since:
            return 0.0
        if local.date() > day_on:
            return DAY_MIN
        return local.hour * 60 + local.minute + local.second / 60

    def inside(instants: Iterable[datetime]) -> tuple[float, ...]:
        return tuple(minute(at) for at in sorted(instants) if since <= at < until)

    logged = tx.log.between(person.id, ("activity", "sensor"), since, until)
    nights = sleep_between(tx, person.id, since - NIGHT, until)
    readings = look.readings
    at_us = readings["at"].to_numpy(dtype="datetime64[us]").astype("int64")
    known = readings["mmol"].notna()
    low = readings[mark_pressed(at_us, find_spans(look.dips)) & known]
    beyond = readings[~known & (readings["flag"] != "")]
    return DayTrace(
        day_on=day_on,
        minutes=minutes,
        mmol=mmol,
        meals=tuple(
            (minute(meal.at), title(meal.entry), meal.entry.slot, scores.get(meal.id))
            for meal in look.meals
            if isinstance(meal.entry, Meal)
        ),
        activities=tuple(
            (minute(one.at), one.entry.minutes or 0.0, one.entry.what)
            for one in logged
            if isinstance(one.entry, Activity)
        ),
        sleeps=tuple((minute(start), minute(end)) for start, end in nights if end > since),
        syncs=inside(sync_times(tx, person)),
        gaps=tuple(
            (minute(gap.from_at), minute(gap.to_at), GAP_REASONS[gap.reason])
            for gap in (look.worn.gaps if look.worn else ())
        ),
        sensor_changes=tuple(minute(one.at) for one in logged if isinstance(one.entry, Sensor)),
        pressed=tuple(zip(map(minute, low["at"].dt.to_pydatetime()), low["mmol"].tolist(), strict=True)),
        limits=tuple(zip(map(minute, beyond["at"].dt.to_pydatetime()), beyond["flag"].tolist(), strict=True)),
    )
