"""How well earlier meals tell what comes: python -m tests.bench.expected_on_real_people LOGS FREE.

LOGS holds food logs with 5-minute glucose (BIG IDEAs Lab glycemic variability and wearable device data,
PhysioNet, Open Data Commons Attribution License [bent2021]), FREE the open data of naef-lab/MultiSensor
(Apache-2.0) [phillips2023]; neither is shipped here. Both are reshaped to `glucose.csv` with person, minute,
mmol and `food.csv`: of LOGS with person, minute, words, amount, unit, kcal, carbs_total_g, fibre_g, sugar_g,
protein_g, fat_g (minutes of one clock from midnight), of FREE with person, sensor, minute, item (equal = the
same words; its glucose has a sensor, too, and minutes count anew with each).

Every meal is put into the bot's log and the readings into its store; what was expected of each curve is set
against what came. Of LOGS once with the log's own nutrients, once with what the bot makes of its words
("bot's": amount, unit and words; "bare": the words alone). Of FREE each food counts as one of 25 g of
carbohydrate, so that only its name tells.

r: correlation of what was expected, of 1.5·carbs - 60·level and of carbs with what came, each person's means
taken out, all people pooled; apart: the same of what was expected and of carbs once the level before the bite
is taken out of both; held: share of areas within the 90 % interval, and for the person with the least of it

                 meals   r     formula carbs   apart  carbs   held  least
    LOGS, own    166    .63     .51     .49     .61    .48     .89    .83
    LOGS, bot's  140    .68     .43     .29     .63    .27     .89    .81
    LOGS, bare   139    .62     .34     .14     .52    .10     .87    .76
    FREE         847    .59     .46     .13     .30    .08     .92    .86
"""

import argparse
from collections.abc import Callable, Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pandas as pd

from bot.frames.rows import expected_between
from bot.model.entries import Item, Meal, Nutrients, Slot
from bot.store import Transaction
from tests.talk import Talk, talking

FIRST = datetime(2026, 3, 2, tzinfo=UTC)
MINUTE, AFTER_SENSOR = timedelta(minutes=1), timedelta(days=40)
SLOTS: tuple[tuple[float, Slot], ...] = (
    (4, "snack"),
    (10.5, "breakfast"),
    (15, "lunch"),
    (17, "snack"),
    (22, "dinner"),
)
KNOWN_G = 25.0
Put = Callable[[Talk, pd.DataFrame], None]


def put_own(talk: Talk, food: pd.DataFrame) -> None:
    """Log a person's meals with the nutrients that the log gives."""
    with talk.app.store.begin() as tx:
        tx.people.ensure(talk.person, zone="UTC", unit="mmol/L", at=FIRST)
        for minute in food["minute"].unique().tolist():
            eaten = food[food["minute"] == minute]
            _log(tx, talk.person, minute, [_item(row) for _, row in eaten.iterrows()])


def put_items(talk: Talk, food: pd.DataFrame) -> None:
    """Log a person's meals by the names of what was eaten."""
    with talk.app.store.begin() as tx:
        tx.people.ensure(talk.person, zone="UTC", unit="mmol/L", at=FIRST)
        for minute in food["minute"].unique().tolist():
            names = [f"item {code}" for code in sorted(set(food.loc[food["minute"] == minute, "item"]))]
            held = Nutrients(carbs_g=KNOWN_G)
            _log(
                tx,
                talk.person,
                float(minute),
                [_named(name, 100.0, held) for name in names],
            )


def put_words(talk: Talk, food: pd.DataFrame, bare: bool) -> None:
    """Say a person's meals to the bot, with or without the amounts."""
    for minute in food["minute"].unique().tolist():
        eaten = food[food["minute"] == minute]
        talk.clock.move_to(FIRST + minute * MINUTE)
        parts = [
            " ".join(str(part) for part in ((words,) if bare else (amount, unit, words)) if part == part)
            for amount, unit, words in zip(eaten["amount"], eaten["unit"], eaten["words"], strict=True)
        ]
        talk.note(", ".join(parts))


