"""How often trials claim what is not, and find what is.

    python -m tests.bench.conclusions_trials [--runs 2000] [--scales | --power]

Trials of 14 pairs with a look after each from the sixth on. Nothing of the noise is what the rule supposes,
which is the lot alone: it is skewed (gamma, lognormal), heavy-tailed (an unlogged snack in one of ten), hangs
together from serving to serving, sinks by half over the trial, has a new sensor half-way, or adds to areas so
small that many are negative. The effect is on the second arm.

`--scales` judges the same trials on other scales; `--power` prints the table of `analysis.trials.protocol`.
"""

import argparse
from collections import Counter
from collections.abc import Callable
from itertools import pairwise
from math import erfc, log, sqrt

import numpy as np
from scipy.stats import ttest_1samp

from analysis.results import Floats
from analysis.trials.flips import find_sides, p_by_flips
from analysis.trials.protocol import FEWEST, MOST, Arm, Portion, Protocol
from analysis.trials.verdict import decide, judge, probability
from tests.simulated.meals import Kind, curve_of, eat, noise

MEAN = 110.0
Rng = np.random.Generator


def gamma(rng: Rng, cv: float, n: int) -> Floats:
    return rng.gamma(1 / cv**2, cv**2, n)


def lognormal(rng: Rng, cv: float, n: int, ar: float = 0.0) -> Floats:
    sd = sqrt(log(1 + cv**2))
    return np.exp(noise(rng, n, sd, ar) - sd**2 / 2)


def together(rng: Rng, cv: float, n: int) -> Floats:
    return lognormal(rng, cv, n, 0.6)


def sinking(rng: Rng, cv: float, n: int) -> Floats:
    return gamma(rng, cv, n) * np.linspace(1.35, 0.65, n)


