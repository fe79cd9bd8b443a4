"""Measures understanding on real food logs: items with amount, unit and nutrients, said as people would.

    python -m tests.corpus.real_logs FOLDER [--persons 1,2,3] [--list] [--unknown]

FOLDER holds food.csv with the columns person, words, amount, unit, carbs_total_g. Each item is said as one
note ("10 fluid oz fruit smoothie", "1.5 cups rice", "2 chicken legs"). Printed are the share of unknown items
and of those for which no offer fits, the share whose carbohydrate is within 35 % or 8 g of the log's, and the
rank correlation of the two. The log's carbohydrate is total, so fibre is added to what was understood.
A log has errors of its own: judge by shares and ranks, never item by item. By hand only; no test needs it.
"""

import argparse
import csv
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from scipy.stats import spearmanr

from bot.foodtable import FoodTable, load_table
from bot.model.entries import Item, Meal, Nutrients
from bot.understanding import Context, understand
from bot.understanding.foods.offers import offers_of

WITHIN_SHARE, WITHIN_GRAMS = 0.35, 8.0
_ZONE = ZoneInfo("America/New_York")
_NOON = datetime(2026, 3, 2, 12, 30, tzinfo=_ZONE)
_SAID_AS = {"fluid ounce": "fluid oz", "ounce": "oz", "gram": "g", "grams": "g"}
_PLURAL = {"cup", "slice", "serving", "bag", "bar", "bowl", "bite", "piece", "cracker"}


@dataclass(frozen=True, slots=True)
class Row:
    """One logged item as it is said, its carbohydrate, and what was understood of it."""

    said: str
    logged: float
    items: tuple[Item, ...]
    offered: tuple[float, ...]

    @property
    def unknown(self) -> bool:
        """Some of it is no known food, or nothing of it is food."""
        return not self.items or any(item.food is None for item in self.items)

    @property
    def carbs(self) -> float:
        """The carbohydrate of all its items, with the fibre that the log counts in."""
        return sum(total_of(item.nutrients) for item in self.items)


def total_of(held: Nutrients | None) -> float:
    """Return the carbohydrate with its fibre (g)."""
    return 0.0 if held is None else (held.carbs_g or 0.0) + (held.fibre_g or 0.0)


def is_near(grams: float, logged: float) -> bool:
    """Tell whether an amount is as near to the log's as two careful people would be."""
    return abs(grams - logged) <= max(WITHIN_SHARE * logged, WITHIN_GRAMS)


def say(row: dict[str, str]) -> str:
    """Say a logged item as people would."""
    words = row["words"].strip().lower()
    if not row["amount"]:
        return words
    amount = float(row["amount"])
    unit = _SAID_AS.get(row["unit"], row["unit"])
    if unit in _PLURAL and amount > 1:
        unit += "s"
    return " ".join(part for part in (f"{amount:g}", unit, words) if part)


def measure(rows: Sequence[dict[str, str]], table: FoodTable) -> list[Row]:
    """Understand every item by itself."""
    context = Context(now=_NOON, zone=_ZONE, table=table)
    measured = []
    for row in rows:
        said = say(row)
        entries = understand(said, context).entries
        items = tuple(i for e in entries if isinstance(e, Meal) for i in e.items)
        unknown = next((i for i in items if i.food is None), None)
        offers = () if unknown is None else offers_of(unknown, table)
        known = sum(total_of(i.nutrients) for i in items)
        offered = tuple(known + total_of(offer.nutrients) for offer in offers)
        measured.append(Row(said, float(row["carbs_total_g"]), items, offered))
    return measured


def sum_up(rows: Sequence[Row]) -> str:
    """Return the figures of some items as one line."""
    unknown = [row for row in rows if row.unknown]
    unoffered = [row for row in unknown if not any(is_near(c, row.logged) for c in row.offered)]
    near = [is_near(row.carbs, row.logged) for row in rows]
    known = [is_near(row.carbs, row.logged) for row in rows if not row.unknown]
    rank, known_rank = rank_of(rows), rank_of([row for row in rows if not row.unknown])
    return (
        f"{len(rows):5d} items  unknown {len(unknown) / len(rows):.3f}  without a fitting offer "
        f"{len(unoffered) / len(rows):.3f}  carbohydrate {sum(near) / len(rows):.3f} "
        f"(of known ones {sum(known) / max(1, len(known)):.3f})  "
        f"rank {rank:.3f} (of known ones {known_rank:.3f})"
    )


def rank_of(rows: Sequence[Row]) -> float:
    """Return the rank correlation of what was understood and what was logged; what is unknown is 0 g."""
    return float(spearmanr([row.carbs for row in rows], [row.logged for row in rows]).statistic)


def main(arguments: list[str] | None = None) -> None:
    """Print the figures of each person and of all."""
    parser = argparse.ArgumentParser(prog="python -m tests.corpus.real_logs")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--persons", default="", help="only these, parted by commas")
    parser.add_argument("--list", action="store_true", help="list the items that are unknown or far off")
    wanted = parser.parse_args(arguments)
    with (wanted.folder / "food.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["carbs_total_g"]]
    persons = wanted.persons.split(",") if wanted.persons else sorted({row["person"] for row in rows})
    table = load_table()
    everyone: list[Row] = []
    for person in persons:
        measured = measure([row for row in rows if row["person"] == person], table)
        everyone += measured
        print(f"person {person}: {sum_up(measured)}")
    print(f"all:      {sum_up(everyone)}")
    if wanted.list:
        for row in sorted({r.said: r for r in everyone}.values(), key=lambda r: (not r.unknown, r.said)):
            if row.unknown or not is_near(row.carbs, row.logged):
                foods = "; ".join(f"{i.name} = {i.food}, {i.grams:.0f} g" for i in row.items)
                print(f"  {row.said!r}: {row.carbs:.0f} g, log {row.logged:.0f} g  [{foods}] {row.offered}")


if __name__ == "__main__":
    main()
