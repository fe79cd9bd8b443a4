"""The top of the grammar: a note's clauses classified by ordered rules, grouped, timed, made into entries."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from bot.entries import Entry
from bot.foodtable import FoodTable
from bot.understanding.activities import LONGEST_MIN, read_activity
from bot.understanding.amounts import fold_amounts
from bot.understanding.clauses import NEGATED, STRONG, split_clauses
from bot.understanding.context import Context
from bot.understanding.drafts import Draft, moment_of
from bot.understanding.foods import EATING, FILLER, Said, read_foods
from bot.understanding.meals import FoodClause, Mark, MealDraft, add_clause
from bot.understanding.pieces import Amount, Clause, Moment, Piece, SlotWord
from bot.understanding.readings import read_reading
from bot.understanding.slots import fold_slots
from bot.understanding.states import read_feeling, read_sensor, read_sleep, read_sync
from bot.understanding.times import fold_times
from bot.understanding.timing import finish
from bot.understanding.tokens import Token, read_tokens

# "I called my sister" tells of something other than food.
_SUBJECTS = frozenset({"i", "i've", "we", "he", "she", "they", "you", "it"})
_ENDS = frozenset({".", ";", "!", "?"})
MOST_WORDS_UNKNOWN = 4
MOST_PIECES_UNKNOWN = 20


@dataclass(slots=True)
class Lost:
    """Words that nothing claimed."""

    clause: Clause


Part = Draft | MealDraft | Lost


@dataclass(slots=True)
class _Reading:
    """What has been made of a note so far: parts in order, marks that wait for what follows them."""

    parts: list[Part] = field(default_factory=list)
    waiting: list[Mark] = field(default_factory=list)
    day: Moment | None = None
    asks: list[str] = field(default_factory=list)

    @property
    def meals(self) -> list[MealDraft]:
        return [p for p in self.parts if isinstance(p, MealDraft)]

    @property
    def last_food(self) -> Said | None:
        last = self.parts[-1] if self.parts else None
        foods = last.foods if isinstance(last, MealDraft) else []
        return foods[-1] if foods else None


def fold(text: str, table: FoodTable) -> list[Piece]:
    """Return a text's pieces: times first, then meal names, then amounts, then what is left."""
    return fold_amounts(fold_slots(fold_times(read_tokens(text)), table))


def read_notes(text: str, context: Context) -> tuple[list[Entry], list[str]]:
    """Return the entries and questions in a text that is no question and no correction."""
    clauses = split_clauses(fold(text, context.table), context.table)
    reading = _Reading()
    for k, clause in enumerate(clauses):
        following = clauses[k + 1] if k + 1 < len(clauses) else None
        _read_clause(reading, clause, following, context)
    if reading.waiting:
        _settle_waiting(reading)
    parts = [p for part in reading.parts for p in _without_strange(part)]
    entries, asks = finish(parts, text, context)
    return entries, reading.asks + asks


def _read_clause(reading: _Reading, clause: Clause, following: Clause | None, context: Context) -> None:
    """Apply the rules in order: a left-out food, an entry of another kind, a bare time or name, food."""
    if NEGATED in clause.leads and not any(isinstance(p, Amount) and p.unit for p in clause.pieces):
        _leave_out(reading, clause)
        return
    clause = _without_bad_times(reading, _with_day(reading, clause))
    if _completes_draft(reading, clause) or _only_planned(clause):
        if _only_planned(clause):
            reading.parts.append(Lost(clause))
        return
    draft = _classify(clause, reading, context)
    if draft is not None:
        if reading.waiting and draft.moment is None:
            draft.moment = next((m for m in reading.waiting if isinstance(m, Moment)), None)
            reading.waiting = []
        food = _food_before(clause)
        if food is not None:
            _add_food(reading, food, context)
        reading.parts.append(draft)
        return
    if not any(isinstance(p, Amount | Token) and not _is_filler(p) for p in clause.pieces):
        _add_marks(reading, clause, following)
        return
    _add_food(reading, clause, context)


_PLANNED = frozenset({"thinking", "tomorrow", "might", "gonna", "planning", "craving", "fancy", "wish"})


