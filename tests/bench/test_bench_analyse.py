"""How long the whole command takes: pytest tests/bench/test_bench_analyse.py -s -o addopts="".

A database without a note, which is start and imports alone, one of 28 days (140 meals, 8,064 readings), and
one of 3 years (5,475 meals, 315,360 readings). The quickest of five counts: what slows a process down is
other work on the machine.
"""

import json
import subprocess
import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from bot.commandline.kinds import WHAT
from bot.model.entries import Activity, Item, Meal, Nutrients, Reading, Sensor
from bot.store import open_store

FIRST = datetime(2026, 3, 2, tzinfo=UTC)
PLATES = [("oats", 60.0, 35.0), ("rice", 200.0, 56.0), ("toast", 70.0, 33.0), ("lentils", 250.0, 30.0)]


def fill(url: str, days: int) -> None:
    rng = np.random.default_rng(1)
    store = open_store(url)
    with store.begin() as tx:
        tx.people.ensure("local", zone="Europe/Vienna", unit="mmol/L", at=FIRST)
        for day in range(days):
            start = FIRST + timedelta(days=day)
            for k, hour in enumerate((7, 10, 13, 16, 19)):
                name, grams, carbs = PLATES[(day + k) % len(PLATES)]
                item = Item(name, name, name, grams, grams, grams, True, 1.0, Nutrients(carbs_g=carbs))
                meal = Meal(start + timedelta(hours=hour), "lunch", (item,))
                key = {"update_id": f"{day}-{k}", "message_id": None, "at": start}
                tx.log.add("local", meal, ordinal=0, **key)
                if (day + k) % 3 == 0:
                    walk = Activity("walk", 20.0, start + timedelta(hours=hour, minutes=20))
                    tx.log.add("local", walk, ordinal=1, **key)
            if day % 14 == 0:
                tx.log.add("local", Sensor("started", start), ordinal=9, **key)
        minutes = np.arange(0, 1440 * days, 5)
        mmol = 5.5 + np.sin(minutes / 50) + rng.normal(0, 0.2, minutes.size)
        readings = [
            Reading(float(v), FIRST + timedelta(minutes=int(m))) for m, v in zip(minutes, mmol, strict=True)
        ]
        tx.readings.add("local", readings, source="file", at=FIRST, update_id="all")
    store.close()


@pytest.mark.parametrize("days", [0, 28, 1095])
def test_the_whole_command(days: int, tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'bench.db'}"
    fill(url, days)
    for what in WHAT:
        times = []
        for _ in range(5):
            start = time.perf_counter()
            command = [sys.executable, "-m", "bot", "analyse", what, "--json", "--db", url]
            done = subprocess.run(command, capture_output=True, text=True, check=True)
            times.append(time.perf_counter() - start)
            assert bool(json.loads(done.stdout)) == (days > 0)
        print(f"\n{days} days, analyse {what}: {min(times):.2f} s, median {np.median(times):.2f} s")
        assert min(times) < (60 if days > 28 else 5)
