"""One of each kind of picture, for the bench; it imports what a real process does and no more."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.figure import Figure

from analysis.curves import measure_curve
from analysis.evenness import score_curve
from analysis.results import DayTrace, Serving

if TYPE_CHECKING:
    import pandas as pd

MINUTES = np.arange(-30.0, 151.0, 5)
BITE = datetime(2026, 3, 2, 6, 10, tzinfo=UTC)
CLOCK = np.arange(0.0, 1440, 5)


def make(rise: float, key: str = "k") -> Serving:
    share = np.clip(MINUTES, 0, None) / 40
    mmol = 5.1 + rise * share**2 * np.exp(2 * (1 - share))
    curve = measure_curve(MINUTES, mmol)
    title = "two slices of rye toast with butter and a boiled egg"
    moves = ((55.0, 10.0, "walk"),)
    return Serving(
        1,
        BITE,
        "breakfast",
        title,
        key,
        62.0,
        MINUTES,
        mmol,
        curve,
        score_curve(curve),
        activities=moves,
    )


def make_day(seed: float) -> np.ndarray:
    rises = [1.5 + seed % 3 + k for k in range(3)]
    shares = [np.clip(CLOCK - start, 0, None) / 40 for start in (430 + 9 * seed, 760, 1120 - 9 * seed)]
    return 5.0 + sum(r * s**2 * np.exp(2 * (1 - s)) for r, s in zip(rises, shares, strict=True))


def draw_curve(i: float = 3.4) -> Figure:
    from analysis.plots import curve

    return curve.draw_curve(make(i), [make(2.6), make(3.9)], "mmol/L", UTC)


def draw_week(i: float = 3.4) -> Figure:
    from analysis.plots import week
    from analysis.ranking import rank_meals

    return week.draw_week(rank_meals([make(0.4 * k + i / 9, f"k{k % 8}") for k in range(16)]), "mmol/L", UTC)


def draw_day(i: float = 3.4) -> Figure:
    from analysis.plots import day

    meals = tuple((300.0 + 150 * k, "lentil soup with bread", "lunch", 70.0) for k in range(7))
    moves, sleeps = ((500.0, 30.0, "walk"), (900.0, 45.0, "bike ride")), ((0.0, 290.0), (1380.0, 1440.0))
    trace = DayTrace(date(2026, 3, 2), CLOCK, make_day(i), meals, moves, sleeps, (300.0, 720.0, 1100.0))
    return day.draw_day(trace, "mmol/L", UTC)


def _days(i: float) -> tuple["pd.DataFrame", list[tuple[np.ndarray, np.ndarray]]]:
    import pandas as pd

    from analysis.columns import READINGS, add_local

    days = [(CLOCK, make_day(i + k)) for k in range(14)]
    at = [BITE.replace(hour=0, minute=0) + timedelta(days=k) for k in range(14)]
    stamps = pd.to_datetime(
        np.concatenate(
            [np.datetime64(d.replace(tzinfo=None), "us") + CLOCK.astype("timedelta64[m]") for d in at]
        ),
        utc=True,
    )
    frame = pd.DataFrame({"at": stamps, "mmol": np.concatenate([v for _, v in days]), "flag": ""})
    return add_local(frame.astype(READINGS), UTC), days


def draw_average(i: float = 3.4) -> Figure:
    from analysis.day import average_day
    from analysis.plots import average

    frame, days = _days(i)
    return average.draw_average(average_day(frame), days, "mmol/L", "Average day")


def draw_two(i: float = 3.4) -> Figure:
    from analysis.day import average_day
    from analysis.plots import two

    frame, _ = _days(i)
    day = average_day(frame, weekends=True)
    return two.draw_two(day, "mmol/L", "Week and weekend, 2 to 15 March", ("weekday", "weekend"))


def draw_run(i: float = 3.4) -> Figure:
    from analysis.plots import run
    from analysis.run import RunDay

    meals = ((430.0, True), (760.0 + i, True), (1120.0, False))
    read = ((0.0, 700.0), (900.0, 1440.0))
    days = [
        RunDay(
            date(2026, 3, 2) + timedelta(days=k),
            read[k % 2 :],
            0.9,
            meals,
            (540.0,) * (k == 7),
            (0.0, 360.0),
            k % 2 > 0,
        )
        for k in range(28)
    ]
    return run.draw_run(days)


def draw_eating(i: float = 3.4) -> Figure:
    from analysis.eating import Eating, EatingDay
    from analysis.plots import eating

    bites = (430.0, 760.0 + i, 1120.0)
    days = tuple(
        EatingDay(date(2026, 3, 2) + timedelta(days=k), 3, BITE, BITE, 430.0, 1120.0, 11.5, 13.0, bites)
        for k in range(28)
    )
    return eating.draw_eating(Eating(days, 3, 430.0, 1120.0, 11.5, 13.0, 4.2))


def draw_servings(i: float = 3.4) -> Figure:
    from analysis.plots import servings
    from analysis.portions import Portion

    portions = [Portion(make(0.3 * k + i / 2), 40.0 + 5 * k) for k in range(12)]
    return servings.draw_servings(portions, "oats", "porridge", "mmol/L", UTC)


def draw_compare(i: float = 3.4) -> Figure:
    from analysis.arms import compare_arms
    from analysis.plots import compare, difference

    a, b = [make(i + k / 9) for k in range(5)], [make(1.5 + k / 9) for k in range(4)]
    judged = difference.Judged(compare_arms(a, b, [range(5), range(4)]), "No verdict yet.", False)
    names = ("porridge with a walk", "porridge without a walk")
    return compare.draw_compare(a, b, names, "mmol/L", UTC, judged)


def draw_fasting(i: float = 3.4) -> Figure:
    from analysis.fasting import Fasting, FastingDay
    from analysis.plots import fasting
    from analysis.trend import Level, Slope

    values = tuple(
        FastingDay(date(2026, 3, 1) + timedelta(days=k), 5 + (k * i) % 1, 6, BITE, "first meal", k // 14)
        for k in range(28)
    )
    change = (values[14].day_on,)
    levels = tuple(Level(k, 14, 5.4, 5.2, 5.6) for k in (0, 1))
    found = Fasting(values, 5.4, 0.3, Slope(0.02, -0.05, 0.1, levels, None, False), {}, change)
    return fasting.draw_fasting(found, "mmol/L")


def draw_variants(i: float = 3.4) -> Figure:
    from analysis.foods.rows import Eaten, Row
    from analysis.plots import variants
    from analysis.variants.effects import judge_variants

    oats, pear = Eaten("oats", 60.0, 36.0), Eaten("pear", 150.0, 18.0)
    rows = [
        Row(90.0 + 7 * (k % 5) + i - 40 * (k % 3 == 0), (oats, pear)[: 2 - (k % 3 == 0)]) for k in range(24)
    ]
    (judged,) = judge_variants(rows)
    words = ("Breakfast: oats and pear", "The rise is smaller with “- pear”.", ["as usual", "- pear"])
    return variants.draw_variants(judged, np.array([r.area for r in rows]), [[70.0], [80.0]], words, "mmol/L")


def draw_trial(i: float = 3.4) -> Figure:
    from analysis.plots import trial
    from analysis.trials.protocol import Arm, Portion, Protocol
    from analysis.trials.verdict import judge

    oats = (Portion("oats", 60.0),)
    arms = Arm("porridge", oats), Arm("porridge and a walk", oats, ("walk after",))
    protocol = Protocol("", arms, "breakfast", "", 14, 1, 0.3)
    areas = [(110.0 + 25 * (k % 4), 100.0 + i + 25 * (k % 3)) for k in range(14)]
    verdict = judge(protocol, areas)
    return trial.draw_trial(verdict, areas, protocol.order, 14, "mmol/L", "Porridge: no telling yet.")


KINDS: dict[str, Callable[[float], Figure]] = {
    "curve": draw_curve,
    "week": draw_week,
    "day": draw_day,
    "average": draw_average,
    "compare": draw_compare,
    "fasting": draw_fasting,
    "two": draw_two,
    "run": draw_run,
    "eating": draw_eating,
    "servings": draw_servings,
    "variants": draw_variants,
    "trial": draw_trial,
}
