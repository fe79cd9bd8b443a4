"""Bites noted late: how many are flagged, and what the score is before and after the time is put right.

`python -m tests.bench.conclusions_onset`. Meals are those of tests/simulated/days.py: humps of many shapes, a
baseline that wanders; `dawn`: it also climbs by 0.8 mmol/L an hour throughout.
"""

from dataclasses import replace

import numpy as np
import pandas as pd

from analysis.columns import ACTIVITIES
from analysis.curves import measure_curve
from analysis.evenness import lose_points
from analysis.flags import LATE_BITE
from analysis.servings import build_servings
from tests.simulated.days import DAY, Eaten, draw_shape, note, read

SEED = 20260302
BITE_MIN = 180.0


def play(
    late_min: float,
    n: int = 400,
    *,
    every: float = 5.0,
    dawn: float = 0.0,
    area: tuple[float, float] = (50, 250),
) -> dict[str, float]:
    """Meals noted `late_min` after their first bite: shares, and scores against the clean response's."""
    rng = np.random.default_rng(SEED)
    moves = pd.DataFrame(columns=list(ACTIVITIES)).astype(ACTIVITIES)
    rows = []
    for _ in range(n):
        size = float(rng.uniform(*area))
        one = Eaten(BITE_MIN, size, 50, *draw_shape(rng), logged_min=BITE_MIN + late_min)
        readings = read(rng, [one], every=every)
        since = (readings["at"] - DAY).dt.total_seconds() / 3600
        readings = readings.assign(mmol=readings["mmol"] + dawn * (since - 3))
        (serving,) = build_servings(note([one]), readings, moves)
        assert serving.curve is not None
        assert serving.evenness is not None
        flagged = LATE_BITE in "; ".join(serving.curve.flags)
        unsure = any("not clear" in flag for flag in serving.curve.flags)
        moved = serving.evenness.score
        if serving.curve.late_min is not None:
            at = BITE_MIN + late_min - 5 * round(serving.curve.late_min / 5)
            (again,) = build_servings(note([replace(one, logged_min=at)]), readings, moves)
            assert again.evenness is not None
            moved = again.evenness.score
        (right,) = build_servings(note([replace(one, logged_min=BITE_MIN)]), readings, moves)
        assert right.evenness is not None
        minutes = np.arange(-60.0, 301.0, 5.0)
        true = 100 - sum(lose_points(measure_curve(minutes, 5 + one.response(minutes + BITE_MIN))).values())
        before = serving.curve.late_min if serving.curve.late_min is not None else np.nan
        rows.append(
            (
                flagged,
                unsure,
                before,
                serving.evenness.score - true,
                moved - true,
                right.evenness.score - true,
            )
        )
    flagged_, unsure_, before_, as_noted, corrected, rightly = np.array(rows, dtype=float).T
    late = flagged_ > 0
    return {
        "flagged": late.mean(),
        "not clear": unsure_.mean(),
        "estimate (min)": float(np.nanmean(before_)) if late.any() else float("nan"),
        "its SD": float(np.nanstd(before_)) if late.any() else float("nan"),
        "score off as noted, of the flagged": float(as_noted[late].mean()) if late.any() else float("nan"),
        "after the correction": float(corrected[late].mean()) if late.any() else float("nan"),
        "rms as noted, all": float(np.sqrt((as_noted**2).mean())),
        "rms corrected, all": float(np.sqrt((corrected**2).mean())),
        "rms noted rightly, all": float(np.sqrt((rightly**2).mean())),
    }


def main() -> None:
    """Print a table."""
    cases: list[tuple[str, dict[str, float]]] = [
        (f"{late} min late{name}", play(late, **more))  # type: ignore[arg-type]
        for name, more in (
            ("", {}),
            (", every 15 min", {"every": 15.0}),
            (", dawn", {"dawn": 0.8}),
            (", area 0 to 40", {"area": (0.0, 40.0)}),
        )
        for late in (0, 15, 30)
    ]
    for name, found in cases:
        print(name)
        for what, value in found.items():
            print(f"  {what:40s} {value:8.2f}")


if __name__ == "__main__":
    main()
