"""Where somebody is with their sensors: before the first, wearing one, between two, behind a run.

Pure rules of what was said of sensors, when one was last read, and now.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

Stage = Literal["before", "worn", "last day", "silent", "between", "over", "after"]
USUAL_SENSORS = 2
"""So many sensors make a run."""
BETWEEN_SENSORS = timedelta(days=7)
"""A run goes on where the next sensor is put on so soon after the last one's days."""
SENSOR_SILENT = timedelta(days=3)
"""Nothing synced for this long: the sensor is taken to be off, and reminders stop."""
LAST_DAY = timedelta(days=1)
STILL_ON = timedelta(hours=1)
"""A sensor with readings for so long after its end is on; a clock that is off explains less."""


@dataclass(frozen=True, slots=True)
class Worn:
    """A sensor that was put on; ended_at: when it was said to come off, None where that was not said."""

    started_at: datetime
    ended_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """Where somebody is.

    stage: "before" the first sensor; "worn", and the "last day" of one; "silent": one should be on and is not
    read; "between" two of a run; "over": a whole run has just ended; "after": no sensor for longer
    runs: the starts of each run's sensors, oldest run first; none where no sensor was ever noted
    ends_at: when the sensor that is on ends, or when the last one ended; None where nobody can tell
    """

    stage: Stage
    runs: tuple[tuple[datetime, ...], ...] = ()
    ends_at: datetime | None = None

    @property
    def on(self) -> bool:
        """Whether a sensor is on that can be asked to be read."""
        return self.stage in ("worn", "last day")

    @property
    def sensors(self) -> int:
        """How many sensors the present or last run has so far."""
        return len(self.runs[-1]) if self.runs else 0


def find_stage(
    sensors: Sequence[Worn],
    last_sync_at: datetime | None,
    newest_at: datetime | None,
    now: datetime,
    sensor_days: int,
) -> Standing:
    """Return where somebody is.

    sensors: in the order of time; sensor_days: how long one lasts
    last_sync_at: when one was last read out, said or shown; newest_at: its newest reading
    A sensor is on until it is said to be off, its days are over, or nothing was read for three days. One
    whose readings go on beyond that is on all the same; being read out then only empties it.
    """
    if not sensors:
        if last_sync_at is None:
            return Standing("before")
        return Standing("worn" if now - last_sync_at < SENSOR_SILENT else "after")
    runs, last = runs_of([one.started_at for one in sensors], sensor_days), sensors[-1]
    ends_at = last.ended_at or last.started_at + timedelta(days=sensor_days)
    if newest_at is not None and newest_at > ends_at + STILL_ON:
        seen = now - newest_at < SENSOR_SILENT
        return Standing("worn", runs) if seen else _without(runs, newest_at, now)
    if now >= ends_at:
        return _without(runs, ends_at, now)
    if now - max(last.started_at, last_sync_at or last.started_at) >= SENSOR_SILENT:
        return Standing("silent", runs, ends_at)
    return Standing("last day" if ends_at - now <= LAST_DAY else "worn", runs, ends_at)


def _without(runs: tuple[tuple[datetime, ...], ...], ended_at: datetime, now: datetime) -> Standing:
    """Return where somebody is without a sensor, since the last one ended."""
    if now - ended_at >= BETWEEN_SENSORS:
        return Standing("after", runs, ended_at)
    return Standing("over" if len(runs[-1]) >= USUAL_SENSORS else "between", runs, ended_at)


def runs_of(starts: Sequence[datetime], sensor_days: int) -> tuple[tuple[datetime, ...], ...]:
    """Return the starts of sensors run by run: another one where a sensor comes too late after the last."""
    lasts = timedelta(days=sensor_days) + BETWEEN_SENSORS
    runs: list[list[datetime]] = []
    for start in starts:
        if runs and start - runs[-1][-1] <= lasts:
            runs[-1].append(start)
        else:
            runs.append([start])
    return tuple(tuple(run) for run in runs)
