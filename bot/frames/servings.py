"""Log entries and readings to the frames that `analysis` takes, exactly as `analysis.columns` says."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np
import pandas as pd

from analysis.columns import SENSORS, SLEEP, SYNCS, add_local
from analysis.errors import InsufficientData
from analysis.nights import NightDip, find_night_dips
from analysis.offsets import Offset, find_offset
from analysis.ranking import meal_key, same_meal
from analysis.results import Serving
from analysis.rises import UnexplainedRise, find_unexplained_rises
from analysis.servings import AFTER_MIN, BEFORE_MIN, build_servings
from analysis.wear import Gap, describe_wear, find_times_without, share_covered
from bot.model.entries import Activity, Meal, Sensor, Sleep
from bot.reply.words import title
from bot.store import Logged, Person, Transaction
from bot.store.records import Source

BEFORE = timedelta(hours=2)
AFTER = timedelta(hours=6)
AROUND = timedelta(hours=4)
"""How far from a meal another one may shape its measures: as long as the late ones look (four hours)."""
DRINK_CARBS_G = 5.0
"""A drink with less carbohydrate than this is no meal to be scored: coffee, water, tea."""
ONE_OCCASION = timedelta(minutes=5)
"""Notes whose first bites lie within a sensor's interval are of one eating occasion."""
INTERVAL_MIN, SLOWEST_MIN = 5.0, 30.0
"""Between two readings of a sensor, where its readings do not show it, and the most that is believed."""
SINGLE: tuple[Source, ...] = ("typed", "meter")
SAME_PRICK = np.timedelta64(10, "m")
"""A typed reading this near to a sensor's belongs to a check of the sensor, not to the curve."""


def servings_between(
    tx: Transaction, person: Person, since: datetime, until: datetime
) -> tuple[Serving, ...]:
    """Return the meals with a first bite in [since, until), each with its curve or why it has none.

    Notes of one eating occasion are one serving, that of the first of them. Meals `AROUND` the span are
    looked at as neighbours, so that a meal has the same curve whichever span it is asked for in.
    """
    start, end = since - AROUND, until + AROUND
    meals = join_notes(tx.log.between(person.id, ("meal",), start, end))
    activities = tx.log.between(person.id, ("activity",), start - BEFORE, end + AFTER)
    readings, pricks = _part_readings(tx, person, start - BEFORE, end + AFTER)
    every = build_servings(
        meals_frame(meals),
        readings,
        activities_frame(activities),
        sensors=sensors_frame(tx, person),
        dips=_dips(tx, person, readings, start - BEFORE, end + AFTER),
    )
    servings = tuple(serving for serving in every if since <= serving.at < until)
    return servings if pricks.empty else tuple(_add_pricks(serving, pricks) for serving in servings)


def _add_pricks(serving: Serving, pricks: pd.DataFrame) -> Serving:
    """Return a serving with the typed readings that were taken around it beside a sensor's."""
    minutes = (pricks["at"] - serving.at) / pd.Timedelta(minutes=1)
    around = minutes.between(-BEFORE_MIN, AFTER_MIN)
    found = zip(minutes[around].tolist(), pricks["mmol"][around].tolist(), strict=True)
    return replace(serving, pricks=tuple(found))


def serving_of(tx: Transaction, person: Person, logged: Logged) -> tuple[Serving, tuple[Serving, ...]]:
    """Return one meal's serving, and the earlier servings of the same meal in the 60 days before it."""
    occasion = occasion_of(tx, person, logged)
    since, until = occasion.at - timedelta(days=60), occasion.at + ONE_OCCASION + timedelta(microseconds=1)
    all_servings = servings_between(tx, person, since, until)
    this = next(s for s in all_servings if s.entry_id == occasion.id)
    earlier = [s for s in all_servings if s.entry_id != this.entry_id and same_meal(s, this)]
    return this, tuple(earlier)


def occasion_of(tx: Transaction, person: Person, logged: Logged) -> Logged:
    """Return a meal with what else was noted of the same eating occasion."""
    around = 3 * ONE_OCCASION
    meals = tx.log.between(person.id, ("meal",), logged.at - around, logged.at + around)
    begun = [meal for meal in join_notes(meals) if meal.at <= logged.at]
    return begun[-1] if begun else logged


def join_notes(meals: Sequence[Logged]) -> list[Logged]:
    """Return the meals to be scored, in order of time; those of one occasion as one, under the first's id.

    They share one curve: ranked against each other it would be told twice, as two verdicts.
    """
    joined: list[Logged] = []
    for logged in sorted(filter(is_food, meals), key=lambda meal: (meal.at, meal.id)):
        first = joined[-1] if joined else None
        if first is None or logged.at - first.at > ONE_OCCASION:
            joined.append(logged)
            continue
        one, other = first.entry, logged.entry
        assert isinstance(one, Meal)
        assert isinstance(other, Meal)
        slot = other.slot if one.slot == "drink" else one.slot
        items, extras = (*one.items, *other.items), (*one.extras, *other.extras)
        joined[-1] = replace(first, entry=replace(one, slot=slot, items=items, extras=extras, called=""))
    return joined


