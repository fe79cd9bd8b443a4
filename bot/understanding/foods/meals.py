"""Food clauses grouped into meals: which time and which name of a meal belongs to which foods.

A time or a meal's name before the foods ("7:15 eggs, 12:30 soup") opens a meal; one behind them ("eggs at
7:15, soup at 12:30") closes it. A second time, or another meal's name, always means another meal.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from bot.model.entries import Slot
from bot.understanding.foods.said import Said
from bot.understanding.pieces.drafts import join_moments
from bot.understanding.pieces.pieces import Clause, Moment, SlotWord
from bot.understanding.pieces.slots import fits_hour
from bot.understanding.words.lexicon import TAGS

Mark = Moment | SlotWord


@dataclass(slots=True)
class FoodClause:
    """One clause with its foods; `lead` and `tail` are the times and meal names before and behind them."""

    clause: Clause
    foods: list[Said]
    lead: list[Mark] = field(default_factory=list)
    tail: list[Mark] = field(default_factory=list)

    @property
    def marks(self) -> list[Mark]:
        """All its times and meal names."""
        return self.lead + self.tail


@dataclass(slots=True)
class MealDraft:
    """The food clauses of one meal."""

    parts: list[FoodClause] = field(default_factory=list)

    @property
    def foods(self) -> list[Said]:
        """Its foods in the order said."""
        return [food for part in self.parts for food in part.foods]

    @property
    def left_out(self) -> list[str]:
        """The words of what was said not to be in it."""
        return [word for part in self.parts if "without" in part.clause.leads for word in part.clause.words]

    @property
    def marks(self) -> list[Mark]:
        """Its times and meal names."""
        return [mark for part in self.parts for mark in part.marks]

    @property
    def slot(self) -> Slot | None:
        """The meal's name when it was said."""
        return next((m.slot for m in self.marks if isinstance(m, SlotWord)), None)

    @property
    def moment(self) -> Moment | None:
        """Its time when one was said; "after the walk" and the like are not its time."""
        return join_moments([m for m in self.marks if isinstance(m, Moment)])

    @property
    def in_order(self) -> bool:
        """One food was said to be eaten before the next: "salad first, then rice"."""
        foods = self.foods
        first = any("first" in part.clause.words for part in self.parts)
        return len(foods) > 1 and (first or any("then" in food.leads for food in foods[1:]))


def add_clause(meals: Sequence[MealDraft], new: FoodClause, *, apart: bool) -> list[MealDraft]:
    """Return the meals with one more clause: in the last one, or in a new one that may take clauses along.

    apart: something else was said in between, so an open meal does not go on.
    """
    meals = list(meals)
    last = meals[-1] if meals else None
    if last is None or apart:
        return [*meals, MealDraft([new])]
    # Marks are gathered only where there are new ones, so that a long list is read in linear time.
    named = _names_meal(new.lead) and not last.marks and last.foods
    if new.lead and (_conflict(last.marks, new.lead) or named):
        return [*meals, MealDraft([new])]
    if new.tail and _conflict(last.marks, new.tail):
        taken = _unmarked_tail(last, new)
        moved = last.parts[len(last.parts) - taken :]
        last.parts = last.parts[: len(last.parts) - taken]
        return [*meals, MealDraft([*moved, new])]
    last.parts.append(new)
    return meals


def _names_meal(marks: Sequence[Mark]) -> bool:
    return any(isinstance(m, SlotWord) for m in marks)


def _unmarked_tail(meal: MealDraft, new: FoodClause) -> int:
    """Count the clauses at a meal's end that belong to the next time: after its own, or on a new line."""
    opened = bool(meal.parts[0].lead)
    count = 0
    for k, part in enumerate(reversed(meal.parts)):
        if part.marks or k == len(meal.parts) - 1:
            break
        if not opened:
            count = k + 1
        elif part.clause.strong and not new.clause.strong:
            return k + 1
    return 0 if new.clause.strong else count


def _conflict(old: Sequence[Mark], new: Sequence[Mark]) -> bool:
    """Tell whether marks cannot be of one meal: two times, two names, two days, a name at an odd hour."""
    if not new or not old:
        return False
    slots = {m.slot for m in [*old, *new] if isinstance(m, SlotWord)}
    times = [m for m in [*old, *new] if isinstance(m, Moment)]
    if len(slots) > 1 or sum(m.has_clock for m in times) > 1:
        return True
    if len({(m.days, m.weekday, m.on) for m in times if m.has_day}) > 1:
        return True
    if len({_part(m) for m in times} - {""}) > 1:
        return True  # "oats in the morning, fish in the evening"
    hours = [m.hour for m in times if m.hour is not None]
    return any(not fits_hour(s, h) and not (h <= 12 and fits_hour(s, h + 12)) for s in slots for h in hours)


def _part(moment: Moment) -> str:
    """Name the part of the day that a moment surely is in, "" where that is open."""
    if moment.part:
        return "evening" if moment.part in TAGS.evening else moment.part
    if moment.hour is None or not (moment.half or moment.hour >= 12):
        return ""
    hour = moment.hour % 12 + (12 if moment.half == "pm" or (moment.hour >= 12 and not moment.half) else 0)
    return "morning" if hour < 12 else "afternoon" if hour < 17 else "evening"
