"""How often something is told over a run where there is nothing, and found where there is something.

    python -m tests.bench.conclusions_overrun [--runs 200] [--only feelings|phases|days]

Months of tests/simulated/months.py, made otherwise than the models suppose.
"""

import argparse
from collections.abc import Callable

import numpy as np

from analysis.feelings import judge_feelings
from analysis.good_days import part_good_days
from analysis.phases import NEED_DAYS, compare_phases
from tests.simulated.months import Month, feel_anyhow, feel_low, live_month

SEED = 12
SPAN = 10


def feelings(runs: int) -> None:
    """Print how often feelings are told of: three that mean nothing, and one that follows lows."""
    print("feelings: anything false told; low found; direction right")
    cases: dict[str, dict[str, float]] = {
        "nothing, ar .5": {},
        "nothing, ar .8, levels vary by .4": {"ar": 0.8, "level_sd": 0.4},
        "nothing, felt on 2 of 3 days": {"share": 0.67},
        "low: e times per .33 mmol/L, 17 of 28 days": {"steep": 3.0, "low": 0.6},
        "low: e times per .2 mmol/L, 17 of 28 days": {"steep": 5.0, "low": 0.6},
        "the same, no other feeling noted": {"steep": 5.0, "low": 0.6, "others": 0},
        "low: e times per .33 mmol/L, 28 of 56 days": {"steep": 3.0, "low": 0.5, "days": 56},
    }
    for name, made in cases.items():
        rng = np.random.default_rng(SEED)
        false, found, right = [], [], []
        for _ in range(runs):
            of_life = {key: value for key, value in made.items() if key in ("ar", "level_sd")}
            month = live_month(rng, int(made.get("days", 28)), **of_life)  # type: ignore[arg-type]
            share = made.get("share", 0.4)
            felt = {str(k): feel_anyhow(rng, month, share) for k in range(int(made.get("others", 3)))}
            if "steep" in made:
                felt["low"] = feel_low(rng, month, made["steep"], made["low"])
            told = [one for one in judge_feelings(month.grid, felt) if one.told]
            false.append(any(one.feeling != "low" for one in told))
            low = [one for one in told if (one.feeling, one.kind) == ("low", "level")]
            found.append(bool(low))
            right += [one.estimate < 0 for one in low]
        wrong = f"{np.mean(right):.2f}" if right else "-"
        print(f"  {name:44} {np.mean(false):.3f} {np.mean(found):.2f} {wrong}", flush=True)


def phases(runs: int) -> None:
    """Print how often the last ten days are called different from the first, at any look and at the last."""
    print("phases: called at any look (days 20, 24, 28); the last: spread, mean; interval holds the change")
    cases: dict[str, dict[str, float]] = {
        "nothing, two sensors": {},
        "nothing, one sensor": {"life": 28},
        "nothing, ar .8": {"ar": 0.8, "life": 28},
        "responses .7, one sensor": {"change": 0.7, "life": 28},
        "responses .7, two sensors": {"change": 0.7},
        "responses .5, one sensor": {"change": 0.5, "life": 28},
        "responses .5, two sensors": {"change": 0.5},
    }
    for name, made in cases.items():
        rng = np.random.default_rng(SEED)
        called, last, held = [], [], []
        for _ in range(runs):
            month = live_month(rng, **made)  # type: ignore[arg-type]
            looks = [_looked(month, end) for end in (20, 24, 28)]
            called.append(any(one.differs for look in looks for one in look))
            last.append([one.differs for one in looks[-1]])
            truth = np.log(month.true.std(axis=1))
            change = truth[-SPAN:].mean() - truth[:SPAN].mean()
            held.append(looks[-1][0].low <= change <= looks[-1][0].high)
        spread, mean = np.mean(last, axis=0)
        print(f"  {name:44} {np.mean(called):.3f} {spread:.2f} {mean:.2f} {np.mean(held):.2f}", flush=True)


def _looked(month: Month, end: int):  # type: ignore[no-untyped-def]
    days = np.concatenate([np.arange(SPAN), np.arange(end - SPAN, end)])
    sensor = [month.sensor[day] for day in days]
    later = np.arange(days.size) >= SPAN
    assert SPAN >= NEED_DAYS
    return [
        compare_phases(days, month.spreads[days], sensor, later, "spread"),
        compare_phases(days, month.means[days], sensor, later, "mean"),
    ]


def days(runs: int) -> None:
    """Print how often anything is said to separate days: where nothing does, and where something does."""
    print("good days: anything false told; the true one found")
    cases: dict[str, dict[str, float]] = {
        "nothing, ar .5": {"blind": 1},
        "nothing, ar .8": {"blind": 1, "ar": 0.8},
        "late shifts raise by .3 mmol/L": {"late_shift": 0.3},
        "late shifts raise by .6 mmol/L": {"late_shift": 0.6},
        "walks .6 of the response, 28 days": {"walk": 0.6},
        "walks .6 of the response, 56 days": {"walk": 0.6, "days": 56},
    }
    for name, made in cases.items():
        rng = np.random.default_rng(SEED)
        false, found = [], []
        for _ in range(runs):
            month = live_month(rng, **{k: v for k, v in made.items() if k != "blind"})  # type: ignore[arg-type]
            things = month.things
            if "blind" in made:  # what was on days, of somebody else's month
                things = live_month(rng).things
            values = {"spread": month.spreads, "mean": month.means}
            told = part_good_days(np.arange(month.days), month.sensor, values, things).found
            true = "late shift" if "late_shift" in made else "walk" if "walk" in made else ""
            found.append(any(true in one.things for one in told))
            false.append(
                any(true not in one.things and not one.things[0].startswith("dish") for one in told)
                if true
                else bool(told)
            )
        print(f"  {name:44} {np.mean(false):.3f} {np.mean(found):.2f}", flush=True)


JUDGED: dict[str, Callable[[int], None]] = {"feelings": feelings, "phases": phases, "days": days}


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--runs", type=int, default=200)
    parser.add_argument("--only", choices=sorted(JUDGED))
    asked = parser.parse_args()
    for name, judge in JUDGED.items():
        if asked.only in (None, name):
            judge(asked.runs)


if __name__ == "__main__":
    main()
