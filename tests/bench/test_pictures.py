"""Time and memory of the pictures: `python -m pytest tests/bench/test_pictures.py --benchmark-only -s`."""

import resource
import subprocess
import sys
import time
from datetime import UTC, datetime

import numpy as np
from pytest_benchmark.fixture import BenchmarkFixture

from analysis.curves import measure_curve
from analysis.evenness import score_curve
from analysis.results import Serving
from bot.reply.pictures import to_png

MINUTES = np.arange(-30.0, 151.0, 5)


def make(rise: float) -> Serving:
    share = np.clip(MINUTES, 0, None) / 40
    mmol = 5.1 + rise * share**2 * np.exp(2 * (1 - share))
    curve = measure_curve(MINUTES, mmol)
    at = datetime(2026, 3, 2, 6, 10, tzinfo=UTC)
    title = "two slices of rye toast with butter and a boiled egg"
    moves = ((55.0, 10.0, "walk"),)
    return Serving(1, at, "breakfast", title, "k", 62.0, MINUTES, mmol, curve, score_curve(curve), "", moves)


def draw(rise: float = 3.4) -> bytes:
    from analysis.plots.curve import draw_curve

    return to_png(draw_curve(make(rise), [make(2.6), make(3.9)], "mmol/L", UTC))


def test_curve_picture_warm(benchmark: BenchmarkFixture) -> None:
    draw()
    benchmark(draw)
    if benchmark.stats is not None:
        assert benchmark.stats.stats.median < 0.2


def test_curve_picture_cold() -> None:
    """From a fresh process with its fonts known to the first picture, imports of analysis and drawing."""
    code = (
        "import time; start = time.perf_counter()\n"
        "from tests.bench.test_pictures import draw\n"
        "import sys; png = draw(); print(time.perf_counter() - start)"
    )
    times = []
    for _ in range(5):
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        times.append(float(done.stdout))
    print(f"\ncold: median {np.median(times):.2f} s of {len(times)}")
    assert np.median(times) < 2.0


def test_memory_of_200_pictures() -> None:
    def peak_mb() -> float:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024  # kB on Linux

    draw()
    before = peak_mb()
    start = time.perf_counter()
    peaks = []
    for i in range(200):
        draw(1 + i / 50)
        if i in (99, 199):
            peaks.append(peak_mb() - before)
    print(
        f"\n200 pictures in {time.perf_counter() - start:.1f} s; "
        f"grown {peaks[0]:.1f} MB at 100, {peaks[1]:.1f} MB at 200"
    )
    assert peaks[1] < 45
    assert peaks[1] - peaks[0] < 5
