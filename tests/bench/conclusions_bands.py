"""How often the band beside a score holds the meal's true mean: python -m tests.bench.conclusions_bands.

For each number of servings the share of bands that hold it, judged from the last serving, and their width in
points; meals of mean areas from 20 to 210, curves and noise as tests/simulated/meals.py makes them.
"""

import numpy as np

from analysis.evenness import find_band, find_spread, lose_points
from tests.simulated.meals import Kind, curve_of, eat

AREAS = (20.0, 40.0, 60.0, 90.0, 120.0, 160.0, 210.0)
SERVINGS, PLAYED = (1, 2, 3, 5, 8), 1200


def lose(rng: np.random.Generator, area: float, cv: float) -> float:
    """Return the points that one serving loses."""
    return sum(lose_points(curve_of(eat(rng, Kind(area, 0), cv))).values())


def main() -> None:
    """Print a row for each CV and number of servings."""
    rng = np.random.default_rng(5)
    for cv in (0.25, 0.4):
        scores = {area: 100.0 - np.array([lose(rng, area, cv) for _ in range(PLAYED)]) for area in AREAS}
        for n in SERVINGS:
            held, width = [], []
            for played in scores.values():
                for row in played[: PLAYED // n * n].reshape(-1, n):
                    low, high = find_band(float(row[-1]), find_spread(row.tolist()))
                    held.append(low <= played.mean() <= high)
                    width.append(high - low)
            print(f"CV {100 * cv:.0f} %, {n} servings: {np.mean(held):.3f}, {np.mean(width):.1f} points wide")


if __name__ == "__main__":
    main()
