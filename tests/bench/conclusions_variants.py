"""How near the effects of a staple's versions come to the truth, and how often a verdict is false.

    python -m tests.bench.conclusions_variants [--people 60]

Simulated people of tests/simulated/staples.py. For each world: people whose staple was found; versions a
person, of one change; how often the 0.9 intervals hold the truth, of all and of those eaten three times and
more; the same of the plain difference; error (root mean square) of both; versions told apart that do 15
mmol/L·min or more, and people with any verdict that is false (of a change that does nothing, or of the wrong
sign); how often the version that is said to do least does.
"""

import argparse
from collections import defaultdict

import numpy as np

from analysis.variants.effects import judge_variants
from analysis.variants.staples import Difference, Staple
from tests.simulated.staples import USUAL, World, live

WORLDS = {
    "additive, CV 25 %": World(),
    "additive, CV 40 %": World(cv=0.4),
    "saturating, fat delaying, CV 25 %": World(saturates=True),
    "saturating, fat delaying, CV 40 %": World(cv=0.4, saturates=True),
    "portions 30 % off, days act, CV 25 %": World(misjudged=0.3, days=0.1),
    "portions 30 % off, days act, CV 40 %": World(cv=0.4, misjudged=0.3, days=0.1, saturates=True),
    "no change does anything, CV 25 %": World(equal=True),
    "no change does anything, CV 40 %": World(cv=0.4, equal=True),
}
LARGE = 15.0
SEED = 2026


def name_of(difference: Difference) -> str:
    """Return which change of the simulation a version is; "" for several at once, or none of them."""
    added, removed = {food for food, _ in difference.added}, set(difference.removed)
    swaps = {("walnuts", ""): "walnuts", ("honey", ""): "honey", ("", "banana"): "no banana",
             ("berries", "banana"): "berries instead", ("soy drink", "milk"): "soy drink"}  # fmt: skip
    if difference.size != 1:
        return ""
    if difference.portions:
        food, grams, usual = difference.portions[0]
        return "half the flakes" if food == "flakes" and 0.35 < grams / usual < 0.65 else ""
    if difference.with_it or difference.without:
        return difference.with_it[0] if difference.with_it else ""
    return swaps.get((next(iter(added), ""), next(iter(removed), "")), "")


def is_the_one(staple: Staple) -> bool:
    """Tell whether a staple is the one of the simulation."""
    return staple.slot == "breakfast" and set(staple.foods) == set(USUAL)


def judge_people(people: int, world: World, days: int = 28) -> dict[str, float]:
    """Return the means over some people."""
    rng = np.random.default_rng(SEED)
    found: dict[str, list[float]] = defaultdict(list)
    for _ in range(people):
        rows, truth = live(rng, world, days)
        truth["cinnamon"] = 0.0
        judged = judge_variants(rows)
        mine = next((one for one in judged if is_the_one(one.staple)), None)
        found["found"].append(float(mine is not None))
        found["other staples"].append(float(len(judged) - (mine is not None)))
        if mine is None:
            continue
        known = [(one, truth[name]) for one in mine.versions[1:] if (name := name_of(one.version.difference))]
        found["versions"].append(float(len(known)))
        false = 0
        for one, true in known:
            assert one.effect is not None
            held = float(one.effect.low <= true <= one.effect.high)
            found["held"].append(held)
            found["error"].append((one.effect.estimate - true) ** 2)
            if one.enough:
                found["held >= 3"].append(held)
            if one.seen is not None:
                found["seen held"].append(float(one.seen.low <= true <= one.seen.high))
                found["seen error"].append((one.seen.difference - true) ** 2)
                found["error then"].append((one.effect.estimate - true) ** 2)
            if one.enough and abs(true) >= LARGE:
                found["told"].append(float(one.told))
            false += one.told and (abs(true) < 1e-9 or (one.effect.estimate > 0) != (true > 0))
        found["any false"].append(float(false > 0))
        least = mine.least
        found["least said"].append(float(least is not None))
        if least is not None and (least is mine.usual or name_of(least.version.difference)):
            rest = [(one, t) for one, t in [*known, (mine.usual, 0.0)] if one.enough and one is not least]
            of = 0.0 if least is mine.usual else truth[name_of(least.version.difference)]
            found["least wrong"].append(float(of >= min((t for _, t in rest), default=np.inf)))
    roots = ("error", "seen error", "error then")
    return {k: float(np.mean(v) ** (0.5 if k in roots else 1)) for k, v in found.items()}


def main() -> None:
    """Print a row for each world."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--people", type=int, default=60)
    people = parser.parse_args().people
    for name, world in WORLDS.items():
        found = judge_people(people, world)
        print(f"{name}\n   {', '.join(f'{k} {v:.3g}' for k, v in found.items())}", flush=True)


if __name__ == "__main__":
    main()
