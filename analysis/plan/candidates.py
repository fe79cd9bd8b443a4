"""Servings that could come next: plates that were eaten, as they were or with one thing changed.

Only what the person really eats, and never more of it: a plate as usual, without one of its foods, one of its
foods alone, half of one, or the plate with a habit that they have already.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from analysis.foods.model import Fit
from analysis.foods.rows import Row
from analysis.results import Floats

Kind = Literal["repeat", "without", "alone", "half", "lever"]
EVERY: tuple[Kind, ...] = get_args(Kind)
AS_USUAL: tuple[Kind, ...] = ("repeat",)
LEAST_LEFT_G = 60.0
"""What is left of a plate without one of its foods is at least so much: nobody eats butter by itself."""
SMALL_G = 25.0
"""So little of a food (g) is a spread, a sauce or sugar, and stays with the food that it goes on."""
LEAST_CARBS_G = 15.0
"""Carbohydrate of a food (g) from which on it makes a meal by itself, and half of it another one."""
MOST_OVER_USUAL = 1.1
"""A suggested plate holds at most so many times the carbohydrate that is usual at its time of day."""
MOST_PLATES = 60


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """A serving that could come next.

    kind, of: what is changed about the plate: the food that is left out, had alone or halved, or the
    lever
    foods: of the plate before that, the one with most carbohydrate first; slot: when it was eaten mostly
    row: its last occasion; times: how many it had; carbs_g: of the serving as changed
    held: carbohydrate, fat and fibre of each food of the model as changed, shape (3, F)
    amount: of the lever, as it is usually done
    """

    kind: Kind
    of: str
    foods: tuple[str, ...]
    slot: str
    row: int
    times: int
    carbs_g: float
    held: Floats
    amount: float = 0.0


@dataclass(frozen=True, slots=True)
class Limits:
    """What may be suggested: never `avoided` foods, changes of `kinds` only, `levers` of the person's own.

    tested: foods of the plates of a test that runs, which are had as it was agreed and no other way
    """

    avoided: Collection[str] = ()
    kinds: Collection[Kind] = EVERY
    levers: Collection[str] = ()
    tested: Collection[frozenset[str]] = ()


def list_candidates(fit: Fit, rows: Sequence[Row], limits: Limits, slot: str = "") -> list[Candidate]:
    """Return the servings that may be suggested, of one slot only where it is given.

    rows: those that the model was fitted to, in the order of time
    """
    plates: dict[frozenset[str], list[int]] = defaultdict(list)
    for k, row in enumerate(rows):
        plates[frozenset(e.food for e in row.eaten)].append(k)
    usual = _usual_carbs(fit, rows)
    amounts = {lever: usual_amount(rows, lever) for lever in sorted(limits.levers)}
    found: list[Candidate] = []
    latest = sorted(plates.items(), key=lambda plate: -plate[1][-1])[:MOST_PLATES]
    for foods, at in latest:
        when = Counter(rows[k].slot for k in at).most_common(1)[0][0]
        if foods & set(limits.avoided) or not foods or (slot and when != slot):
            continue
        if any(plate <= foods for plate in limits.tested):
            continue
        changed = _changes(fit, foods, at, when, amounts)
        most = MOST_OVER_USUAL * usual[when]
        found += [one for one in changed if one.kind in limits.kinds and one.carbs_g <= most]
    return found


def _usual_carbs(fit: Fit, rows: Sequence[Row]) -> dict[str, float]:
    """Return the median carbohydrate of the occasions of each slot (g)."""
    carbs = fit.design.held[0].sum(axis=1)
    by_slot: dict[str, list[float]] = defaultdict(list)
    for row, held in zip(rows, carbs.tolist(), strict=True):
        by_slot[row.slot].append(held)
    return {slot: float(np.median(held)) for slot, held in by_slot.items()}


def usual_amount(rows: Sequence[Row], lever: str) -> float:
    """Return how much of a lever goes with a meal that it goes with; 0 where it never did."""
    done = [row.levers[lever] for row in rows if row.levers.get(lever, 0.0) > 0]
    return float(np.median(done)) if done else 0.0


def _changes(
    fit: Fit, foods: frozenset[str], at: Sequence[int], slot: str, amounts: dict[str, float]
) -> list[Candidate]:
    """Return a plate as it was and with each change."""
    design = fit.design
    place = {food: design.foods.index(food) for food in foods}
    held = np.median(design.held[:, at], axis=1)
    grams = np.median(design.grams[at], axis=0)
    ordered = tuple(sorted(foods, key=lambda food: (-held[0, place[food]], food)))

    def change(kind: Kind, of: str, share: float = 1.0, amount: float = 0.0) -> Candidate:
        kept = held.copy()
        if kind == "alone":
            kept[:, [place[food] for food in foods - {of}]] = 0.0
        elif of in place:
            kept[:, place[of]] *= share
        return Candidate(kind, of, ordered, slot, at[-1], len(at), float(kept[0].sum()), kept, amount)

    found = [change("repeat", "")]
    for food in ordered:
        left = [grams[place[other]] for other in foods - {food}]
        bare = food == ordered[0] and any(amount < SMALL_G for amount in left)
        if sum(left) >= LEAST_LEFT_G and not bare:
            found.append(change("without", food, 0.0))
        if len(foods) > 2 and grams[place[food]] >= LEAST_LEFT_G and held[0, place[food]] >= LEAST_CARBS_G:
            found.append(change("alone", food))
        if held[0, place[food]] >= LEAST_CARBS_G:
            found.append(change("half", food, 0.5))
    return found + [change("lever", lever, amount=amount) for lever, amount in amounts.items() if amount > 0]
