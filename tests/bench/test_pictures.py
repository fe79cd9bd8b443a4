"""Time and memory of the pictures: `python -m pytest tests/bench/test_pictures.py --benchmark-only -s`.

The cold times and the memory: the same with `--benchmark-disable` for `--benchmark-only`. The quickest of all
counts, since what slows a drawing down is other work on the machine.
"""

import resource
import subprocess
import sys
import time
from itertools import cycle, islice

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from bot.reply.pictures import to_png
from tests.bench.pictures_drawn import KINDS


@pytest.mark.parametrize("kind", KINDS)
def test_picture_warm(kind: str, benchmark: BenchmarkFixture) -> None:
    def draw() -> bytes:
        return to_png(KINDS[kind](3.4))

    draw()
    benchmark(draw)
    if benchmark.stats is not None:
        assert benchmark.stats.stats.min < 0.2


@pytest.mark.parametrize("kind", KINDS)
def test_picture_cold(kind: str) -> None:
    """From a fresh process with its fonts known to the first picture, imports of analysis and drawing."""
    code = (
        "import time; start = time.perf_counter()\n"
        "from bot.reply.pictures import to_png\n"
        "from tests.bench.pictures_drawn import KINDS\n"
        f"png = to_png(KINDS[{kind!r}](3.4)); print(time.perf_counter() - start)"
    )
    times = []
    for _ in range(5):
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        times.append(float(done.stdout))
    print(f"\n{kind} cold: {min(times):.2f} s, median {np.median(times):.2f} s of {len(times)}")
    assert min(times) < 0.9


def test_memory_of_500_pictures() -> None:
    def peak_mb() -> float:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024  # kB on Linux

    for draw in KINDS.values():
        to_png(draw(3.4))
    before = peak_mb()
    start = time.perf_counter()
    peaks = []
    for i, draw in enumerate(islice(cycle(KINDS.values()), 500)):
        to_png(draw(1 + i / 100))
        if i in (99, 499):
            peaks.append(peak_mb() - before)
    print(
        f"\n500 pictures in {time.perf_counter() - start:.1f} s; "
        f"grown {peaks[0]:.1f} MB at 100, {peaks[1]:.1f} MB at 500"
    )
    assert peaks[1] < 45
    assert peaks[1] - peaks[0] < 5
