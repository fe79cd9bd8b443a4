"""What is charged to which meal when they are close together: `python -m tests.bench.conclusions_occasions`.

The responses are those of tests/simulated/days.py, made otherwise than `analysis.overlap` supposes.
"""

from collections.abc import Sequence

import numpy as np

from analysis.curves import measure_curve
from analysis.evenness import lose_points
from analysis.flags import UNFIT
from analysis.overlap import SEPARATED
from analysis.results import Floats
from tests.simulated.days import Eaten, draw_shape, read, serve, true_area

SEED = 20260302
FIRST_MIN = 180.0


def draw(rng: np.random.Generator, minute: float, area: float, carbs: float, name: str) -> Eaten:
    """Return a meal with a response of any shape."""
    return Eaten(minute, area, carbs, *draw_shape(rng), name=name)


def charge_close(n: int = 400) -> dict[str, float]:
    """A meal of 200 with one of 150 after 20 to 45 min: how far off is what the first is charged with.

    alone: the first note with the curve as recorded; occasion: both, against what both add in these two hours
    """
    rng = np.random.default_rng(SEED)
    rows = []
    for _ in range(n):
        gap = float(rng.uniform(20, 45))
        first = draw(rng, FIRST_MIN, 200, 60, "first")
        both = [first, draw(rng, FIRST_MIN + gap, 150, 45, "second")]
        readings = read(rng, both)
        at = (readings["at"] - readings["at"].iloc[0]).dt.total_seconds().to_numpy() / 60 - FIRST_MIN
        recorded = measure_curve(at, readings["mmol"].to_numpy()).net_area_2h
        found = serve(rng, both)
        assert found[0].curve is not None
        own = found[0].curve.net_area_2h - true_area(both, FIRST_MIN)
        rows.append((recorded - 200, own, len(found) == 1, found[0].carbs_g == 105))
    columns = np.array(rows, dtype=float).T
    return {
        "the first alone, charged too much": columns[0].mean(),
        "its 10th percentile": float(np.quantile(columns[0], 0.1)),
        "its 90th percentile": float(np.quantile(columns[0], 0.9)),
        "the occasion, charged too much": columns[1].mean(),
        "its root mean square error": float(np.sqrt((columns[1] ** 2).mean())),
        "joined, share": columns[2].mean(),
        "with all carbohydrate, share": columns[3].mean(),
    }


def play_nibble(n: int = 300) -> dict[str, float]:
    """A nibble (area 5 to 25, 8 g) 90 min before pasta (area 200, 80 g)."""
    rng = np.random.default_rng(SEED)
    joined = ranked_alone = 0
    off = []
    for _ in range(n):
        nibble = draw(rng, FIRST_MIN, float(rng.uniform(5, 25)), 8, "nibble")
        pasta = draw(rng, FIRST_MIN + 90, 200, 80, "pasta")
        found = serve(rng, [nibble, pasta])
        joined += len(found) == 1
        if len(found) == 1 and found[0].curve is not None:
            off.append(found[0].curve.net_area_2h - true_area([nibble, pasta], FIRST_MIN + 90))
            continue
        low = found[0].evenness
        ranked_alone += low is not None and low.high - low.low < 10
    return {
        "joined, share": joined / n,
        "scored alone with a range under 10 points, share": ranked_alone / n,
        "joined: charged too much": float(np.mean(off)),
        "joined: root mean square error": float(np.sqrt(np.mean(np.square(off)))),
    }


def part_later(n: int = 600, gaps: Sequence[float] = (61, 119)) -> dict[str, float]:
    """Two meals of area 50 to 250, 61 to 119 min apart: what becomes of them, and what separation costs."""
    rng = np.random.default_rng(SEED)
    errors: dict[str, list[tuple[float, float, float]]] = {"earlier": [], "later": []}
    joined = unfit = 0
    for _ in range(n):
        gap = float(rng.uniform(*gaps))
        both = [
            draw(rng, FIRST_MIN + start, float(rng.uniform(50, 250)), float(rng.uniform(20, 80)), name)
            for start, name in ((0.0, "earlier"), (gap, "later"))
        ]
        found = serve(rng, both)
        if len(found) == 1:
            joined += 1
            unfit += any(word in "; ".join(found[0].curve.flags) for word in UNFIT) if found[0].curve else 0
            continue
        for serving, one in zip(found, both, strict=True):
            (alone,) = serve(rng, [one])
            if serving.curve is None or alone.curve is None or serving.curve.variant != SEPARATED:
                continue
            assert serving.evenness is not None
            clean = _score_clean(one)
            errors[one.name].append(
                (
                    serving.curve.net_area_2h - true_area([one], one.minute),
                    serving.evenness.score - clean,
                    sum(lose_points(alone.curve).values()) - (100 - clean),
                )
            )
    out = {"joined, share": joined / n, "of these not ranked, share": unfit / max(joined, 1)}
    for who, rows in errors.items():
        area, score, noise = np.array(rows).T
        out[f"{who}: area, root mean square error"] = _rms(area)
        out[f"{who}: area, bias"] = float(area.mean())
        out[f"{who}: score, root mean square error"] = _rms(score)
        out[f"{who}: score, the sensor alone"] = _rms(noise)
        out[f"{who}: score, added by the separation"] = float(
            np.sqrt(max(0.0, _rms(score) ** 2 - _rms(noise) ** 2))
        )
    return out


def _rms(errors: Floats) -> float:
    return float(np.sqrt((errors**2).mean()))


def _score_clean(one: Eaten) -> float:
    minutes = np.arange(-60.0, 301.0, 5.0)
    curve = measure_curve(minutes, 5.0 + one.response(minutes + one.minute))
    return 100.0 - sum(lose_points(curve).values())


def main() -> None:
    """Print the tables."""
    for what in (charge_close, play_nibble, part_later):
        print((what.__doc__ or "").splitlines()[0])
        for name, value in what().items():
            print(f"  {name:55s} {value:8.2f}")


if __name__ == "__main__":
    main()
