"""What a food clause, a bare time or a meal's name adds to what a note has said so far."""

from collections.abc import Sequence
from dataclasses import replace

from bot.foodtable.words import plain_word
from bot.understanding.context import Context
from bot.understanding.foods.foods import read_foods
from bot.understanding.foods.meals import FoodClause, Mark, MealDraft, add_clause
from bot.understanding.foods.said import EATING, Said
from bot.understanding.notes.asides import (
    LEAST_HOUR,
    MOST_HOUR,
    marks_of,
    tells_origin,
    with_bare_time,
)
from bot.understanding.notes.clauses import NEGATED, REPAIR
from bot.understanding.notes.completions import (
    is_plain_word,
    repair_time,
)
from bot.understanding.notes.so_far import SoFar, say_once
from bot.understanding.notes.unclaimed import Lost, Part
from bot.understanding.pieces.drafts import Draft, join_moments
from bot.understanding.pieces.pieces import Amount, Clause, Moment, SlotWord
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import Token


def leave_out(so_far: SoFar, clause: Clause) -> None:
    """Keep what was not eaten beside the meal it was left out of; its time may be that of the meal."""
    last = so_far.last_meal
    if last is not None:
        marks: list[Mark] = [p for p in clause.pieces if isinstance(p, Moment | SlotWord)]
        if NEGATED in clause.leads and all(
            isinstance(p, SlotWord) or is_plain_word(p) for p in clause.pieces
        ):
            marks = []  # "no lunch yet"
        if NEGATED in clause.leads:  # "no bread tonight"
            marks = [m for m in marks if isinstance(m, SlotWord) or m.has_clock]
        last.parts.append(FoodClause(clause, [], tail=marks))
    elif not all(isinstance(p, SlotWord | Moment) or is_plain_word(p) for p in clause.pieces):
        so_far.parts.append(Lost(clause))


def add_marks(so_far: SoFar, clause: Clause, following: Clause | None) -> None:
    """Give a bare time or meal name to what was said before it, or keep it for what follows."""
    marks: list[Mark] = marks_of(clause.pieces)
    if not marks:
        return
    last = so_far.parts[-1] if so_far.parts else None
    named = any(isinstance(m, SlotWord) for m in marks) and isinstance(last, Draft)
    if named and following is not None and any(isinstance(p, Token) for p in following.pieces):
        so_far.waiting += marks
        return
    moment = join_moments([m for m in marks if isinstance(m, Moment)])
    if moment is not None and isinstance(last, Draft) and last.kind == "activity" and last.moment is not None:
        eaten = bool((EATING | {"was"}) & set(clause.words)) or any(isinstance(m, SlotWord) for m in marks)
        if eaten and last.moment.side == "before" and not last.moment.has_clock:
            last.ended, last.moment = moment, None  # "a walk before lunch, we ate at noon"
            return
    if REPAIR in clause.leads and moment is not None and isinstance(last, Draft | MealDraft):
        repair_time(so_far, last, moment)
        return
    heads = following is not None and (
        bool(TAGS.heads_adding & following.leads) or (clause.strong and following.strong)
    )
    if isinstance(last, Draft) and not heads and not (last.moment and last.moment.has_clock):
        last.moment = join_moments(
            [*(m for m in marks if isinstance(m, Moment)), *filter(None, [last.moment])]
        )
        return
    if isinstance(last, MealDraft) and not heads and not so_far.waiting:
        grown = add_clause([last], FoodClause(clause, [], tail=marks), apart=False)
        if len(grown) == 1:
            return
        if clause.inside and any(p.foods for p in grown[-1].parts):  # "oats (7:30) apple (10:15)"
            so_far.parts[-1:] = grown
            return
        last.parts += [p for p in grown[-1].parts if p.foods]
    so_far.waiting += marks


def settle_waiting(so_far: SoFar, text: str) -> None:
    """Ask about a meal's name that no food followed; a time by itself is said back."""
    slot = next((m.slot for m in so_far.waiting if isinstance(m, SlotWord)), None)
    if slot is None:
        first, last = so_far.waiting[0], so_far.waiting[-1]
        so_far.parts.append(Lost(Clause((first, last) if first is not last else (first,))))
        return
    said = " ".join(text[m.start : m.end] for m in so_far.waiting if isinstance(m, Moment))
    ask = {"snack": "What was the snack?", "drink": "What did you drink?"}.get(slot)
    example = "coffee with milk" if slot == "drink" else "soup and bread"
    when = f" {said}" if said else ""
    so_far.ledger.mark(so_far.waiting)
    say_once(so_far, f"{ask or f'What did you eat for {slot}?'} Say it like “{slot}{when}: {example}”.")