def is_food(logged: Logged) -> bool:
    """Tell whether an entry is a meal to be scored: some food of it is known, and it is not just water."""
    meal = logged.entry
    if not isinstance(meal, Meal) or not any(item.food for item in meal.items):
        return False
    return meal.slot != "drink" or (meal.nutrients.carbs_g or 0.0) >= DRINK_CARBS_G


def meals_frame(meals: Sequence[Logged]) -> pd.DataFrame:
    """Return the MEALS frame of logged meals."""
    rows = []
    for logged in meals:
        meal = logged.entry
        assert isinstance(meal, Meal)
        key = meal_key((item.food or item.name, item.grams) for item in meal.items)
        rows.append((logged.id, logged.at, meal.slot, title(meal), key, meal.nutrients.carbs_g))
    frame = pd.DataFrame(rows, columns=["entry_id", "at", "slot", "title", "key", "carbs_g"])
    return frame.assign(at=_instants(frame["at"]), carbs_g=frame["carbs_g"].astype(float))


def activities_frame(activities: Sequence[Logged]) -> pd.DataFrame:
    """Return the ACTIVITIES frame of logged movement; an unknown length counts as 0 minutes."""
    rows = [
        (logged.at, logged.entry.minutes or 0.0, logged.entry.what)
        for logged in activities
        if isinstance(logged.entry, Activity)
    ]
    frame = pd.DataFrame(rows, columns=["at", "minutes", "what"])
    return frame.assign(at=_instants(frame["at"]), minutes=frame["minutes"].astype(float))


def readings_frame(
    tx: Transaction, person: Person, since: datetime | None, until: datetime | None
) -> pd.DataFrame:
    """Return the READINGS frame: the sensor's, and single ones where the sensor has none."""
    return _part_readings(tx, person, since, until)[0]


