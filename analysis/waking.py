"""Days from waking: each reading by the minutes since the sleeper woke, for people on shifts.

A day begins when a night ends and lasts until the next night ends, at most 24 hours. Sleep shorter than
`NIGHT_MIN` is a nap and begins no day (common practice, no source).
"""

import numpy as np
import pandas as pd

from analysis.columns import LOCAL_READINGS, SLEEP, check_columns

NIGHT_MIN = 180.0
DAY_MIN = 1440.0


def align_at_waking(readings: pd.DataFrame, sleep: pd.DataFrame) -> pd.DataFrame:
    """Return a LOCAL_READINGS frame with `minute` since waking; `day_on` is when that was (naive UTC).

    readings: LOCAL_READINGS, sleep: SLEEP, rows of both in any order. Readings of no known day (before the
    first night that was noted, or more than 24 hours after one ended) are left out.
    """
    check_columns(readings, LOCAL_READINGS)
    check_columns(sleep, SLEEP)
    slept = (sleep["to_at"] - sleep["from_at"]).dt.total_seconds() / 60
    woke = np.sort(sleep.loc[slept >= NIGHT_MIN, "to_at"].to_numpy(dtype="datetime64[us]"))
    at = readings["at"].to_numpy(dtype="datetime64[us]")
    k = np.searchsorted(woke, at, side="right") - 1
    began = np.append(woke, np.datetime64("NaT", "us"))[k]
    minute = (at - began) / np.timedelta64(1, "m")
    frame = readings.assign(day_on=began, minute=minute)
    return pd.DataFrame(frame[(k >= 0) & (minute < DAY_MIN)])
