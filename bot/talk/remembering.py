"""What the store knows of how one person speaks and eats, as understanding takes it (`Personal`)."""

import re
from collections import Counter
from datetime import date, datetime, time, timedelta
from functools import cached_property
from statistics import median_low

from bot.model.entries import Meal, Slot
from bot.store import Logged, Person, Transaction
from bot.understanding.corrections.portions import ASKED
from bot.understanding.personal import Own, Personal, Usual
from bot.understanding.worth_asking import KIND

PORTIONS_OF = timedelta(days=60)
USUAL_OF = timedelta(days=30)
LEAST_TIMES = 2
"""How often an amount, or the same meal, must have been noted before it counts as usual."""
NIGHT_ENDS = timedelta(hours=4)
_MAIN = ("breakfast", "lunch", "dinner")


def personal_of(tx: Transaction, person: Person, now: datetime) -> Personal:
    """Return a person's words now, and their habits as functions that look up the log when first asked."""
    memory = _Memory(tx, person, now)
    words = {word.name: Own(word.kind, word.meal) for word in tx.words.all(person.id)}
    return Personal(words, memory.usual, memory.kind_of, memory.recall, memory.recall_named)


class _Memory:
    """Looks things up once a message."""

    def __init__(self, tx: Transaction, person: Person, now: datetime) -> None:
        self._tx, self._person, self._now = tx, person, now

    @cached_property
    def _stated(self) -> dict[str, list[float]]:
        return self._tx.log.stated_grams(self._person.id, self._now - PORTIONS_OF)

    def usual(self, food: str) -> Usual | None:
        """Return the middle one of the amounts said, or the one that was answered when asked."""
        said = self._stated.get(food, [])
        if len(said) >= LEAST_TIMES:
            return Usual(median_low(said), len(said))
        asked = self._tx.asked.about(self._person.id, ASKED + food)
        if asked is None or asked.answer is None or not asked.answer.items:
            return None
        return Usual(asked.answer.items[0].grams, 0)

    def kind_of(self, food: str) -> str | None:
        """Return the food that was answered when asked which of two a weight is of."""
        asked = self._tx.asked.about(self._person.id, KIND + food)
        return None if asked is None or asked.answer is None else asked.answer.items[0].name

    def recall(self, slot: Slot | None, day: date | None) -> Meal | None:
        """Return the meal that is meant; see `Personal`."""
        if day is not None:
            return self._of_day(slot, day)
        if slot is not None:
            return self._most_often(slot)
        last = self._tx.log.last_logged(self._person.id, ("meal",))
        return None if last is None or not isinstance(last.entry, Meal) else last.entry

    def recall_named(self, name: str, day: date | None) -> Meal | None:
        """Return the last meal that was noted by these words, of a local day or of all."""
        since, until = self._now - USUAL_OF, self._now
        if day is not None:
            since = datetime.combine(day, time(0), self._person.zone)
            until = datetime.combine(day + timedelta(days=1), time(0), self._person.zone)
        said = re.compile(rf"\b{re.escape(name)}", re.IGNORECASE)
        meals = [m for m in map(_meal, self._between(since, until)) if m is not None]
        return next((m for m in reversed(meals) if said.search(f"{m.called}\n{m.said}")), None)

    def _of_day(self, slot: Slot | None, day: date) -> Meal | None:
        midnight = datetime.combine(day, time(0), self._person.zone)
        following = datetime.combine(day + timedelta(days=1), time(0), self._person.zone)
        until = following + NIGHT_ENDS if slot == "dinner" else following
        meals = [m for m in map(_meal, self._between(midnight, until)) if m is not None]
        fitting = [m for m in meals if m.slot == slot] if slot else [m for m in meals if m.slot in _MAIN]
        if not fitting and slot is None:
            fitting = meals
        # Of two breakfasts the larger one is meant, and of two alike the later.
        return max(reversed(fitting), key=lambda meal: meal.nutrients.energy_kcal or 0.0, default=None)

    def _most_often(self, slot: Slot) -> Meal | None:
        meals = [m for m in map(_meal, self._between(self._now - USUAL_OF, self._now)) if m is not None]
        plates = [(frozenset(item.name for item in m.items), m) for m in meals if m.slot == slot and m.items]
        # The later of two that are eaten equally often; and of one, as it was eaten last.
        times = Counter(plate for plate, _ in reversed(plates))
        if not times:
            return None
        plate, n = times.most_common(1)[0]
        return next(m for p, m in reversed(plates) if p == plate) if n >= LEAST_TIMES else None

    def _between(self, since: datetime, until: datetime) -> list[Logged]:
        return self._tx.log.between(self._person.id, ("meal",), since, until)


def _meal(logged: Logged) -> Meal | None:
    return logged.entry if isinstance(logged.entry, Meal) else None
