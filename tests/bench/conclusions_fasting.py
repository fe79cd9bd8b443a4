"""How often a trend of fasting values is called where there is none, and found where there is one.

    python -m tests.bench.conclusions_fasting [--runs 200]

Runs of four weeks, two sensors, looked at every week; the mornings are made otherwise than the model supposes
(tests/simulated/mornings.py: skewed, gains instead of shifts, a tenth of the days missing).
"""

import argparse

import numpy as np

from analysis.trend import find_slope
from tests.simulated.mornings import mornings

LOOKS = (7, 14, 21, 28)
CASES: dict[str, dict[str, float | bool | int]] = {
    "no trend, ar .5": {},
    "no trend, ar .3": {"ar": 0.3},
    "no trend, ar .7": {"ar": 0.7},
    "no trend, ar .5, change unnoted": {"unlogged": True},
    "no trend, ar .5, one sensor": {"life": 28},
    ".3 a week, SD .2": {"slope": 0.3, "sd": 0.2},
    ".3 a week, SD .3": {"slope": 0.3},
    ".3 a week, SD .3, change unnoted": {"slope": 0.3, "unlogged": True},
    ".3 a week, SD .3, ar .2": {"slope": 0.3, "ar": 0.2},
}


def main() -> None:
    """Print a row for each case: the share called at any look, at the last, and held by the last interval."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--runs", type=int, default=200)
    runs = parser.parse_args().runs
    print(f"{runs} runs each: trend called at any weekly look, at the last one; interval holds truth")
    for name, made in CASES.items():
        rng = np.random.default_rng(28)
        called, last, held = [], [], []
        life = float(made.get("life", 14))
        for _ in range(runs):
            day, y, sensor = mornings(rng, **made)  # type: ignore[arg-type]
            found = []
            for look in LOOKS:
                n = int((day < look).sum())
                if n >= LOOKS[0]:
                    found.append(find_slope(day[:n], y[:n], sensor[:n], life))
            called.append(any(slope.moves for slope in found))
            last.append(found[-1].moves)
            held.append(found[-1].low <= float(made.get("slope", 0.0)) <= found[-1].high)
        print(f"{name:34} {np.mean(called):.2f} {np.mean(last):.2f} {np.mean(held):.2f}")


if __name__ == "__main__":
    main()
