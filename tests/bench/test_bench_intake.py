"""How long a file of readings takes from its bytes into the database, beside a reader told its format.

Each run is a process of its own, so that its peak of memory is its own; of three runs the fastest counts.
"""

import json
import subprocess
import sys
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

ROOT = Path(__file__).parents[2]
MONTH, YEAR = 8_064, 105_120  # 28 days and a year of readings every five minutes


@cache
def measure(rows: int) -> dict[str, float]:
    runs = []
    for _ in range(3):
        with TemporaryDirectory() as folder:
            done = subprocess.run(
                [sys.executable, "-m", "tests.bench.import_alone", str(rows), folder],
                cwd=ROOT,
                capture_output=True,
                text=True,
                check=True,
            )
        runs.append(json.loads(done.stdout))
    best = {key: min(run[key] for run in runs) for key in runs[0]}
    print(rows, {key: round(value, 3) for key, value in best.items()})
    return best


@pytest.mark.parametrize(("rows", "read_s", "import_s"), [(MONTH, 0.06, 0.15), (YEAR, 0.6, 1.2)])
def test_time_of_an_import(rows: int, read_s: float, import_s: float) -> None:
    taken = measure(rows)
    assert taken["kept"] == rows
    assert taken["first"], "the answer should say so"
    assert taken["again"], "and that the same file brings nothing new"
    assert taken["read_s"] < read_s
    assert taken["import_s"] < import_s


@pytest.mark.parametrize("rows", [MONTH, YEAR])
def test_at_most_three_times_a_reader_that_is_told_the_format(rows: int) -> None:
    taken = measure(rows)
    assert taken["import_s"] <= 3 * taken["bare_s"]


def test_memory_and_growth() -> None:
    year, two = measure(YEAR), measure(2 * YEAR)
    assert year["memory_mb"] < 300
    assert two["import_s"] < 2.6 * year["import_s"]
    base = measure(MONTH)["memory_mb"]
    assert two["memory_mb"] - base < 2.6 * (year["memory_mb"] - base)
