"""The check of the frames."""

import pandas as pd
import pytest

from analysis.columns import (
    ACTIVITIES,
    LOCAL_MEALS,
    LOCAL_READINGS,
    MEALS,
    READINGS,
    SENSORS,
    SLEEP,
    SYNCS,
    check_columns,
)


@pytest.mark.parametrize(
    "columns", [MEALS, READINGS, ACTIVITIES, SENSORS, SLEEP, SYNCS, LOCAL_MEALS, LOCAL_READINGS]
)
def test_an_empty_frame_passes(columns):
    check_columns(pd.DataFrame(columns=list(columns)).astype(columns), columns)


def test_what_is_wrong_is_said():
    at = pd.Series([pd.Timestamp("2026-03-02 06:10", tz="UTC")]).astype("datetime64[us, UTC]")
    frame = pd.DataFrame({"at": at, "mmol": [5.4], "flag": [""]})
    check_columns(frame, READINGS)
    with pytest.raises(ValueError, match="'flag' is missing; there are at, mmol"):
        check_columns(frame.drop(columns="flag"), READINGS)
    with pytest.raises(ValueError, match="'mmol' must be float64, not int64"):
        check_columns(frame.assign(mmol=5), READINGS)
    with pytest.raises(ValueError, match=r"'at' must be datetime64\[us, UTC\]"):
        check_columns(frame.assign(at=at.dt.tz_localize(None)), READINGS)
    with pytest.raises(ValueError, match="'at' has rows without an instant"):
        check_columns(frame.assign(at=at.where(at.isna())), READINGS)


def test_only_the_end_of_a_sensor_may_be_open():
    started = pd.Series([pd.Timestamp("2026-03-02 06:10", tz="UTC")]).astype("datetime64[us, UTC]")
    frame = pd.DataFrame(
        {
            "entry_id": 1,
            "started_at": started,
            "ended_at": started.where(started.isna()),
            "interval_min": 5.0,
            "memory_h": 8.0,
        }
    )
    check_columns(frame, SENSORS)
    with pytest.raises(ValueError, match="'started_at' has rows without an instant"):
        check_columns(frame.assign(started_at=frame["ended_at"]), SENSORS)