def _only_planned(clause: Clause) -> bool:
    """Tell whether a clause speaks of what has not happened."""
    return bool(_PLANNED & set(clause.words))


def _completes_draft(reading: _Reading, clause: Clause) -> bool:
    """Give a bare length of time to the movement before it ("went for a run at 7, 35 min")."""
    last = reading.parts[-1] if reading.parts else None
    lengths = [p.minutes for p in clause.pieces if isinstance(p, Amount) and p.minutes is not None]
    lengths = [minutes for minutes in lengths if 0 < minutes <= LONGEST_MIN]
    if not isinstance(last, Draft) or last.kind != "activity" or last.minutes is not None or not lengths:
        return False
    if not all(isinstance(p, Moment) or _is_filler(p) or isinstance(p, Amount) for p in clause.pieces):
        return False
    last.minutes = lengths[0]
    last.moment = last.moment or moment_of(clause)
    last.clause = Clause((*last.clause.pieces, *clause.pieces), last.clause.leads, last.clause.strong)
    return True


def _is_filler(piece: Piece) -> bool:
    return isinstance(piece, Token) and (piece.kind == "mark" or piece.text in FILLER)


def _classify(clause: Clause, reading: _Reading, context: Context) -> Draft | None:
    after_food = reading.last_food is not None
    return (
        read_sync(clause)
        or read_reading(clause, context.unit, after_food)
        or read_sensor(clause)
        or read_sleep(clause)
        or read_activity(clause)
        or read_feeling(clause)
    )


def _with_day(reading: _Reading, clause: Clause) -> Clause:
    """Let a day hold for the times behind it in the sentence ("yesterday eggs at 7, soup at 12")."""
    moments = [p for p in clause.pieces if isinstance(p, Moment)]
    day = next((m for m in moments if m.has_day), None)
    if day is not None:
        reading.day = day
    elif any(m.ago_min is not None or m.instant for m in moments) or clause.leads & (STRONG - {"\n"}):
        reading.day = None
    if reading.day is None or day is not None:
        return clause
    said = reading.day
    if not moments and any(isinstance(p, SlotWord) for p in clause.pieces):
        end = clause.pieces[-1].end
        return replace(clause, pieces=(*clause.pieces, replace(said, start=end, end=end)))
    pieces: tuple[Piece, ...] = tuple(
        replace(p, days=said.days, weekday=said.weekday, back=said.back, on=said.on)
        if isinstance(p, Moment) and p.hour is not None
        else p
        for p in clause.pieces
    )
    return replace(clause, pieces=pieces)


def _without_bad_times(reading: _Reading, clause: Clause) -> Clause:
    """Take out what looks like a time and is none ("25:00"), and ask about it."""
    bad = [p for p in clause.pieces if isinstance(p, Token) and p.kind in ("clock", "stamp")]
    if not bad:
        return clause
    reading.asks.append(f"“{bad[0].text}” is no time I know: say it like “7:15”, “19:30” or “20 min ago”.")
    return replace(clause, pieces=tuple(p for p in clause.pieces if p not in bad))


def _leave_out(reading: _Reading, clause: Clause) -> None:
    if reading.meals:
        last = reading.meals[-1]
        marks: list[Mark] = [p for p in clause.pieces if isinstance(p, Moment | SlotWord)]
        last.parts.append(FoodClause(clause, [], tail=marks))
    else:
        reading.parts.append(Lost(clause))


def _food_before(clause: Clause) -> Clause | None:
    """Return the food said before an activity without a separator ("2 eggs walk 10 min"), None for none."""
    for i, piece in enumerate(clause.pieces):
        if isinstance(piece, Token) and read_activity(Clause((piece,))) is not None:
            before = list(clause.pieces[:i])
            while before and isinstance(before[-1], Amount) and before[-1].unit == "min":
                before.pop()
            has_amount = any(isinstance(p, Amount) and p.unit != "min" and not p.article for p in before)
            named = any(isinstance(p, Token) and not _is_filler(p) for p in before)
            return Clause(tuple(before), clause.leads, clause.strong) if has_amount and named else None
    return None


