"""What may be said of a trial's pairs, at fixed looks and by fixed bounds.

- "clear": the mean difference of signed areas lies at or beyond the bound of a look;
- "no difference worth having": two one-sided tests say that neither arm is `margin` above the other;
- "leaning": neither, but the range shown, at 90 % over all looks together, lies on one side of zero;
- "no telling yet": all else.

The difference of areas is judged, whose test is also that of the ratio of means. The log ratio has no value
where an area is below 0. Flips hold on any scale, and others find hardly more (the bench, `--scales`).

2,000 simulated trials each of 14 pairs (python -m tests.bench.conclusions_trials), CV 25, 40 %, looked at
after each pair from the sixth on, in seven kinds of noise, skewed, trending, hanging together,
heavy-tailed, around 0: a false "clear" in .04 to .05 (exactly .05 at most, by the lot); a true 30 % is
"clear" in .92, .57 (lognormal) and .92, .55 (gamma, where without any looks it would be .57), .75, .46 with
unlogged snacks, after 11.1, 12.7 pairs on average. CV is that of the areas as they are measured: meals of
CV 25, 40 % on curves with a sensor's noise are at 28, 41 %, and .8, .5 of the differences are found (400
trials). Arms that do the same ever lean in .09 to .11, and end so in .02 to .03. "No difference worth
having" where there is one of 15 % (CV 10 %): .01 to .05; where there is none: .9, at CV 25 % .02. The range
holds the truth in .93 to .99, and so it does where it is "clear". But the estimate is then too large where
power is low: 24 % instead of 15 at CV 25 %, 37 instead of 30 at CV 40 %; so the range is to be said with
it. The arm named lower at .94 is so in .90 to .91.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import erf, sqrt
from typing import Literal

import numpy as np

from analysis.arms import p_of
from analysis.results import Floats
from analysis.trials.flips import find_bounds, find_interval, find_sides, p_by_flips
from analysis.trials.protocol import FEWEST, MARGIN, Protocol

Word = Literal["clear", "leaning", "no telling yet", "no difference worth having"]


PRIOR = 0.3
"""SD of what one arm does to another before anything is seen, as a share of the mean."""
PRIOR_PAIRS = 4
"""So many pairs the planned noise counts for beside that of the pairs seen (judgement)."""


@dataclass(frozen=True, slots=True)
class ArmResult:
    """One arm's signed 2-hour areas (mmol/L·min): number, mean (None without any), SD (None below two)."""

    name: str
    n: int
    mean: float | None
    sd: float | None


@dataclass(frozen=True, slots=True)
class Difference:
    """The second arm minus the first, with its interval at `level`, which holds over all looks together."""

    estimate: float
    low: float
    high: float
    level: float = 0.9
    unit: str = "mmol/L*min"


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a trial says now.

    pairs: complete and judged, at most up to the look that decided; arms: as in the protocol
    difference: None below two pairs; percent: the same in percent of the first arm, None where that is not
    surely above 0; probability: that the second arm is lower, shrunken; p: exact, by sign flips, two-sided
    look: pairs at the last look, None before the first; bound: mean difference (mmol/L·min) either way at or
    beyond which it is clear now, None where so few pairs cannot show it
    decided_at: the look at which a bound was crossed, None where none was; to_go: pairs still to go, at most
    why: one sentence; margin: a difference of a smaller share of the smaller arm is not worth having
    """

    pairs: int
    arms: tuple[ArmResult, ArmResult]
    difference: Difference | None
    percent: Difference | None
    probability: float | None
    p: float | None
    look: int | None
    bound: float | None
    decided_at: int | None
    word: Word
    to_go: int
    why: str
    margin: float = MARGIN


def judge(protocol: Protocol, pairs: Sequence[tuple[float, float]], *, over: bool = False) -> Verdict:
    """Judge the complete pairs of a trial, in the order of time.

    pairs: signed 2-hour areas (mmol/L·min) of the first and of the second arm
    over: whether the trial was ended, so that no pair is to come
    The looks are gone through from the first on. The first at which a bound is crossed decides, and pairs
    after it change nothing; nothing is decided between looks.
    """
    values = np.asarray(pairs, dtype=np.float64).reshape(-1, 2)[: protocol.pairs]
    decided = decide(protocol, values)
    return _say(protocol, values if decided is None else values[: decided[0]], decided, over=over)


def decide(protocol: Protocol, values: Floats) -> tuple[int, Word] | None:
    """Return the first look at which a bound is crossed, and what that says; None where none was.

    values: areas of the first and of the second arm, shape (n, 2)
    """
    first, second = values[:, 0], values[:, 1]
    most = 1 + protocol.margin
    clear = find_sides(second - first, protocol.clear)
    near = [find_sides(one, protocol.range) for one in (second - first / most, first - second / most)]
    for n in sorted(clear):
        if clear[n]:
            return n, "clear"
        if all(side[n] > 0 for side in near):
            return n, "no difference worth having"
    return None


def _say(
    protocol: Protocol, values: Floats, decided: tuple[int, Word] | None, *, over: bool = False
) -> Verdict:
    n = len(values)
    first, second = values[:, 0], values[:, 1]
    difference = _difference(protocol, second - first) if n > 1 else None
    percent = _percent(protocol, first, second) if n > 1 else None
    look = n if n >= FEWEST else None
    word: Word = "no telling yet"
    if decided is not None:
        word = decided[1]
    elif look is not None and find_sides(second - first, protocol.range)[look]:
        word = "leaning"
    to_go = 0 if decided or over else protocol.pairs - n
    bound = None if look is None else _bound(protocol, second - first)
    return Verdict(
        pairs=n,
        arms=(_sum_up(protocol.arms[0].name, first), _sum_up(protocol.arms[1].name, second)),
        difference=difference,
        percent=percent,
        probability=probability(protocol, first, second) if n > 1 else None,
        p=p_by_flips(second - first) if n else None,
        look=look,
        bound=bound,
        decided_at=None if decided is None else decided[0],
        word=word,
        to_go=to_go,
        why=_why(protocol, n, word, to_go, bound),
        margin=protocol.margin,
    )


def _sum_up(name: str, areas: Floats) -> ArmResult:
    mean = float(areas.mean()) if areas.size else None
    return ArmResult(name, areas.size, mean, float(areas.std(ddof=1)) if areas.size > 1 else None)


def _bound(protocol: Protocol, d: Floats) -> float | None:
    bound = find_bounds(d, protocol.clear)[d.size] / d.size
    return bound if bound < float("inf") else None


def _difference(protocol: Protocol, d: Floats) -> Difference:
    """Return the mean difference; its interval by Student's t where so few flips give none."""
    ends = find_interval(np.ones(d.size), d, protocol.range) if d.size >= FEWEST else None
    if ends is None:
        p = protocol.range.by(max(d.size, FEWEST))
        half = _t_of(p, d.size - 1) * float(d.std(ddof=1)) / sqrt(d.size)
        ends = float(d.mean()) - half, float(d.mean()) + half
    return Difference(float(d.mean()), *ends)


