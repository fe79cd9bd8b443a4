"""Entries and times that the store's tests share."""

from datetime import UTC, datetime, timedelta

import pytest

from bot.model.entries import Item, Meal, Nutrients, Reading
from bot.store import Logged, Transaction

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
TRAM, DEPOT = "tg:1", "tg:2"
"""Two people."""

ONLY_SQLITE = pytest.mark.parametrize("url", ["sqlite"], indirect=True)
"""For a test that looks at the file itself."""


def later(minutes: float) -> datetime:
    return NOW + timedelta(minutes=minutes)


def ensure(tx: Transaction, *people: str) -> None:
    for person in people or (TRAM, DEPOT):
        tx.people.ensure(person, zone="Europe/Vienna", unit="mmol/L", at=NOW)


def meal(said: str = "porridge", at: datetime | None = NOW) -> Meal:
    item = Item(said, said, "Oats", 60.0, 50.0, 70.0, True, 0.9, Nutrients(230.0, 34.0, 6.0))
    return Meal(at, "breakfast", (item,), said=said)


def add(
    tx: Transaction, entry, update_id: str = "u1", *, person: str = TRAM, ordinal: int = 0, at=NOW
) -> Logged:
    return tx.log.add(person, entry, update_id=update_id, ordinal=ordinal, message_id=f"m-{update_id}", at=at)


def readings(n: int, *, start: datetime = NOW, mmol: float = 5.0) -> list[Reading]:
    return [Reading(mmol + i % 20 / 10, start + timedelta(minutes=5 * i)) for i in range(n)]