def new_sensor(rng: Rng, cv: float, n: int) -> Floats:
    gains = np.exp(rng.normal(0.0, 0.15, 2))
    return gamma(rng, cv, n) * gains[(np.arange(n) >= n // 4 * 2).astype(int)]


def snacks(rng: Rng, cv: float, n: int) -> Floats:
    return gamma(rng, cv, n) + (rng.random(n) < 0.1) * rng.gamma(2.0, 0.4, n)


WORLDS: dict[str, Callable[[Rng, float, int], Floats]] = {
    "lognormal": lognormal,
    "gamma": gamma,
    "hangs together (.6)": together,
    "sinks by half": sinking,
    "new sensor": new_sensor,
    "snacks": snacks,
}


def trial(rng: Rng, world: str, cv: float, effect: float, pairs: int = MOST, lot: bool = True) -> Floats:
    """Return the areas of a trial by pair and arm, shape (pairs, 2).

    effect: what the second arm does, as a share (-.3: 30 % less); lot: draw the order, or always the same
    "adds": areas around 25, and noise of SD 25·cv/.25 beside them, so that many are negative
    """
    order = rng.integers(0, 2, pairs) if lot else np.zeros(pairs, dtype=int)
    arm = np.column_stack([order, 1 - order]).ravel()
    true = np.where(arm == 1, 1 + effect, 1.0)
    if world == "adds":
        eaten = 25.0 * true + 25.0 * cv / 0.25 * rng.gumbel(0.0, sqrt(6) / np.pi, 2 * pairs)
    else:
        eaten = MEAN * true * WORLDS[world](rng, cv, 2 * pairs)
    at = np.arange(pairs)
    eaten = eaten.reshape(pairs, 2)
    return np.column_stack([eaten[at, order], eaten[at, 1 - order]])


def agreed(pairs: int = MOST, cv: float = 0.25) -> Protocol:
    """Return any protocol of so many pairs."""
    plain = Arm("porridge", (Portion("oats", 60.0),))
    return Protocol(
        "", (plain, Arm("porridge and a walk", plain.foods, ("walk after",))), "breakfast", "", pairs, 1, cv
    )


def words(rng: Rng, world: str, cv: float, effect: float, runs: int) -> Counter[str]:
    """Return how many trials of `runs` end with each word, how many ever lean, and their pairs."""
    protocol, count = agreed(), Counter[str]()
    for _ in range(runs):
        values = trial(rng, world, cv, effect)
        decided = decide(protocol, values)
        end = MOST if decided is None else decided[0]
        sides = find_sides(values[:, 1] - values[:, 0], protocol.range)
        count["pairs"] += end
        count["ever leaning"] += any(sides[n] for n in sides if n <= end)
        if decided is None:
            count["ends leaning"] += bool(sides[MOST])
        else:
            count[decided[1]] += 1
            right = values[:end, 1].mean() > values[:end, 0].mean()
            count["wrong way"] += decided[1] == "clear" and effect != 0 and right != (effect > 0)
    return count


def covered(rng: Rng, world: str, cv: float, effect: float, runs: int) -> tuple[float, ...]:
    """Return the shares of ranges that hold the truth (area; percent; percent where it is clear).

    Then the share of those "clear" with 0 in the range, and the mean percent that is said where it is clear.
    """
    found = [judge(agreed(cv=cv), trial(rng, world, cv, effect).tolist()) for _ in range(runs)]
    areas = [one.difference for one in found if one.difference is not None]
    percents = [one.percent for one in found if one.percent is not None]
    clear = [one.percent for one in found if one.percent is not None and one.word == "clear"]
    odd = [one.low <= 0 <= one.high for one in clear]
    return (
        float(np.mean([one.low <= effect * MEAN <= one.high for one in areas])),
        float(np.mean([one.low <= 100 * effect <= one.high for one in percents])),
        float(np.mean([one.low <= 100 * effect <= one.high for one in clear])),
        float(np.mean(odd)),
        float(np.mean([one.estimate for one in clear])),
    )


CASES = ((0.25, 0.0), (0.4, 0.0), (0.25, -0.3), (0.4, -0.3), (0.1, 0.0), (0.1, -0.15), (0.1, 0.15))
TOLD = ("clear", "no difference worth having", "wrong way", "ever leaning", "ends leaning")


def print_words(runs: int) -> None:
    """Print what trials say in every world."""
    print(f"{runs} trials each of {MOST} pairs: clear, same, wrong way | ever leaning, ends leaning, pairs")
    for world in (*WORLDS, "adds"):
        for cv, effect in CASES:
            count = words(np.random.default_rng(14), world, cv, effect, runs)
            told = " ".join(f"{count[name] / runs:.3f}" for name in TOLD)
            print(
                f"{world:20} CV {cv:.2f} effect {effect:+.2f}: {told} {count['pairs'] / runs:.1f}", flush=True
            )


def print_ranges(runs: int) -> None:
    """Print how often ranges hold the truth."""
    print(
        "ranges at the end hold the truth: area, %, % where clear | clear with 0 in it | mean % where clear"
    )
    for world in ("lognormal", "snacks"):
        for cv, effect in ((0.4, 0.0), (0.25, -0.15), (0.25, -0.3), (0.4, -0.3)):
            found = covered(np.random.default_rng(15), world, cv, effect, runs)
            print(
                f"{world:20} CV {cv:.2f} effect {effect:+.2f}: {' '.join(f'{x:.3f}' for x in found)}",
                flush=True,
            )


def print_curves(runs: int) -> None:
    """Print how often trials are clear whose areas are measured on curves that a sensor read."""
    print("measured on curves with a sensor's noise and an unsure start: clear, CV of what was measured")
    for cv, effect in ((0.25, 0.0), (0.25, -0.3), (0.4, -0.3)):
        rng, clear, spread = np.random.default_rng(18), 0, []
        kinds = [Kind(MEAN * (1 + effect * arm), 60.0) for arm in (0, 1)]
        for _ in range(runs):
            values = np.array([[_measure(eat(rng, kind, cv)) for kind in kinds] for _ in range(MOST)])
            decided = decide(agreed(), values)
            clear += decided is not None and decided[1] == "clear"
            spread.append(values[:, 0].std(ddof=1) / values[:, 0].mean())
        print(f"CV {cv:.2f} effect {effect:+.2f}: {clear / runs:.3f} {np.mean(spread):.2f}", flush=True)


def _measure(read: Floats) -> float:
    area = curve_of(read).net_area_2h
    assert area is not None
    return area


def print_probabilities(runs: int) -> None:
    """Print how often the arm that is said to be lower is, where effects are as unlike as walks may be."""
    print("the lower arm is named with this chance: mean said, right (CV planned, true)")
    for world, planned, cv in (("lognormal", 0.25, 0.25), ("gamma", 0.3, 0.4), ("snacks", 0.25, 0.25)):
        rng, said, right = np.random.default_rng(17), [], []
        for _ in range(runs):
            effect = float(np.exp(rng.normal(0.0, 0.25)) - 1)
            values = trial(rng, world, cv, effect)[: rng.integers(FEWEST, MOST + 1)]
            chance = probability(agreed(cv=planned), values[:, 0], values[:, 1])
            said.append(max(chance, 1 - chance))
            right.append((chance > 0.5) == (effect < 0))
        told = []
        for low, high in pairwise((0.5, 0.7, 0.9, 0.97, 1.01)):
            some = [k for k, chance in enumerate(said) if low <= chance < high]
            told.append(f"{np.mean([said[k] for k in some]):.2f} {np.mean([right[k] for k in some]):.2f}")
        print(f"{world:20} CV {planned:.2f} {cv:.2f}: {', '.join(told)}", flush=True)


OBRIEN_FLEMING = 2.1061
"""Times sqrt(14/n) it is crossed by a Brownian path at any look after 6 to 14 of 14 pairs in .05."""


def print_scales(runs: int) -> None:
    """Print how often "no difference" is refused on other scales and by other rules."""
    nominal = {n: erfc(OBRIEN_FLEMING * sqrt(MOST / n) / sqrt(2)) for n in range(FEWEST, MOST + 1)}
    spending = agreed().clear
    print("refused: exact (area, asinh, log) | nominal bounds (flips, t) | 5 % each look | no lot")
    for world in ("sinks by half", "lognormal", "gamma", "snacks", "adds"):
        for cv, effect in ((0.25, 0.0), (0.4, -0.3)):
            rng, count = np.random.default_rng(16), Counter[str]()
            for _ in range(runs):
                y = trial(rng, world, cv, effect)
                d, floor = y[:, 1] - y[:, 0], np.log(np.maximum(y, 5.0))
                size = np.abs(y[:FEWEST]).mean()
                bent = np.arcsinh(y / size)
                scales = {"area": d, "asinh": bent[:, 1] - bent[:, 0], "log": floor[:, 1] - floor[:, 0]}
                for name, one in scales.items():
                    count[name] += any(find_sides(one, spending).values())
                flips = {n: p_by_flips(d[:n]) for n in nominal}
                count["flips"] += any(flips[n] <= nominal[n] for n in nominal)
                count["t"] += any(ttest_1samp(d[:n], 0.0).pvalue <= nominal[n] for n in nominal)
                count["each"] += any(p <= 0.05 for p in flips.values())
                fixed = trial(rng, world, cv, effect, lot=False)
                count["no lot"] += any(find_sides(fixed[:, 1] - fixed[:, 0], spending).values())
            told = " ".join(
                f"{count[name] / runs:.3f}"
                for name in ("area", "asinh", "log", "flips", "t", "each", "no lot")
            )
            print(f"{world:20} CV {cv:.2f} effect {effect:+.2f}: {told}", flush=True)


def print_power(runs: int) -> None:
    """Print for each number of pairs and CV the chances of clear at 30 and 15 %, and of "no difference"."""
    for pairs in range(FEWEST, MOST + 1):
        row = []
        for cv in (0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5):
            cell = []
            for effect, word in ((-0.3, "clear"), (-0.15, "clear"), (0.0, "no difference worth having")):
                rng, protocol = np.random.default_rng(pairs), agreed(pairs)
                found = [decide(protocol, trial(rng, "lognormal", cv, effect, pairs)) for _ in range(runs)]
                cell.append(sum(one is not None and one[1] == word for one in found) / runs)
            row.append(cell)
        print(pairs, "|", "  ".join(" ".join(f"{x:.2f}" for x in cell) for cell in row), flush=True)


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--runs", type=int, default=2000)
    parser.add_argument("--scales", action="store_true")
    parser.add_argument("--power", action="store_true")
    args = parser.parse_args()
    if args.scales:
        print_scales(args.runs)
    elif args.power:
        print_power(args.runs)
    else:
        print_words(args.runs)
        print_ranges(max(args.runs // 10, 1))
        print_curves(max(args.runs // 5, 1))
        print_probabilities(args.runs)


if __name__ == "__main__":
    main()