def _percent(protocol: Protocol, first: Floats, second: Floats) -> Difference | None:
    ends = find_interval(first, second, protocol.range) if first.size >= FEWEST else None
    if ends is None:
        return None
    low, high = (100 * (end - 1) for end in ends)
    return Difference(100 * (float(second.mean() / first.mean()) - 1), low, high, unit="%")


def _t_of(p: float, df: int) -> float:
    """Return the t that has this two-sided p."""
    low, high = 0.0, 1e6
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if p_of(middle, df) > p else (low, middle)
    return high


def shrink(y: float, mu: float, tau: float, v: float) -> tuple[float, float]:
    """Return the posterior mean and SD of an effect that was measured as y with variance v.

    mu, tau: mean and SD of what such effects are beforehand

    >>> [round(x, 3) for x in shrink(-60, -20, 30, 2 * 37.5**2 / 4)]
    [-42.456, 19.868]
    """
    weight = tau**2 / (tau**2 + v)
    return mu + weight * (y - mu), sqrt(weight * v)


def probability(protocol: Protocol, first: Floats, second: Floats) -> float:
    """Return the probability that the second arm is lower."""
    d = second - first
    mean = max(float(np.concatenate([first, second]).mean()), 1.0)
    planned = 2 * (protocol.noise_cv * mean) ** 2
    df = d.size - 1
    variance = (PRIOR_PAIRS * planned + df * float(d.var(ddof=1))) / (PRIOR_PAIRS + df)
    estimate, sd = shrink(float(d.mean()), 0.0, PRIOR * mean, variance / d.size)
    return (1 + erf(-estimate / sd / sqrt(2))) / 2


def _why(protocol: Protocol, n: int, word: Word, to_go: int, bound: float | None) -> str:
    """Return one sentence on why this is said."""
    if word == "clear":
        return f"After {n} pairs the difference passed the bound that was fixed at the start."
    if word == "no difference worth having":
        return f"After {n} pairs neither arm can be {100 * protocol.margin:.0f} % above the other."
    if n < FEWEST:
        return f"It is first looked at after {FEWEST} pairs, and {n} are complete."
    end = f"up to {to_go} pairs are to go" if to_go else "all pairs that were agreed are done"
    if n < protocol.pairs and not to_go:
        end = f"it was ended before all {protocol.pairs} were done"
    if bound is None:
        return f"After {n} pairs nothing could pass the bound that was fixed, and {end}."
    lean = "it leans one way, but" if word == "leaning" else "it could go either way:"
    return f"After {n} pairs {lean} the bound that was fixed at the start is not passed, and {end}."
