"""Simulated days: notes and readings of meals whose own responses are known, alone and on top of each other.

Responses simply add up. A response is a gamma-shaped hump whose steepness varies, so that none fades by
halves as `analysis.overlap` supposes; the baseline wanders; the noise of the sensor is autocorrelated.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from analysis.columns import ACTIVITIES, MEALS, READINGS
from analysis.results import Floats, Serving
from analysis.servings import build_servings
from tests.simulated.meals import hump, noise

DAY = pd.Timestamp("2026-03-02", tz="UTC")
SPAN_MIN = 600


@dataclass(frozen=True)
class Eaten:
    """One note: when it was eaten, the area of its own response over two hours, and its carbohydrate.

    logged_min: when it was noted to have been eaten; None = rightly
    """

    minute: float
    area: float
    carbs: float
    peak_min: float = 45.0
    shape: float = 2.0
    name: str = "x"
    logged_min: float | None = None

    def response(self, minutes: Floats) -> Floats:
        """Return what it adds at these minutes (mmol/L)."""
        return hump(minutes - self.minute, self.area, self.peak_min, self.shape)


def draw_shape(rng: np.random.Generator) -> tuple[float, float]:
    """Return when a response is highest (min) and how steep it is; slow ones as fat makes them."""
    return float(np.exp(rng.normal(np.log(45), 0.25))), float(rng.uniform(1.3, 3.0))


def read(
    rng: np.random.Generator, eaten: Sequence[Eaten], *, every: float = 5.0, drift: float = 0.2
) -> pd.DataFrame:
    """Return the READINGS of a span of 10 h in which these were eaten (minutes within it)."""
    minutes = np.arange(0.0, SPAN_MIN, every)
    level = 5.0 + rng.normal(0, 0.25) + drift * np.sin(minutes / 120 + rng.uniform(0, 6.3))
    ar = 0.7 ** (every / 5)
    mmol = level + sum(one.response(minutes) for one in eaten) + noise(rng, minutes.size, ar=ar)
    at = DAY + pd.to_timedelta(minutes, unit="min")
    return pd.DataFrame({"at": at, "mmol": np.maximum(mmol, 1.0), "flag": ""}).astype(READINGS)


def note(eaten: Sequence[Eaten]) -> pd.DataFrame:
    """Return the MEALS as they were noted."""
    rows = [
        (k + 1, DAY + pd.Timedelta(minutes=one.minute if one.logged_min is None else one.logged_min),
         "lunch", one.name, one.name, one.carbs)
        for k, one in enumerate(eaten)
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=list(MEALS)).astype(MEALS)


def serve(rng: np.random.Generator, eaten: Sequence[Eaten], *, every: float = 5.0) -> tuple[Serving, ...]:
    """Return the servings that are made of the notes and readings of such a span."""
    moves = pd.DataFrame(columns=list(ACTIVITIES)).astype(ACTIVITIES)
    return build_servings(note(eaten), read(rng, eaten, every=every), moves)


def true_area(eaten: Sequence[Eaten], start: float) -> float:
    """Return the area that these add over the two hours from `start`."""
    minutes = np.linspace(start, start + 120, 481)
    return float(np.trapezoid(sum(one.response(minutes) for one in eaten), minutes))
