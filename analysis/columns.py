"""The three frames that the analyses read: column names and dtypes, and the check that a frame has them.

MEALS       one row a meal: entry_id, at (first bite), slot, title (its foods in words), key (as
            `analysis.ranking.meal_key` gives it), carbs_g (available carbohydrate, NaN = not known)
READINGS    one row a reading: at, mmol (mmol/L), flag ("", "low limit" or "high limit")
ACTIVITIES  one row a movement: at (its start), minutes (NaN = not said), what

Rows may come in any order. A frame of rows in the order of the columns is made so:

>>> import pandas as pd
>>> at = pd.Timestamp("2026-03-02 06:10", tz="UTC")
>>> frame = pd.DataFrame([(at, 5.4, "")], columns=list(READINGS)).astype(READINGS)
>>> check_columns(frame, READINGS)
"""

from collections.abc import Mapping

import pandas as pd

INSTANT = "datetime64[us, UTC]"
MEALS = {
    "entry_id": "int64",
    "at": INSTANT,
    "slot": "str",
    "title": "str",
    "key": "str",
    "carbs_g": "float64",
}
READINGS = {"at": INSTANT, "mmol": "float64", "flag": "str"}
ACTIVITIES = {"at": INSTANT, "minutes": "float64", "what": "str"}


def check_columns(frame: pd.DataFrame, columns: Mapping[str, str]) -> None:
    """Raise ValueError when a column is missing or of another dtype, or an instant is not known.

    A frame without rows needs only the names: pandas gives it dtypes of its own.
    """
    for name, dtype in columns.items():
        if name not in frame.columns:
            raise ValueError(f"column {name!r} is missing; there are {', '.join(map(str, frame.columns))}")
        found = str(frame[name].dtype)
        if len(frame) and found != dtype:
            raise ValueError(f"column {name!r} must be {dtype}, not {found}")
        if dtype == INSTANT and frame[name].isna().any():
            raise ValueError(f"column {name!r} has rows without an instant")
