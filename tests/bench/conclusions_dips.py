"""Dips of lying on the sensor: how many are found, and how many are seen on clean days.

`python -m tests.bench.conclusions_dips [FOLDER]`; FOLDER holds the open data of [phillips2023] as glucose.csv
and food.csv, for the rates on real days.
"""

import sys
from datetime import timedelta
from pathlib import Path

import numpy as np
import pandas as pd

from analysis.columns import ACTIVITIES
from analysis.nights import NightDip, find_night_dips
from analysis.servings import build_servings
from tests.analysis.frames_of import instant, readings
from tests.simulated.days import Eaten, draw_shape, note
from tests.simulated.meals import noise
from tests.simulated.pressed import Day, clean, press, press_before

SEED = 20260303


def find(day: Day) -> tuple[NightDip, ...]:
    """Return the dips that are found in simulated days."""
    return find_night_dips(readings(day.minutes, day.mmol), bites=[instant(b) for b in day.bites])


def false_a_week(every: float, sd: float, n: int = 150) -> tuple[float, float]:
    """Clean days: dips found a week, and for each thing eaten; `sd` of the sensor's noise (mmol/L)."""
    rng = np.random.default_rng(SEED)
    days = [clean(rng, every=every, sd=sd) for _ in range(n)]
    found = sum(len(find(day)) for day in days)
    return found / (3 * n) * 7, found / sum(len(day.bites) for day in days)


def found_share(ends: float | None, minutes: tuple[float, float], every: float, n: int = 100) -> float:
    """Dips that last so long, and end so many min before a bite (None: in the night): the share found."""
    rng = np.random.default_rng(SEED + 1)
    hits = 0
    for _ in range(n):
        day = clean(rng, every=every)
        bite = next(b for b in day.bites if b > 1440)
        long = float(round(rng.uniform(*minutes)))
        if ends is None:
            day = press(rng, day, 1440 + float(rng.integers(60, 240)), long)
        else:
            day = press_before(rng, day, bite, ends, long)
        ((start, stop),) = day.pressed
        spans = [[(at - instant(0)) / timedelta(minutes=1) for at in (d.from_at, d.to_at)] for d in find(day)]
        hits += any(min(b, stop) - max(a, start) >= 0.7 * (stop - start) - 15 for a, b in spans)
    return hits / n


def score_off(
    ends: float, minutes: tuple[float, float], n: int = 150, *, every: float = 5.0, known: bool = True
) -> dict[str, float]:
    """Breakfasts with a dip that ends `ends` min before: how far their scores are from the clean ones'."""
    rng = np.random.default_rng(SEED + 2)
    moves = pd.DataFrame(columns=list(ACTIVITIES)).astype(ACTIVITIES)
    off, unscored = [], 0
    for _ in range(n):
        one = Eaten(700.0, float(rng.uniform(50, 250)), 50, *draw_shape(rng))
        at = np.arange(0.0, 1100.0, every)
        level = rng.uniform(4.6, 5.6) + 0.2 * np.sin(at / 150 + rng.uniform(0, 6.3))
        plain = level + one.response(at) + noise(rng, at.size, ar=0.7 ** (every / 5))
        day = Day(at, plain, (700.0,), ())
        pressed = press_before(rng, day, 700.0, ends, float(rng.uniform(*minutes)))
        scores = []
        for mmol in (plain, pressed.mmol):
            frame = readings(at, mmol)
            dips = find_night_dips(frame, bites=[instant(700)]) if known else ()
            (serving,) = build_servings(note([one]), frame, moves, dips=dips)
            scores.append(None if serving.evenness is None else serving.evenness.score)
        if scores[0] is None or scores[1] is None:
            unscored += 1
        else:
            off.append(scores[1] - scores[0])
    return {
        "mean": float(np.mean(off)),
        "rms": float(np.sqrt(np.mean(np.square(off)))),
        "median |off|": float(np.median(np.abs(off))),
        "over 5": float(np.mean(np.abs(off) > 5)),
        "unscored": unscored / n,
    }


def real(folder: Path) -> None:
    """Print how many there are on the real days, at night and around bites by day."""
    glucose, food = (pd.read_csv(folder / name) for name in ("glucose.csv", "food.csv"))
    days, night, around, bites = 0.0, 0, 0, 0
    for (person, sensor), rows in glucose.groupby(["person", "sensor"]):
        eaten = food[(food["person"] == person) & (food["sensor"] == sensor)]["minute"]
        frame = readings(rows["minute"], rows["mmol"])
        at_night = len(find_night_dips(frame))
        days += len(rows) / 96
        night += at_night
        around += len(find_night_dips(frame, bites=[instant(m) for m in eaten])) - at_night
        bites += len(eaten)
    print(f"real: {days:.0f} days, {bites} bites: {night} dips at night, {around} more around bites")


def main() -> None:
    """Print a table."""
    for every in (5.0, 15.0):
        for sd in (0.15, 0.25):
            week, bite = false_a_week(every, sd)
            print(f"every {every:2.0f} min, noise {sd}: false {week:.2f} a week, {bite:.4f} for each bite")
        for ends in (None, 45.0, 10.0, -10.0):
            shares = [found_share(ends, m, every) for m in ((20, 60), (60, 120), (120, 175))]
            where = "at night" if ends is None else f"ends {ends:3.0f} min before a bite"
            print(f"every {every:2.0f} min, {where}: found " + " ".join(f"{s:.2f}" for s in shares))
        for ends in (20.0, 5.0, 0.0, -10.0):
            for known in (False, True):
                off = score_off(ends, (25, 170), every=every, known=known)
                said = "  ".join(f"{name} {value:6.2f}" for name, value in off.items())
                how = "left out" if known else "as read"
                print(f"every {every:2.0f} min, ends {ends:3.0f} before, {how}: {said}")
    if len(sys.argv) > 1:
        real(Path(sys.argv[1]))


if __name__ == "__main__":
    main()
