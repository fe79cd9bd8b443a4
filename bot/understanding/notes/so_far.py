"""What has been made of a note so far, while its clauses are read one after the other."""

from dataclasses import dataclass, field

from bot.model.units import GlucoseUnit
from bot.understanding.foods.meals import Mark, MealDraft
from bot.understanding.foods.said import Said
from bot.understanding.notes.accounting import Ledger
from bot.understanding.notes.unclaimed import Lost, Part
from bot.understanding.pieces.drafts import Draft
from bot.understanding.pieces.pieces import Clause, Moment

MOST_LOST = 4  # so many parts are looked back at, so that long notes are quick to read


@dataclass(slots=True)
class SoFar:
    """What has been made of a note so far: parts in order, marks that wait for what follows them.

    sorts: what was counted and is told by its sorts ("3 rolls, one with ham"), and how many are still untold
    """

    ledger: Ledger
    parts: list[Part] = field(default_factory=list)
    waiting: list[Mark] = field(default_factory=list)
    day: Moment | None = None
    asks: list[str] = field(default_factory=list)
    unit: GlucoseUnit | None = None
    of_blood: bool = False
    names_sensor: bool = False
    planned: bool = False
    of_others: bool = False
    told_of: bool = False
    of_somebody: bool = False
    unfinished: frozenset[str] = frozenset()
    times_behind: bool = False
    sorts: tuple[Said, float] | None = None

    @property
    def last_meal(self) -> MealDraft | None:
        """The meal said last."""
        return next((p for p in reversed(self.parts) if isinstance(p, MealDraft)), None)

    @property
    def last_draft(self) -> Draft | None:
        """The part said last, where it is an entry of another kind than food; lost words do not count."""
        last = next((p for p in reversed(self.parts[-MOST_LOST:]) if not _says_nothing(p)), None)
        return last if isinstance(last, Draft) else None

    @property
    def last_food(self) -> Said | None:
        """The food said last, where nothing of another kind was said since."""
        last = self.parts[-1] if self.parts else None
        clauses = reversed(last.parts) if isinstance(last, MealDraft) else iter(())
        return next((clause.foods[-1] for clause in clauses if clause.foods), None)

    def food_before(self, clause: Clause) -> Said | None:
        """The food that an amount by itself in a clause is of: not the one in a parenthesis before it."""
        last = self.last_food
        if last is None or not last.inside or clause.inside or self.last_meal is None:
            return last
        return next((food for food in reversed(self.last_meal.foods) if not food.inside), last)


def _says_nothing(part: Part) -> bool:
    """Tell whether a part is words that nothing claims ("the new lady" in "yoga w/ the new lady, 25 min")."""
    if isinstance(part, Lost):
        return not part.clause.strong
    if not isinstance(part, MealDraft) or len(part.parts) > 1:
        return False
    only = part.parts[0]
    plain = all(food.match is None and food.amount is None and not food.is_extra for food in only.foods)
    return plain and not only.marks and not only.clause.strong


def say_once(so_far: SoFar, ask: str) -> None:
    """Ask a question that was not asked before."""
    if ask not in so_far.asks:
        so_far.asks.append(ask)
