"""What each lever does to a meal's response, in percent: adjusted for what was eaten, and plain beside it.

The levers are columns of the food model (`analysis.foods.model`): what one does is asked at like food,
portion, slot, sensor and meal before. People walk after large meals, so that the plain figure misleads; and
some things that go with a habit nobody notes, so that a control is judged in the same way: something that
cannot act, such as a walk hours before. A verdict takes `NEED_EACH` occasions with the lever and as many
without, and an interval at `SURE` that excludes no effect.

On simulated people who walk after large meals (python -m tests.bench.conclusions_foods, 60 people each,
28 days): a lever that does nothing is called anything in .02 to .05, help in .00 to .02, its interval
holds no effect in .90 to .98, and the plain figure is off by -29 to +26 %. A walk worth -20 % is found in
.52 to .58 (CV 30 %), one worth -22 % after a third of the meals in .67 (CV 22 %; aimed at was .80), and the
interval holds it in .88 to .93. What cannot act takes the verdict back in .02 to .08.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from analysis.foods.model import Fit, fit_foods
from analysis.foods.rows import Row
from analysis.results import Floats

LEVEL, SURE = 0.9, 0.95
NEED_EACH = 5
MOST_TIMES = 4.0
"""Where it would take more than so many times the occasions there are, no number is given."""
CONTROLS = {"walk after": "walk hours before", "exercise after": "exercise hours before"}
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

    @property
    def told(self) -> bool:
        """Whether it may be said to do something: it differs, and what cannot act does not."""
        return self.differs and (self.control is None or not self.control.differs)

    @property
    def enough(self) -> bool:
        """Whether there are occasions enough for a verdict."""
        return min(self.on, self.off) >= NEED_EACH


def judge_levers(rows: Sequence[Row]) -> list[LeverEffect]:
    """Return what each lever does that was there at least once, by name; [] without rows."""
    return judge_levers_of(fit_foods(rows), rows) if rows else []


def judge_levers_of(fit: Fit, rows: Sequence[Row]) -> list[LeverEffect]:
    """Return what each lever of a fitted model does; rows: those it was fitted to."""
    names = sorted({name for row in rows for name, amount in row.levers.items() if amount > 0})
    found = {name: _judge(fit, rows, name) for name in names}
    controls = set(CONTROLS.values())
    return [
        replace(one, control=found.get(CONTROLS.get(name, "")))
        for name, one in found.items()
        if name not in controls
    ]


def _judge(fit: Fit, rows: Sequence[Row], name: str) -> LeverEffect:
    amounts = np.array([row.levers.get(name, 0.0) for row in rows])
    on = amounts > 0
    amount = float(np.median(amounts[on]))
    change = 100 * np.expm1(amount * fit.factor(name))
    low, high = _interval(change, LEVEL)
    sure_low, sure_high = _interval(change, SURE)
    area = fit.design.area
    usual = float(area[~on].mean()) if not on.all() else 0.0
    n = int(on.sum()), int((~on).sum())
    return LeverEffect(
        name=name,
        on=n[0],
        off=n[1],
        amount=amount,
        effect=Percent(float(np.median(change)), low, high),
        plain=100 * (float(area[on].mean()) / usual - 1) if usual > 0 else None,
        differs=min(n) >= NEED_EACH and not sure_low <= 0 <= sure_high,
        more=_find_more(n, amount * fit.factor(name)),
    )


def _find_more(n: tuple[int, int], logs: Floats) -> int | None:
    """Return how many more occasions with a lever it would take, were its effect as estimated.

    The interval narrows with the root of the occasions on the rarer side; each of `NEED_EACH` is needed.
    """
    low, high = _interval(logs, SURE)
    middle = abs(float(np.median(logs)))
    least = max(0, NEED_EACH - min(n))
    if middle <= 0 or (high - low) / 2 > MOST_TIMES**0.5 * middle:
        return least or None
    times = ((high - low) / 2 / middle) ** 2
    return max(least, ceil((times - 1) * min(n)))


def _interval(draws: Floats, level: float) -> tuple[float, float]:
    low, high = np.quantile(draws, ((1 - level) / 2, (1 + level) / 2))
    return float(low), float(high)
