"""Dips of lying on the sensor: how many are found, and how many are seen on clean days.

`python -m tests.bench.conclusions_dips [FOLDER]`; FOLDER holds the open data of [phillips2023] as glucose.csv
and food.csv, for the rates on real days.
"""

import sys
from pathlib import Path

import numpy as np
import pandas as pd

from analysis.columns import ACTIVITIES
from analysis.nights import find_night_dips
from analysis.servings import build_servings
from tests.analysis.frames_of import instant, readings, sleep
from tests.simulated.days import Eaten, draw_shape, note
from tests.simulated.meals import noise
from tests.simulated.pressed import Day, clean, press, press_before

SEED = 20260303


def find(day: Day, *, logged: bool = False):
    slept = sleep(*day.slept) if logged else None
    return find_night_dips(
        readings(day.minutes, day.mmol), sleep=slept, bites=[instant(b) for b in day.bites]
    )


def false_a_week(n: int = 150, **of) -> tuple[float, int]:
    rng = np.random.default_rng(SEED)
    days = [clean(rng, **of) for _ in range(n)]
    found = [dip for day in days for dip in find(day)]
    return len(found) / (3 * n) * 7, sum(len(day.bites) for day in days)


def found_share(ends: float | None, minutes: tuple[float, float], n: int = 200, **of) -> float:
    rng = np.random.default_rng(SEED + 1)
    hits = 0
    for _ in range(n):
        day = clean(rng, **of)
        bite = next(b for b in day.bites if b > 1440)
        long = float(rng.uniform(*minutes))
        if ends is None:
            day = press(rng, day, 1440 + rng.uniform(60, 240), long)
        else:
            day = press_before(rng, day, bite, ends, long)
        ((start, stop),) = day.pressed
        for dip in find(day):
            a, b = ((x - instant(0)).total_seconds() / 60 for x in (dip.from_at, dip.to_at))
            if min(b, stop) - max(a, start) >= 0.7 * (stop - start) - 15:
                hits += 1
                break
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


def main() -> None:
    for every in (5.0, 15.0):
        for sd in (0.15, 0.25):
            print(every, sd, "false a week", false_a_week(every=every, sd=sd))
        for ends in (None, 60.0, 20.0, 5.0, -10.0):
            print(
                every,
                "ends",
                ends,
                [found_share(ends, m, every=every) for m in ((20, 60), (60, 120), (120, 175))],
            )
    if len(sys.argv) > 1:
        real(Path(sys.argv[1]))


def real(folder: Path) -> None:
    glucose, food = (pd.read_csv(folder / name) for name in ("glucose.csv", "food.csv"))
    total = 0.0
    for (person, sensor), rows in glucose.groupby(["person", "sensor"]):
        eaten = food[(food["person"] == person) & (food["sensor"] == sensor)]["minute"]
        frame = readings(rows["minute"], rows["mmol"])
        night = find_night_dips(frame)
        both = find_night_dips(frame, bites=[instant(m) for m in eaten])
        days = len(rows) / 96
        total += days
        clock = [
            f"{d.from_at:%H:%M}+{(d.to_at - d.from_at).seconds // 60} {d.level_mmol:.1f}>{d.lowest_mmol:.1f}"
            for d in both
            if d not in night
        ]
        print(person, sensor, f"{days:.1f} days", len(night), len(both), clock)


if __name__ == "__main__":
    main()
