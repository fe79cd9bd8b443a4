"""How often comparisons claim what is not, and find what is.

    python -m tests.bench.conclusions_compare [--records 200]

Records of three weeks with ten habits, all of them asked about (tests/simulated/records.py: runs of days,
larger portions confounded with the habits, skewed variation). First habits that do nothing, then one that
takes 30 % off the response.
"""

import argparse

import numpy as np

from analysis.arms import Arms, compare_arms, tell_apart
from analysis.errors import InsufficientData
from tests.simulated.records import Record, record

CASES: dict[str, dict[str, float | bool | int]] = {
    "3 meals a day of 12 kinds, CV 25 %": {},
    "3 meals a day of 12 kinds, CV 40 %": {"cv": 0.4},
    "3 like meals a day, CV 25 %": {"staple": True},
    "3 like meals a day, CV 40 %": {"staple": True, "cv": 0.4},
    "one breakfast a day, CV 25 %": {"staple": True, "a_day": 1},
}


def ask_all(one: Record) -> list[Arms | None]:
    """Compare with and without each habit; None where one side was hardly ever eaten."""
    found: list[Arms | None] = []
    for habit in range(one.habits.shape[1]):
        try:
            found.append(compare_arms(*one.arms(habit, len(one.servings))))
        except InsufficientData:
            found.append(None)
    return found


def main() -> None:
    """Print for each case: records with a false verdict, with the true one found, intervals that hold."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--records", type=int, default=200)
    records = parser.parse_args().records
    print(
        f"{records} records each of ten questions: any false verdict; the effect of -30 % found; held at 0.9"
    )
    for name, made in CASES.items():
        rng = np.random.default_rng(10)
        false, found, held = [], [], []
        for effects in ({}, {0: 0.7}):
            for _ in range(records):
                one = record(rng, effects=effects, **made)  # type: ignore[arg-type]
                arms = ask_all(one)
                told = tell_apart([1.0 if arm is None else arm.p for arm in arms])
                if effects:
                    found.append(told[0] and arms[0] is not None and arms[0].difference > 0)
                    continue
                false.append(any(told))
                held += [arm.low <= 0 <= arm.high for arm in arms if arm is not None]
        print(f"{name:36} {np.mean(false):.3f} {np.mean(found):.2f} {np.mean(held):.3f}")


if __name__ == "__main__":
    main()