def _log(tx: Transaction, person: str, minute: float, items: Iterable[Item]) -> None:
    hour = minute % 1440 / 60
    slot: Slot = next((name for until, name in SLOTS if hour < until), "snack")
    meal = Meal(FIRST + minute * MINUTE, slot, tuple(items))
    tx.log.add(person, meal, update_id=f"{minute}", ordinal=0, message_id=None, at=FIRST)


def _item(row: "pd.Series[float]") -> Item:
    known = {name: None if np.isnan(row[name]) else row[name] for name in ("fibre_g", "fat_g", "protein_g")}
    carbs = max(0.0, row["carbs_total_g"] - (known["fibre_g"] or 0.0))
    return _named(str(row["words"]).lower(), max(row["kcal"], 20.0), Nutrients(carbs_g=carbs, **known))


def _named(name: str, grams: float, held: Nutrients) -> Item:
    return Item(name, name, name, grams, 0.8 * grams, 1.25 * grams, True, 1.0, held)


def expect(food: pd.DataFrame, glucose: pd.DataFrame, put: Put) -> pd.DataFrame:
    """Return a row for each curve of one person: area, expected, low, high, carbs, level."""
    with talking() as talk:
        put(talk, food)
        with talk.app.store.begin() as tx:
            start = int(FIRST.timestamp() * 1e6)
            instants = [start + int(minute * 60_000_000) for minute in glucose["minute"]]
            mmol = glucose["mmol"].tolist()
            tx.readings.add_columns(talk.person, instants, mmol, source="file", at=FIRST, update_id="file")
        with talk.app.store.read() as tx:
            person = tx.people.get(talk.person)
            assert person is not None
            found = expected_between(tx, person, FIRST - AFTER_SENSOR, FIRST + 9 * AFTER_SENSOR)
    rows = [
        (s.curve.net_area_2h, e.area, e.low, e.high, s.carbs_g or 0.0, s.curve.baseline_mmol)
        for s, e in found
        if s.curve is not None
    ]
    return pd.DataFrame(rows, columns=["area", "expected", "low", "high", "carbs", "level"])


def judge(folder: Path, put: Put) -> pd.DataFrame:
    """Return the rows of `expect` for all people of a folder, with `person`."""
    food, glucose = (pd.read_csv(folder / name) for name in ("food.csv", "glucose.csv"))
    for frame in (food, glucose):
        if "sensor" in frame:
            frame["minute"] += frame["sensor"] * (AFTER_SENSOR / MINUTE)
    found = [
        expect(eaten, glucose[glucose["person"] == person], put).assign(person=person)
        for person, eaten in food.groupby("person")
    ]
    return pd.concat(found, ignore_index=True)


def tell(name: str, found: pd.DataFrame) -> str:
    """Return a line of the table above."""
    formula = 1.5 * found["carbs"] - 60 * found["level"]
    own = {
        what: values - values.groupby(found["person"]).transform("mean")
        for what, values in {**found[["area", "expected", "carbs", "level"]], "formula": formula}.items()
    }
    level = own["level"]
    apart = {what: v - level * (v.cov(level) / level.var()) for what, v in own.items()}
    held = found["area"].between(found["low"], found["high"])
    r = [own[what].corr(own["area"]) for what in ("expected", "formula", "carbs")]
    r += [apart[what].corr(apart["area"]) for what in ("expected", "carbs")]
    figures = [*r, held.mean(), held.groupby(found["person"]).mean().min()]
    return f"{name:12s} {len(found):5d}  " + "  ".join(f"{figure:5.2f}" for figure in figures)


def main() -> None:
    """Print the table above."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("logs", type=Path)
    parser.add_argument("free", type=Path)
    asked = parser.parse_args()
    print("              meals  r, formula, carbs, apart, carbs apart, held, least")
    print(tell("LOGS, own", judge(asked.logs, put_own)))
    print(tell("LOGS, bot's", judge(asked.logs, lambda talk, food: put_words(talk, food, bare=False))))
    print(tell("LOGS, bare", judge(asked.logs, lambda talk, food: put_words(talk, food, bare=True))))
    print(tell("FREE", judge(asked.free, put_items)))


if __name__ == "__main__":
    main()
