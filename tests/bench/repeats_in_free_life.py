"""How repeatable the score is on real repeats: python -m tests.bench.repeats_in_free_life FOLDER.

FOLDER holds the open data of naef-lab/MultiSensor (Apache-2.0) [phillips2023], which are not shipped here,
reshaped to two files: `glucose.csv` with person, sensor, minute, mmol (15-minute readings, minutes of one
clock for each person and sensor) and `food.csv` with person, sensor, minute, item (equal = the same words).

What was logged at one minute is one meal. A serving counts when nothing else was logged within two hours
before and after it and its curve can be measured; a meal, when it has two servings or more. The ICC is
one-way, by the mean squares of unequal groups (Shrout & Fleiss 1979, from memory).
"""

import argparse
from pathlib import Path

import numpy as np
import pandas as pd

from analysis.curves import WINDOW_MIN, measure_curve
from analysis.errors import InsufficientData
from analysis.evenness import score_curve
from analysis.overlap import CLOSE_MIN

WHAT = ("score", "area", "rise")
LOST = ((0, 10), (10, 20), (20, 30), (30, 100))
"""Between which points lost on average the SD within a meal is told."""


def read_servings(folder: Path, before_min: float) -> pd.DataFrame:
    """Return a row for each isolated serving with a curve: person, meal, score, area, rise."""
    glucose, food = (pd.read_csv(folder / name) for name in ("glucose.csv", "food.csv"))
    readings = dict(list(glucose.sort_values("minute").groupby(["person", "sensor"])))
    rows = []
    for (person, sensor), eaten in food.sort_values("minute").groupby(["person", "sensor"]):
        worn = readings.get((person, sensor))
        if worn is None:
            continue
        at, mmol = worn["minute"].to_numpy(dtype=float), worn["mmol"].to_numpy(dtype=float)
        meals = eaten.groupby("minute")["item"].agg(lambda items: tuple(sorted(set(items))))
        bites = meals.index.to_numpy(dtype=float)
        apart = np.diff(bites, prepend=-np.inf, append=np.inf)
        isolated = (apart[:-1] >= before_min) & (apart[1:] >= CLOSE_MIN)
        for bite, items, alone in zip(bites, meals, isolated, strict=True):
            near = (at >= bite - 60) & (at <= bite + WINDOW_MIN + 45)
            if not alone:
                continue
            try:
                curve = measure_curve(at[near] - bite, mmol[near])
            except InsufficientData:
                continue
            rows.append((person, items, score_curve(curve).score, curve.area_2h, curve.rise_mmol))
    return pd.DataFrame(rows, columns=["person", "meal", *WHAT])


def find_icc(values: pd.Series, groups: pd.Series) -> float:
    """Return the one-way ICC: (MSB - MSW)/(MSB + (k0 - 1)·MSW)."""
    sizes = values.groupby(groups).size()
    means = values.groupby(groups).transform("mean")
    between = float(((means - values.mean()) ** 2).sum()) / (len(sizes) - 1)
    within = float(((values - means) ** 2).sum()) / (len(values) - len(sizes))
    k0 = (len(values) - float((sizes**2).sum()) / len(values)) / (len(sizes) - 1)
    return (between - within) / (between + (k0 - 1) * within)


def find_sd(off: pd.Series, groups: pd.Series) -> float:
    """Return the SD within groups of the distances from their means."""
    return float(np.sqrt((off**2).sum() / (len(off) - groups.nunique())))


def main() -> None:
    """Print what the docstring of `analysis.evenness` quotes."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--before", type=float, default=CLOSE_MIN, help="minutes without food before it")
    asked = parser.parse_args()
    every = read_servings(asked.folder, asked.before)
    meal = every.groupby(["person", "meal"]).ngroup()
    again = every[meal.groupby(meal).transform("size") > 1]
    groups = meal[again.index]
    print(f"{len(every)} isolated meals of {every['person'].nunique()} people: score at ", end="")
    print(", ".join(f"{q:.0%}: {every['score'].quantile(q):.0f}" for q in (0.1, 0.25, 0.5, 0.75, 0.9)))
    low, high = every["rise"].quantile([0.25, 0.75])
    print(f"rises in the middle half {low:.1f} to {high:.1f} mmol/L")
    print(f"{len(again)} servings of {groups.nunique()} meals")
    for what in WHAT:
        own = again[what] - again.groupby("person")[what].transform("mean")
        print(f"{what}: ICC {find_icc(again[what], groups):.3f}; own means out {find_icc(own, groups):.3f}")
    mean = again["score"].groupby(groups).transform("mean")
    off = again["score"] - mean
    print(
        f"SD of the score within a meal: {find_sd(off, groups):.1f}; where so many points are lost, ", end=""
    )
    some = {f"{low} to {high}": (100 - mean).between(low, high, inclusive="left") for low, high in LOST}
    print(", ".join(f"{name}: {find_sd(off[lost], groups[lost]):.1f}" for name, lost in some.items()))


if __name__ == "__main__":
    main()
