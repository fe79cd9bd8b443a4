"""Responses slowed by fat: what their two hours score, and when they are said to be slow.

`python -m tests.bench.conclusions_slow`. One response of a given total is stretched in time, as fat does
(the stomach empties more slowly, the total stays); read by a noisy sensor whose level wanders.
"""

import numpy as np

from analysis.curves import measure_curve
from analysis.evenness import score_curve
from analysis.results import Floats
from analysis.slowness import find_late_share
from tests.simulated.meals import noise

SEED = 20260305


def stretched(minutes: Floats, total: float, peak_min: float, shape: float, by: float) -> Floats:
    """Return a response (mmol/L) of this total area, `by` times slower than its peak and shape say."""
    x = np.maximum(minutes, 0.0) / (peak_min * by)
    fine = np.linspace(0, 900, 3601)
    form = (fine / (peak_min * by)) ** shape * np.exp(shape * (1 - fine / (peak_min * by)))
    out: Floats = total / np.trapezoid(form, fine) * x**shape * np.exp(shape * (1 - x))
    return out


def play(
    by: float, total: tuple[float, float], n: int = 400, *, every: float = 5.0, hours: int = 4
) -> dict[str, float]:
    """Meals slowed so: how many are said to be slow, their scores against those of the quick response."""
    rng = np.random.default_rng(SEED)
    said, share, off = [], [], []
    for _ in range(n):
        size, peak, shape = rng.uniform(*total), 42 * np.exp(rng.normal(0, 0.15)), rng.uniform(1.6, 3.5)
        t = np.arange(-60.0 + rng.uniform(0, every), 60.0 * hours + 1, every)
        level = 5.2 + 0.2 * np.sin(t / 120 + rng.uniform(0, 6.3)) + noise(rng, t.size, ar=0.7 ** (every / 5))
        quick, slow = (measure_curve(t, level + stretched(t, size, peak, shape, s)) for s in (1.0, by))
        found = find_late_share(slow)
        said.append(found is not None)
        whole = slow.area_4h if hours > 3 else slow.area_3h
        share.append(1 - slow.area_2h / whole if whole else np.nan)
        off.append(score_curve(slow).score - score_curve(quick).score)
    s, e, p = np.array(said), np.array(off), np.array(share)
    return {
        "said slow": float(s.mean()),
        "late share": float(np.nanmedian(p)),
        "its 95 %": float(np.nanpercentile(p, 95)),
        "scored above the quick one": float(e.mean()),
        "where said slow": float(e[s].mean()) if s.any() else float("nan"),
    }


def main() -> None:
    """Print a table."""
    for total in ((50.0, 100.0), (100.0, 300.0)):
        for every, hours in ((5.0, 4), (15.0, 4), (5.0, 3)):
            for by in (1.0, 1.25, 1.5, 2.0, 2.5, 3.0):
                found = "  ".join(
                    f"{name} {v:5.2f}" for name, v in play(by, total, every=every, hours=hours).items()
                )
                print(
                    f"total {total[0]:.0f} to {total[1]:.0f}, every {every:2.0f}, {hours} h, "
                    f"slowed {by:4.2f}: {found}"
                )


if __name__ == "__main__":
    main()
