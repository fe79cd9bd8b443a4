"""Days from waking, by hand."""

import pandas as pd

from analysis.columns import READINGS, SLEEP, add_local
from analysis.day import average_day
from analysis.waking import align_at_waking


def at(*stamps: str) -> "pd.Series[pd.Timestamp]":
    return pd.Series(pd.to_datetime(list(stamps), utc=True)).astype("datetime64[us, UTC]")


def test_minutes_since_the_last_night_ended() -> None:
    readings = pd.DataFrame(
        {
            "at": at(
                "2026-03-02 03:00",  # before any night that is known
                "2026-03-02 06:30",
                "2026-03-02 15:00",  # after a nap, which begins no day
                "2026-03-03 11:00",  # after a late waking
                "2026-03-04 12:00",  # more than a day after it
            ),
            "mmol": [5.0, 5.1, 5.2, 5.3, 5.4],
            "flag": "",
        }
    ).astype(READINGS)
    sleep = pd.DataFrame(
        {
            "from_at": at("2026-03-03 02:00", "2026-03-01 20:00", "2026-03-02 13:00"),
            "to_at": at("2026-03-03 10:00", "2026-03-02 04:00", "2026-03-02 14:00"),
        }
    ).astype(SLEEP)
    aligned = align_at_waking(add_local(readings, pd.Timestamp("2026-03-02", tz="Europe/Vienna").tz), sleep)
    assert aligned["minute"].tolist() == [150.0, 660.0, 60.0]
    assert aligned["mmol"].tolist() == [5.1, 5.2, 5.3]
    assert aligned["day_on"].nunique() == 2
    assert [b.minute for b in average_day(aligned).bins["all"]] == [60, 150, 660]


def test_without_a_night_there_is_no_day() -> None:
    readings = pd.DataFrame({"at": at("2026-03-02 06:30"), "mmol": 5.0, "flag": ""}).astype(READINGS)
    sleep = pd.DataFrame(columns=list(SLEEP)).astype(SLEEP)
    assert align_at_waking(add_local(readings, pd.Timestamp("2026-03-02", tz="UTC").tz), sleep).empty
