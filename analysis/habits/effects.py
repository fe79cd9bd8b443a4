"""What each lever does to a meal's response, in percent: adjusted for what was eaten, and plain beside it.

The levers are columns of the food model (`analysis.foods.model`): what one does is asked at like food,
portion, slot, sensor and meal before, and with days that have a level of their own (`analysis.habits.days`).
People walk after large meals, so that the plain figure misleads; and some things that go with a habit nobody
notes, so that a control is judged in the same way: something that cannot act, such as a walk hours before, or
the night that follows. A verdict takes `NEED_EACH` occasions on `NEED_DAYS` days with the lever and as many
without, an interval at `SURE` that excludes no effect, and a control that does not seem to do the same.

Who asks about one lever is answered at that level. Where all are listed, a lever is only told where it is
beyond chance among all of them: Benjamini and Hochberg's rule [benjamini1995] at q = `FALSE_SHARE`, so that
of the levers told at most one in ten is false. Holm's rule would keep any false one out of nineteen lists in
twenty, at the price of true ones; a lever is cheap to try again, and a trial settles it.

On simulated people who live otherwise than the model supposes (python -m tests.bench.conclusions_habits,
200 each, four weeks of about 98 meals, a walk worth -22 % and levers that do nothing, two of them of days):

    walk found, told in a list, held; nulls called, called help, held; any null in a list
    CV 22 %, a third of the meals              .89 .79 .95   .04 .02 .93   .10
    walks after large meals, days of SD .15,
    noise that hangs together                  .90 .83 .93   .02 .01 .95   .07
    the same, saturating                       .91 .82 .92   .03 .02 .94   .09
    the same at CV 40 %                        .67 .54 .90   .03 .02 .94   .07
    the same at CV 22 %, walks do nothing      .03 .02 .89   .03 .02 .94   .04
    kitchen of 24 foods, 84 meals, CV 22 %     .75 .75 .89   .06 .05 .91   .06
    the same, walks of large meals do nothing  .06 .07 .88   .03 .02 .92   .03

In the kitchen least squares that know each plate's true response and the noise find .98: what is missing is
that portions and foods are not known. What cannot act takes the verdict back in .01 to .05. Fat beside
carbohydrate that does nothing is called anything in .01, help in .00; -12 % on a quarter of the meals is
found in .12; its interval holds in .96 to .98.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil, expm1
from statistics import NormalDist

import numpy as np

from analysis.foods.model import Fit, fit_foods
from analysis.foods.rows import Row
from analysis.habits.days import DayFit, fit_days
from analysis.habits.fat import FAT, judge_fat
from analysis.kept import once

LEVEL, SURE = 0.9, 0.95
NEED_EACH, NEED_DAYS = 5, 4
FALSE_SHARE = 0.1
MOST_TIMES = 4.0
"""Where it would take more than so many times the occasions there are, no number is given."""
CONTROLS = {
    "walk after": "walk hours before",
    "exercise after": "exercise hours before",
    "short sleep": "short night to come",
}
"""A lever -> what goes with the same habit but cannot act on the meal."""


@dataclass(frozen=True, slots=True)
class Percent:
    """A change of the response in percent, with its interval at `LEVEL`."""

    estimate: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class LeverEffect:
    """What a lever does as it was usually done.

    on, off: occasions with and without; amount: median of those with (1 = a quarter of an hour, or yes)
    effect: adjusted; plain: the mean area with over that without, in percent, None where the latter is not
    above 0; control: the effect of what cannot act, where there is such a thing, and its occasions
    differs: whether the interval at `SURE` excludes no effect, with enough occasions each way
    more: about how many more occasions with it would settle an effect of this size; None where nothing does
    p: two-sided, of no effect; days: how many had it, and how many were without it at least once
    late: the same over four hours (incremental area), of levers that may only delay, where curves go so far
    """

    name: str
    on: int
    off: int
    amount: float
    effect: Percent
    plain: float | None
    differs: bool
    more: int | None
    control: "LeverEffect | None" = None
    p: float = 1.0
    days: tuple[int, int] = (NEED_DAYS, NEED_DAYS)
    late: Percent | None = None

    @property
    def told(self) -> bool:
        """Whether it may be said to do something: it differs, and what cannot act does not, the same way."""
        return self.differs and not self.doubted

    @property
    def doubted(self) -> bool:
        """Whether what cannot act seems to do the same."""
        control = self.control
        return (
            control is not None
            and control.differs
            and (control.effect.estimate < 0) == (self.effect.estimate < 0)
        )

    @property
    def enough(self) -> bool:
        """Whether there are occasions enough for a verdict."""
        return min(self.on, self.off) >= NEED_EACH and min(self.days) >= NEED_DAYS


def judge_levers(rows: Sequence[Row]) -> list[LeverEffect]:
    """Return what each lever does that was there at least once, by name; [] without rows."""
    return judge_levers_of(fit_foods(rows), rows) if rows else []


@once
def judge_levers_of(fit: Fit, rows: Sequence[Row]) -> list[LeverEffect]:
    """Return what each lever of a fitted model does; rows: those it was fitted to."""
    names = _names_in(rows)
    by_day = fit_days(fit, [row.day for row in rows])
    found = {name: _judge(by_day, rows, name) for name in names}
    fat = _judge_fat(fit, rows)
    if fat is not None:
        found[FAT] = fat
    controls = set(CONTROLS.values())
    return [
        replace(one, control=found.get(CONTROLS.get(name, "")))
        for name, one in sorted(found.items())
        if name not in controls
    ]


def judge_lever_of(fit: Fit, rows: Sequence[Row], name: str) -> LeverEffect | None:
    """Return what one lever does, as `judge_levers_of` has it; None where it was never there."""
    if name == FAT:
        return _judge_fat(fit, rows)
    names = _names_in(rows)
    if name not in names or name in CONTROLS.values():
        return None
    by_day = fit_days(fit, [row.day for row in rows])
    control = CONTROLS.get(name, "")
    judged = _judge(by_day, rows, control) if control in names else None
    return replace(_judge(by_day, rows, name), control=judged)


def _names_in(rows: Sequence[Row]) -> list[str]:
    """Return the levers that were there at least once."""
    return sorted({name for row in rows for name, amount in row.levers.items() if amount > 0})


def told_among(found: Iterable[LeverEffect]) -> frozenset[str]:
    """Return the levers that are told when all are looked at (Benjamini and Hochberg, q = `FALSE_SHARE`)."""
    judged = sorted((one for one in found if one.enough), key=lambda one: one.p)
    last = max((k for k, one in enumerate(judged, 1) if one.p <= FALSE_SHARE * k / len(judged)), default=0)
    return frozenset(one.name for one in judged[:last] if one.told)


def _judge(by_day: DayFit, rows: Sequence[Row], name: str) -> LeverEffect:
    amounts = np.array([row.levers.get(name, 0.0) for row in rows])
    on = amounts > 0
    amount = float(np.median(amounts[on]))
    mean, sd = by_day.factor(name)
    return _weigh(name, rows, on.tolist(), amount, (amount * mean, amount * sd))


def _judge_fat(fit: Fit, rows: Sequence[Row]) -> LeverEffect | None:
    """Return what fat beside carbohydrate does over two hours and, from curves that go so far, over four."""
    contrast = judge_fat(fit, rows)
    if contrast is None:
        return None
    counted = [rows[k] for k in contrast.counted]
    found = _weigh(FAT, counted, contrast.on, contrast.amount, (contrast.mean, contrast.sd))
    long = [replace(row, area=row.area_4h) for row in rows if row.area_4h is not None]
    late = judge_fat(fit_foods(long), long) if long else None
    if late is None or min(sum(late.on), len(late.on) - sum(late.on)) < NEED_EACH:
        return found
    return replace(found, late=_percent(late.mean, late.sd, LEVEL))


def _weigh(
    name: str, rows: Sequence[Row], on: Sequence[bool], amount: float, log: tuple[float, float]
) -> LeverEffect:
    """Return a lever's effect from its logarithm (mean, SD), over rows with it and without."""
    mean, sd = log
    with_it = [row for row, yes in zip(rows, on, strict=True) if yes]
    without = [row for row, yes in zip(rows, on, strict=True) if not yes]
    n = len(with_it), len(without)
    days = _count_days(with_it), _count_days(without)
    sure = _percent(mean, sd, SURE)
    usual = float(np.mean([row.area for row in without])) if without else 0.0
    enough = min(n) >= NEED_EACH and min(days) >= NEED_DAYS
    return LeverEffect(
        name=name,
        on=n[0],
        off=n[1],
        amount=amount,
        effect=_percent(mean, sd, LEVEL),
        plain=100 * (float(np.mean([row.area for row in with_it])) / usual - 1) if usual > 0 else None,
        differs=enough and not sure.low <= 0 <= sure.high,
        more=_find_more(n, mean, sd),
        p=2 * NormalDist().cdf(-abs(mean) / sd),
        days=days,
    )


def _count_days(rows: Sequence[Row]) -> int:
    """Return on how many days rows lie; one without a day has its own."""
    return len({row.day for row in rows if row.day is not None}) + sum(row.day is None for row in rows)


def _find_more(n: tuple[int, int], mean: float, sd: float) -> int | None:
    """Return how many more occasions with a lever it would take, were its effect as estimated.

    The interval narrows with the root of the occasions on the rarer side; each of `NEED_EACH` is needed.
    """
    half = NormalDist().inv_cdf((1 + SURE) / 2) * sd
    least = max(0, NEED_EACH - min(n))
    if half >= MOST_TIMES**0.5 * abs(mean):
        return least or None
    return max(least, ceil(((half / mean) ** 2 - 1) * min(n)))


def _percent(mean: float, sd: float, level: float) -> Percent:
    half = NormalDist().inv_cdf((1 + level) / 2) * sd
    low, middle, high = (100 * expm1(log) for log in (mean - half, mean, mean + half))
    return Percent(middle, low, high)