def _add_marks(reading: _Reading, clause: Clause, following: Clause | None) -> None:
    """Give a bare time or meal name to what was said before it, or keep it for what follows."""
    marks: list[Mark] = [p for p in clause.pieces if isinstance(p, Moment | SlotWord)]
    if not marks:
        return
    last = reading.parts[-1] if reading.parts else None
    heads = following is not None and (":" in following.leads or (clause.strong and following.strong))
    if isinstance(last, Draft) and not heads and last.moment is None:
        last.moment = next((m for m in marks if isinstance(m, Moment)), None)
        return
    if isinstance(last, MealDraft) and not heads and not reading.waiting:
        grown = add_clause([last], FoodClause(clause, [], tail=marks), apart=False)
        if len(grown) == 1:
            return
        last.parts += [p for p in grown[-1].parts if p.foods]
    reading.waiting += marks


def _settle_waiting(reading: _Reading) -> None:
    """Marks that nothing followed belong to the last entry without a time, or are said back."""
    first, last = reading.waiting[0], reading.waiting[-1]
    reading.parts.append(Lost(Clause((first, last) if first is not last else (first,))))


def _add_food(reading: _Reading, clause: Clause, context: Context) -> None:
    before = reading.last_food
    known = before.words[:] if before else []
    foods = read_foods(clause, context.table, before)
    attached = before is not None and (before.words != known or before.amount in clause.pieces)
    if not foods and not attached:
        reading.parts.append(Lost(clause))
        return
    lead, tail = _split_marks(clause, foods)
    new = FoodClause(clause, foods, lead=reading.waiting + lead, tail=tail)
    reading.waiting = []
    last = reading.parts[-1] if reading.parts else None
    between = isinstance(last, Draft) and last.kind != "reading"
    apart = between and (clause.strong or "then" in clause.leads)
    grown = add_clause(reading.meals, new, apart=apart)
    for meal in grown[len(reading.meals) :]:
        reading.parts.append(meal)


def _split_marks(clause: Clause, foods: Sequence[Said]) -> tuple[list[Mark], list[Mark]]:
    start = foods[0].start if foods else clause.pieces[-1].end
    marks = [p for p in clause.pieces if isinstance(p, Moment | SlotWord)]
    return [m for m in marks if m.start < start], [m for m in marks if m.start >= start]


def _without_strange(part: Part) -> list[Part]:
    """Take out of a meal the words that are no known food and that nothing shows to be one."""
    if not isinstance(part, MealDraft):
        return [part]
    strange: list[Part] = []
    shown = False
    for k, piece in enumerate(part.parts):
        if k == 0 or piece.clause.leads & _ENDS:
            shown = part.slot is not None or _shows_food(part.parts[k:])
        tells = bool(_SUBJECTS & set(piece.clause.words)) and not EATING & set(piece.clause.words)
        unknown = [f for f in piece.foods if f.match is None and not f.is_extra]
        lost = [f for f in unknown if not _may_be_food(f, shown and not tells)]
        if lost:
            piece.foods = [f for f in piece.foods if f not in lost]
            strange.append(Lost(piece.clause if not piece.foods else _clause_of(lost)))
    return [part, *strange] if part.foods else strange


def _shows_food(parts: Sequence[FoodClause]) -> bool:
    """Tell whether something in the sentence that begins these parts is surely eaten."""
    for k, part in enumerate(parts):
        if k and part.clause.leads & _ENDS:
            return False
        if EATING & set(part.clause.words) or any(food.match is not None for food in part.foods):
            return True
    return False


def _may_be_food(food: Said, shown: bool) -> bool:
    if len(food.words) > MOST_WORDS_UNKNOWN or not any(len(word) > 1 for word in food.words):
        return False
    amount = food.amount
    acts = any(word.endswith(("ed", "ing")) for word in food.words)
    return (shown and not acts) or (
        amount is not None and (bool(amount.unit) or 0 < amount.value <= MOST_PIECES_UNKNOWN)
    )


def _clause_of(foods: Sequence[Said]) -> Clause:
    return Clause(tuple(Token("word", food.name, food.start, food.end) for food in foods))