def _part_readings(
    tx: Transaction, person: Person, since: datetime | None, until: datetime | None
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return the readings of the curves, and the single ones that stand beside a sensor's."""
    sensor = readings_of(tx, person, since, until, "file")
    typed = readings_of(tx, person, since, until, *SINGLE)
    if sensor.empty or typed.empty:
        return (typed if sensor.empty else sensor), typed.iloc[:0]
    near = _near(typed, sensor)
    return pd.concat([sensor, typed[~near]]).sort_values("at", ignore_index=True), typed[near]


def _near(typed: pd.DataFrame, sensor: pd.DataFrame) -> "pd.Series[bool]":
    stamps, at = sensor["at"].to_numpy(), typed["at"].to_numpy()
    place = np.clip(np.searchsorted(stamps, at), 1, len(stamps)) - 1
    near = np.full(len(typed), False)
    for neighbour in (place, np.minimum(place + 1, len(stamps) - 1)):
        near |= np.abs(stamps[neighbour] - at) <= SAME_PRICK
    return pd.Series(near, index=typed.index)


def readings_of(
    tx: Transaction, person: Person, since: datetime | None, until: datetime | None, *of: Source
) -> pd.DataFrame:
    """Return the READINGS frame of some sources."""
    seconds, mmol, flags = tx.readings.arrays(person.id, since, until, sources=of)
    at = pd.to_datetime(np.asarray(seconds, dtype="int64"), unit="s", utc=True)
    return pd.DataFrame(
        {"at": at.astype("datetime64[us, UTC]"), "mmol": np.asarray(mmol, dtype=float), "flag": flags}
    ).astype({"flag": "str"})


def _instants(column: "pd.Series[datetime]") -> "pd.Series[pd.Timestamp]":
    return pd.to_datetime(column, utc=True).astype("datetime64[us, UTC]")


def sensors_frame(
    tx: Transaction, person: Person, interval_min: float = INTERVAL_MIN, worn_from: datetime | None = None
) -> pd.DataFrame:
    """Return the SENSORS frame of all sensors that were logged as put on.

    worn_from: one is taken to be on from then, where none was logged before
    """
    about = (interval_min, person.memory_min / 60)
    rows: list[tuple[int, datetime, datetime | None, float, float]] = []
    assumed = worn_from is not None
    if worn_from is not None:
        rows.append((0, worn_from, None, *about))
    for logged in tx.log.between(person.id, ("sensor",), None, None):
        if isinstance(logged.entry, Sensor) and logged.entry.what == "started":
            if assumed and logged.at <= rows[0][1]:
                rows, assumed = [], False
            rows.append((logged.id, logged.at, None, *about))
        elif rows and rows[-1][2] is None and logged.at > rows[-1][1]:
            rows[-1] = (*rows[-1][:2], logged.at, *about)
    return _frame(rows, SENSORS)


def syncs_frame(tx: Transaction, person: Person) -> pd.DataFrame:
    """Return the SYNCS frame."""
    return _frame([(at,) for at in sync_times(tx, person)], SYNCS)


def sync_times(tx: Transaction, person: Person) -> list[datetime]:
    """Return when the sensor was read out: said so, and shown by the newest reading of each file."""
    said = [logged.at for logged in tx.log.between(person.id, ("sync",), None, None)]
    files = [i.result.last_at for i in tx.readings.imports(person.id) if i.source == "file"]
    return [at for at in [*said, *files] if at is not None]


def _frame(rows: Sequence[tuple[object, ...]], columns: dict[str, str]) -> pd.DataFrame:
    frame = pd.DataFrame(rows, columns=list(columns))
    instants = {name: _instants(frame[name]) for name in columns if name.endswith("at")}
    return frame.assign(**instants).astype({n: t for n, t in columns.items() if n not in instants})


def _dips(
    tx: Transaction, person: Person, readings: pd.DataFrame, since: datetime, until: datetime
) -> tuple[NightDip, ...]:
    if readings.empty:
        return ()
    sleep = sleep_frame(tx, person, since - BEFORE, until)
    return find_night_dips(add_local(readings, person.zone), sleep=sleep)


def sleep_frame(
    tx: Transaction, person: Person, since: datetime | None, until: datetime | None
) -> pd.DataFrame:
    """Return the SLEEP frame of the nights that begin in [since, until), both ends known."""
    nights = [
        (logged.entry.from_at, logged.entry.to_at)
        for logged in tx.log.between(person.id, ("sleep",), since, until)
        if isinstance(logged.entry, Sleep) and logged.entry.from_at and logged.entry.to_at
    ]
    return _frame(nights, SLEEP)


@dataclass(frozen=True, slots=True)
class Worn:
    """What readings cover from `since` on: the share (0 to 1), what is missing and why, and night dips."""

    since: datetime
    share: float
    gaps: tuple[Gap, ...]
    dips: int


def wear_between(tx: Transaction, person: Person, since: datetime, until: datetime) -> Worn | None:
    """Return what the sensor's readings cover of [since, until); None when there are none.

    It begins with the first sensor or reading in that span. Without a logged sensor one is taken to be on
    from the first reading.
    """
    at = readings_of(tx, person, since, until, "file")["at"]
    if at.empty:
        return None
    interval = find_interval(at)
    sensors = sensors_frame(tx, person, interval, worn_from=at.iloc[0].to_pydatetime())
    since = max(since, sensors["started_at"].min().to_pydatetime())
    worn = sensors[sensors["ended_at"].isna() | (sensors["ended_at"] > since)]
    earliest = min(since, worn["started_at"].min().to_pydatetime())
    readings = readings_of(tx, person, earliest, until, "file")
    gaps = [g for w in describe_wear(readings, worn, syncs_frame(tx, person), until=until) for g in w.gaps]
    gaps += find_times_without(sensors, since, until)
    inside = [_clip(gap, since, until) for gap in gaps if gap.to_at > since]
    share = share_covered(readings["at"], since, until, interval)
    recent = readings[readings["at"] >= since]
    return Worn(since, share, tuple(inside), len(_dips(tx, person, recent, since, until)))


def find_interval(at: "pd.Series[pd.Timestamp]") -> float:
    """Return how far apart a sensor's readings are (min), judged by their usual distance."""
    apart = at.diff().dropna().dt.total_seconds() / 60
    return min(float(apart.median()), SLOWEST_MIN) if len(apart) else INTERVAL_MIN


def _clip(gap: Gap, since: datetime, until: datetime) -> Gap:
    start, end = max(gap.from_at, since), min(gap.to_at, until)
    return Gap(start, end, min(gap.minutes, (end - start) / timedelta(minutes=1)), gap.reason)


def offset_between(
    tx: Transaction, person: Person, since: datetime, until: datetime, other_source: Source
) -> Offset | None:
    """Return how far the sensor reads from another source; None with too few to compare."""
    other = readings_of(tx, person, since, until, other_source)
    if other.empty:
        return None
    try:
        return find_offset(readings_of(tx, person, since, until, "file"), other)
    except InsufficientData:
        return None


def rises_between(
    tx: Transaction, person: Person, since: datetime, until: datetime
) -> tuple[UnexplainedRise, ...]:
    """Return the rises in [since, until) that no logged meal explains."""
    readings = readings_of(tx, person, since, until, "file")
    if readings.empty:
        return ()
    meals = tx.log.between(person.id, ("meal",), since - BEFORE, until)
    dips = _dips(tx, person, readings, since, until)
    return find_unexplained_rises(readings, meals_frame(meals), dips=dips)
