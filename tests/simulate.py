"""Invented readings for the demo conversations and the benches: `python -m tests.simulate SCRIPT...`.

For every `(file ...)` line of a script this writes the file it names, holding what a sensor with a memory of
eight hours (or what a line “/memory 24 h” says) would have given then, so that a sync that comes too
late really leaves a hole. The
curves come from a simple made-up model (common practice, no source): every meal adds a rise that grows with
its carbohydrate, comes later with fat and fibre and is flattened by a walk; noise is added on top. Invented
data show how the bot behaves; they prove nothing about glucose.
"""

import math
import random
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bot.channels.saying import FILE
from bot.channels.script import Line, Script, read_script
from bot.foodtable import load_table
from bot.model.entries import Activity, Meal, Sensor
from bot.understanding import Context, understand

MEMORY = timedelta(hours=8)
INTERVAL = timedelta(minutes=5)


@dataclass(frozen=True)
class Rise:
    """One meal's invented rise: when it starts, its height (mmol/L) and minutes to its top."""

    at: datetime
    height: float
    top_min: float

    def value(self, at: datetime) -> float:
        minutes = (at.astimezone(UTC) - self.at.astimezone(UTC)).total_seconds() / 60
        if minutes <= 0 or minutes > 400:
            return 0.0
        share = minutes / self.top_min
        return self.height * share**2 * math.exp(2 * (1 - share))


def rises_of(meals: Sequence[Meal], walks: Sequence[Activity], rng: random.Random) -> list[Rise]:
    rises = []
    for meal in meals:
        n = meal.nutrients
        assert meal.at is not None
        carbs, fat, fibre = n.carbs_g or 0.0, n.fat_g or 0.0, n.fibre_g or 0.0
        start = meal.at
        walked = any(
            w.at is not None and timedelta(0) <= w.at - start <= timedelta(minutes=75) for w in walks
        )
        height = 0.062 * carbs * math.exp(-0.012 * (fat + 2 * fibre)) * (0.72 if walked else 1.0)
        rises.append(Rise(start, height * rng.uniform(0.85, 1.15), 32 + 0.5 * fat + 0.9 * fibre))
    return rises


def trace(
    rises: Sequence[Rise], start: datetime, end: datetime, rng: random.Random
) -> list[tuple[datetime, float]]:
    """Return (instant, mmol/L) every five minutes from start to end."""
    rows, noise = [], 0.0
    for step in range((end.astimezone(UTC) - start.astimezone(UTC)) // INTERVAL + 1):
        at = (start.astimezone(UTC) + step * INTERVAL).astimezone(start.tzinfo)
        noise = 0.8 * noise + rng.gauss(0, 0.09)
        hours = at.hour + at.minute / 60
        base = 4.9 + 0.25 * math.cos((hours - 7) / 24 * 2 * math.pi)
        rows.append((at, max(2.2, base + noise + sum(rise.value(at) for rise in rises))))
    return rows


def write_file(path: Path, rows: Sequence[tuple[datetime, float]], layout: int, script: Script) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    local = [(at.astimezone(script.zone), mmol) for at, mmol in rows]
    if layout == 0:
        lines = ["time,glucose mmol/L", *(f"{at:%Y-%m-%d %H:%M},{mmol:.1f}" for at, mmol in local)]
    elif layout == 1:
        text = ((f"{at:%d.%m.%Y;%H:%M}", f"{mmol:.1f}".replace(".", ",")) for at, mmol in local)
        lines = ["Datum;Uhrzeit;Glukose (mmol/L)", *(f"{stamp};{value}" for stamp, value in text)]
    else:
        lines = [
            "timestamp\tglucose [mg/dL]",
            *(f"{at.isoformat()}\t{mmol * 18.0182:.0f}" for at, mmol in local),
        ]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def simulate(path: Path) -> list[Path]:
    """Write the readings files of one script; return their paths."""
    script = read_script(path)
    rng = random.Random(script.name)
    table = load_table()
    meals: list[Meal] = []
    walks: list[Activity] = []
    worn_from, memory = script.start, MEMORY
    files: list[tuple[Line, Path]] = []
    for line in script.lines:
        filed = FILE.fullmatch(line.text)
        if filed is not None and filed["path"].startswith("readings/not-"):
            continue  # a file that is meant to hold none
        if filed is not None:
            files.append((line, script.folder / filed["path"]))
        elif line.who == "me" and line.text.startswith("/memory "):
            memory = timedelta(hours=float(line.text.split()[1]))
        elif line.who == "me":
            context = Context(now=line.at, zone=script.zone, table=table)
            for entry in understand(line.text, context).entries:
                if isinstance(entry, Meal):
                    meals.append(entry)
                elif isinstance(entry, Activity):
                    walks.append(entry)
                elif isinstance(entry, Sensor) and entry.at is not None:
                    worn_from = entry.at + timedelta(hours=1)
    rises = rises_of(meals, walks, rng)
    rows = trace(rises, worn_from, script.lines[-1].at, rng)
    for number, (line, file) in enumerate(files):
        read_at = line.at.astimezone(UTC)  # the memory is elapsed time, whatever the clocks do
        kept = [(at, mmol) for at, mmol in rows if read_at - memory <= at.astimezone(UTC) <= read_at]
        write_file(file, kept, number % 3, script)
    return [file for _, file in files]


if __name__ == "__main__":
    for name in sys.argv[1:]:
        for written in simulate(Path(name)):
            print(written)