def add_food(so_far: SoFar, clause: Clause, context: Context) -> None:
    """Read a clause as food: into the open meal, or as a meal of its own; nothing in it is lost words."""
    clause = with_lone_hour(with_bare_time(clause, listed=so_far.times_behind), so_far)
    if all(isinstance(p, Moment) for p in clause.pieces):
        add_marks(so_far, clause, None)
        return
    before = so_far.food_before(clause)
    whole = before.whole if before else None
    if before is not None and _counts_again(so_far, clause, before):
        return
    known = [(food.words[:], food.amount, food.end) for food in (before, whole) if food]
    foods = read_foods(clause, context.table, before)
    attached = known != [(food.words, food.amount, food.end) for food in (before, whole) if food]
    if not foods and not attached:
        so_far.parts.append(Lost(clause))
        return
    again = NEGATED in clause.leads and bool(foods) and before is not None and foods[0].words == before.words
    if (
        (REPAIR in clause.leads or again)
        and foods
        and before is not None
        and not attached
        and so_far.last_meal
    ):
        so_far.ledger.mark([before], "negated")
        for part in so_far.last_meal.parts:
            part.foods = [food for food in part.foods if food is not before]
    lead, tail = _split_marks(clause, foods)
    so_far.ledger.mark(p for k, p in enumerate(clause.pieces) if tells_origin(clause.pieces, k))
    after = _after_movement(so_far, clause)
    new = FoodClause(clause, foods, lead=so_far.waiting + lead, tail=tail + after)
    so_far.waiting = []
    last = so_far.parts[-1] if so_far.parts else None
    between = isinstance(last, Draft) and last.kind != "reading"
    apart = bool(after) or (between and (clause.strong or "then" in clause.leads))
    apart = apart or any(isinstance(m, Moment) and m.side == "later" for m in new.marks)
    before_meal = so_far.last_meal
    apart = apart or (between and _is_timed(last) and _is_timed(before_meal))
    apart = apart or (bool(new.lead) and any(map(_leans, before_meal.marks if before_meal else [])))
    open_meals = [before_meal] if before_meal else []
    for meal in add_clause(open_meals, new, apart=apart)[len(open_meals) :]:
        so_far.parts.append(meal)


def _counts_again(so_far: SoFar, clause: Clause, food: Said) -> bool:
    """Put a bare number in the place of the one before: "2 eggs, no, 3"; tell whether that was done."""
    only, old = clause.pieces[0], food.amount
    if REPAIR not in clause.leads or len(clause.pieces) > 1 or not isinstance(only, Amount):
        return False
    if old is None or (only.unit and only.unit != old.unit):
        return False
    so_far.ledger.mark([old], "negated")
    so_far.ledger.mark([only])
    food.amount = replace(old, start=only.start, end=only.end, value=only.value)
    return True


def with_lone_hour(clause: Clause, so_far: SoFar) -> Clause:
    """Take the number of "samosas 4 mince, at the fete, 11" for an hour: the food before is not counted."""
    only, meal = clause.pieces[0], so_far.last_meal
    last = meal.foods[-1] if meal is not None and meal.foods else None
    if len(clause.pieces) > 1 or not isinstance(only, Amount) or last is None or clause.inside:
        return clause
    bare = not (only.unit or only.size or only.article or only.share or only.vague or only.times)
    hour = (
        bare and only.low is None and LEAST_HOUR <= only.value <= MOST_HOUR and only.value == int(only.value)
    )
    several = plain_word(last.words[-1]) != last.words[-1]
    open_count = last.amount is None or (only.about and last.amount.unit in TAGS.vessels)
    counted = open_count and several and last.match is not None  # "bowl of grapes, about 20"
    untimed = meal is not None and meal.moment is None
    if not hour or counted or not untimed or clause.leads != {","}:
        return clause
    moment = Moment(only.start, only.end, hour=int(only.value), loose=only.value <= 12)
    return replace(clause, pieces=(moment,))


def _is_timed(part: Part | None) -> bool:
    """Tell whether a part has a clock time of its own: between two such, what follows is of the later one."""
    moment = part.moment if isinstance(part, Draft | MealDraft) else None
    return moment is not None and moment.has_clock


def _leans(mark: Mark) -> bool:
    return isinstance(mark, Moment) and bool(mark.side_what) and not mark.has_clock


def _after_movement(so_far: SoFar, clause: Clause) -> list[Mark]:
    """Time food by the movement told just before it ("gym 5-6pm, shake after")."""
    last = so_far.last_draft
    timed = any(isinstance(p, Moment) for p in clause.pieces)
    if last is None or last.kind != "activity" or timed or not {"after", "afterwards"} & set(clause.words):
        return []
    end = clause.pieces[-1].end
    return [Moment(end, end, side="after", side_what=last.what)]


def _split_marks(clause: Clause, foods: Sequence[Said]) -> tuple[list[Mark], list[Mark]]:
    start = foods[0].start if foods else clause.pieces[-1].end
    marks = marks_of(clause.pieces)
    return [m for m in marks if m.start < start], [m for m in marks if m.start >= start]
