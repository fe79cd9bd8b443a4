"""Small frames for the tests by the day: minutes count from Monday 2026-03-02, 0:00 UTC."""

from datetime import UTC

import numpy as np
import pandas as pd

from analysis.columns import LOCAL_MEALS, LOCAL_READINGS, MEALS, READINGS, SENSORS, SLEEP, SYNCS, add_local

DAY = pd.Timestamp("2026-03-02", tz="UTC")


def at(minute):
    return DAY + pd.Timedelta(minutes=float(minute))


def instant(minute):
    return at(minute).to_pydatetime()


def stamps(minutes):
    return pd.Series([at(m) for m in minutes], dtype="datetime64[us, UTC]")


def readings(minutes, mmol, flags="", zone=UTC):
    frame = pd.DataFrame({"at": stamps(minutes), "mmol": np.asarray(mmol, float), "flag": flags})
    return add_local(frame.astype(READINGS), zone).astype(LOCAL_READINGS)


def meals(*rows, zone=UTC):
    """Each row: minute, slot, carbs."""
    frame = pd.DataFrame(
        {
            "entry_id": range(1, len(rows) + 1),
            "at": stamps([r[0] for r in rows]),
            "slot": pd.Series([r[1] for r in rows], dtype="str"),
            "title": "x",
            "key": "x",
            "carbs_g": np.array([r[2] for r in rows], dtype=float),
        }
    )
    return add_local(frame.astype(MEALS), zone).astype(LOCAL_MEALS)


def sensors(*rows):
    """Each row: start minute, end minute or None."""
    ended = pd.to_datetime(pd.Series([None if e is None else at(e) for _, e in rows], dtype=object), utc=True)
    return pd.DataFrame(
        {
            "entry_id": range(1, len(rows) + 1),
            "started_at": stamps([s for s, _ in rows]),
            "ended_at": ended,
            "interval_min": 5.0,
            "memory_h": 8.0,
        }
    ).astype(SENSORS)


def syncs(*minutes):
    return pd.DataFrame({"at": stamps(minutes)}).astype(SYNCS)


def sleep(*spans):
    return pd.DataFrame(
        {"from_at": stamps([a for a, _ in spans]), "to_at": stamps([b for _, b in spans])}
    ).astype(SLEEP)
