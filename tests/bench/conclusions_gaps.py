"""Gaps within the two hours: how far the score is off for the line over them, and what is said of it.

`python -m tests.bench.conclusions_gaps`. Meals are those of tests/simulated/days.py; of each curve a stretch
of 25 to 45 min is taken out, and its score compared with that of the whole curve.
"""

import numpy as np

from analysis.bridging import find_gap_spread
from analysis.curves import measure_curve
from analysis.evenness import score_curve
from tests.simulated.days import Eaten, draw_shape
from tests.simulated.meals import noise

SEED = 20260304


def play(every: float, where: tuple[float, float], n: int = 400) -> dict[str, float]:
    """Gaps that begin at a minute within `where`: the error of the score, what is said of it, coverage."""
    rng = np.random.default_rng(SEED)
    off, said = [], []
    while len(off) < n:
        one = Eaten(0.0, float(rng.uniform(40, 250)), 50, *draw_shape(rng))
        t = np.arange(-60.0 + rng.uniform(0, every), 241, every)
        v = 5.2 + one.response(t) + noise(rng, t.size, ar=0.7 ** (every / 5))
        start, long = rng.uniform(*where), rng.uniform(25, 45)
        kept = (t <= start) | (t >= start + long)
        gaps = np.diff(t[kept])
        if not 20 < gaps.max() <= 45:
            continue
        whole, gapped = measure_curve(t, v), measure_curve(t[kept], v[kept])
        off.append(score_curve(gapped).score - score_curve(whole).score)
        said.append(find_gap_spread(t[kept], v[kept], gapped.baseline_mmol))
    e, s = np.array(off), np.array(said)
    return {
        "mean off": float(e.mean()),
        "rms off": float(np.sqrt((e**2).mean())),
        "rms said": float(np.sqrt((s**2).mean())),
        "within 1.645 of it": float((np.abs(e) <= 1.645 * s).mean()),
        "correlation of |off| and said": float(np.corrcoef(np.abs(e), s)[0, 1]),
    }


def main() -> None:
    """Print a table."""
    for every in (5.0, 15.0):
        for where in ((-5.0, 10.0), (10.0, 45.0), (45.0, 90.0)):
            found = "  ".join(f"{name} {value:5.2f}" for name, value in play(every, where).items())
            print(f"every {every:2.0f} min, gap from {where[0]:3.0f} to {where[1]:3.0f}: {found}")


if __name__ == "__main__":
    main()
