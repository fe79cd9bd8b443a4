"""The top of the grammar: a note's clauses classified by ordered rules, grouped, timed, made into entries."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bot.foodtable import FoodTable
from bot.model.entries import Entry
from bot.understanding.context import Context
from bot.understanding.foods.foods import read_foods
from bot.understanding.foods.meals import FoodClause, Mark, MealDraft, add_clause
from bot.understanding.foods.own_table import fold_own
from bot.understanding.foods.remarks import (
    drop_remarks,
    find_unfinished,
    scale_foods,
    scales_all,
    tells_of_rest,
)
from bot.understanding.foods.said import EATING, Said
from bot.understanding.notes.accounting import FILLERS, Fate, Ledger
from bot.understanding.notes.asides import (
    food_before,
    gives_reason,
    is_filler,
    is_told_of,
    is_vast,
    marks_of,
    only_judges,
    tells_origin,
    tells_shift,
    with_bare_time,
    without_bare_place,
)
from bot.understanding.notes.clauses import NEGATED, REPAIR, STRONG, split_clauses
from bot.understanding.notes.completions import (
    announces_readings,
    completes_draft,
    heads_line,
    heads_movements,
    is_plain_word,
    only_planned,
    repair_time,
    says_again,
    tells_of_way,
    times_last,
    with_lap_times,
    with_repaired_hour,
)
from bot.understanding.notes.finishing import finish
from bot.understanding.notes.joining import join_drafts, settle_halves, settle_rising
from bot.understanding.notes.so_far import Reading, say_once
from bot.understanding.notes.unclaimed import Lost, Part, without_strange
from bot.understanding.notes.weighing_clauses import choose
from bot.understanding.pieces.amounts import fold_amounts
from bot.understanding.pieces.drafts import Draft, join_moments, moment_of
from bot.understanding.pieces.pieces import EVENING, Amount, Clause, Moment, Piece, SlotWord
from bot.understanding.pieces.slots import USUAL_TIME, fold_slots
from bot.understanding.pieces.times import fold_times
from bot.understanding.states.activities import (
    denies_movement,
    tells_of_others,
)
from bot.understanding.states.readings import (
    fold_spoken_decimals,
    settle_units,
)
from bot.understanding.states.sleep_and_sensor import (
    FAILED,
)
from bot.understanding.words.movements import find_movement
from bot.understanding.words.tokens import Token, read_tokens

MOST_CLAUSES = 250  # a whole day told in one message has some dozens
MOST_RISING = 40  # nobody tells of more times in one note
_HEADS = frozenset({":", "="})


def fold(text: str, table: FoodTable) -> list[Piece]:
    """Return a text's pieces: times first, then meal names, then amounts, then what is left."""
    return drop_remarks(_fold_all(text, table))


def _fold_all(text: str, table: FoodTable) -> list[Piece]:
    return fold_amounts(
        fold_slots(fold_times(fold_own(fold_spoken_decimals(read_tokens(text)), table)), table)
    )


@dataclass(frozen=True, slots=True)
class Notes:
    """What a note says.

    entries: in the order said; asks: short questions back
    left_out: the words that nothing above uses, as they were said; cost: how odd it is to read it so
    """

    entries: tuple[Entry, ...] = ()
    asks: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    cost: float = 0.0


def too_long(size: str) -> str:
    """Say that a message is more than can be read at once."""
    return f"That is longer than I can read in one go ({size}): send it in parts."


def read_notes(text: str, context: Context) -> Notes:
    """Return what a text says that is no question and no correction."""
    return account(text, context)[0]


def account(text: str, context: Context) -> tuple[Notes, list[tuple[str, Fate]]]:
    """Return what a text says, and each of its words with where it went."""
    ledger = Ledger([token for token in read_tokens(text) if token.kind != "mark"])
    told = _fold_all(text, context.table)
    pieces = drop_remarks(told)
    ledger.mark_beside(read_tokens(text), pieces)
    clauses = split_clauses(pieces, context.table)
    if len(clauses) > MOST_CLAUSES:
        return Notes(asks=(too_long(f"{len(clauses)} parts"),)), []
    _mark_joints(ledger, pieces, clauses)
    reading = Reading(ledger, names_sensor=any({"sensor", "cgm"} & set(clause.words) for clause in clauses))
    reading.times_behind = any(
        isinstance(c.pieces[-1], Moment) and c.pieces[-1].has_clock and isinstance(c.pieces[0], Token)
        for c in clauses
    )
    for k, clause in enumerate(clauses):
        following = clauses[k + 1] if k + 1 < len(clauses) else None
        _read_clause(reading, clause, following, context)
    if reading.waiting:
        _settle_waiting(reading, text)
    parts = _settle_parts(reading, clauses, context)
    entries, asks = finish(parts, text, context)
    ledger.settle()
    left_out = ledger.left_out(text, clauses)
    fates = [(word.text, fate) for word, fate in zip(ledger.words, ledger.fates, strict=True)]
    return Notes(tuple(entries), tuple(reading.asks + asks), left_out), fates


def _mark_joints(ledger: Ledger, pieces: Sequence[Piece], clauses: Sequence[Clause]) -> None:
    """Mark the words between the clauses: "without" negates, all others only join."""
    inside = {id(piece) for clause in clauses for piece in clause.pieces}
    before: list[Piece] = []
    behind = iter(clauses)
    for piece in pieces:
        if id(piece) not in inside:
            before.append(piece)
            continue
        if before:
            clause = next((c for c in behind if any(p is piece for p in c.pieces)), None)
            ledger.mark(before, "negated" if clause is not None and NEGATED in clause.leads else "used")
            before = []
    ledger.mark(before)


def _settle_parts(reading: Reading, clauses: Sequence[Clause], context: Context) -> list[Part]:
    """Return the parts of a note with what is no entry taken out, and their times made to fit each other."""
    ledger = reading.ledger
    beside = [None, *reading.parts]
    parts = [p for k, part in enumerate(reading.parts) for p in without_strange(part, beside[k])]
    parts = join_drafts(parts)
    for part in parts:
        if isinstance(part, Lost) and part.aside:
            ledger.mark(part.clause.pieces)
        elif isinstance(part, MealDraft):
            ledger.eat(part, context.table)
        elif isinstance(part, Draft) and part.what == FAILED:
            ledger.mark(part.clause.pieces, "left out")
    parts = [p for p in parts if not isinstance(p, Lost) and getattr(p, "what", "") != FAILED]
    for part in parts:
        if isinstance(part, Draft) and part.moment is None and part.kind != "sleep":
            part.moment = _at_slot(part.clause, context)
    settle_units([p for p in parts if isinstance(p, Draft)], reading.unit, context.unit)
    clocks = sum(isinstance(p, Moment) and p.has_clock for clause in clauses for p in clause.pieces)
    settle_rising(parts, context.now, context.zone, lone=clocks == 1)
    settle_halves(parts, context.now, context.zone)
    if clocks <= MOST_RISING:
        settle_rising(parts, context.now, context.zone)
    return parts


def _read_clause(reading: Reading, clause: Clause, following: Clause | None, context: Context) -> None:
    """Apply the rules in order: a left-out food, an entry of another kind, a bare time or name, food."""
    ledger, table = reading.ledger, context.table
    if denies_movement(clause) or (NEGATED in clause.leads and find_movement(clause.words)):
        say_once(reading, NOT_DONE)
        ledger.tell(clause, table, "negated")
        return
    if NEGATED in clause.leads and not any(isinstance(p, Amount) and p.unit for p in clause.pieces):
        ledger.mark(clause.pieces, "negated")
        _leave_out(reading, clause)
        return
    if tells_of_others(clause.words):
        reading.parts.append(Lost(clause))
        return
    moves = find_movement(clause.words) is not None  # "dog walk" leaves nothing to the dog
    if scales_all(clause) and reading.last_meal is not None:
        foods = reading.last_meal.foods
        scale_foods([f for f in foods if reading.unfinished & set(f.words)] or foods, clause)
        ledger.mark(clause.pieces)
        _leave_out(reading, clause)
        return
    unfinished = find_unfinished(clause.words)
    if unfinished and reading.last_meal is not None:
        reading.unfinished = unfinished
        ledger.mark(clause.pieces, "negated")
        _leave_out(reading, clause)
        return
    beside = tells_of_rest(clause.words) or gives_reason(clause)
    beside = beside and (reading.last_food is not None or clause.words[:1] == ["gave"])
    if beside and not moves:
        ledger.mark(clause.pieces)
        _leave_out(reading, clause)
        return
    clause = _without_bad_times(reading, _with_day(reading, clause))
    if not clause.pieces or tells_shift(clause):
        ledger.mark(clause.pieces)
        return
    if only_planned(reading, clause) or only_judges(clause) or is_told_of(clause, table):
        reading.parts.append(Lost(clause))
        return
    if (
        says_again(reading, clause)
        or completes_draft(reading, clause)
        or announces_readings(reading, clause, following)
        or times_last(reading, clause)
    ):
        ledger.tell(clause, table)
        return
    fever = reading.last_draft is not None and reading.last_draft.what == "fever"
    if fever and all(isinstance(p, Amount) for p in clause.pieces):
        reading.parts.append(Lost(clause))  # "fever, 38.5": no glucose
        return
    if heads_movements(clause, following):
        ledger.tell(clause, table)
        return
    draft = choose(clause, reading, context)
    if draft is not None:
        ledger.tell(clause, table, what=draft.what)
        draft.of_blood = draft.of_blood or (draft.kind == "reading" and reading.of_blood)
        _add_draft(reading, clause, draft, context)
        return
    goes_on = following is not None and "and" in following.leads
    if tells_of_way(clause) and goes_on and following is not None and moment_of(following) is None:
        reading.waiting += [p for p in clause.pieces if isinstance(p, Moment)]
        ledger.tell(clause, table)
        return  # "went to the pool at 8 and swam 20 min"
    if tells_of_way(clause) or heads_line(clause, following, context.table):
        reading.parts.append(Lost(clause))
        return
    told, clause = clause, without_bare_place(with_repaired_hour(reading, clause), context.table)
    ledger.mark_beside(told.pieces, clause.pieces)
    if not any(isinstance(p, Amount | Token) and not is_filler(p) for p in clause.pieces):
        ledger.mark(p for p in clause.pieces if getattr(p, "text", "") not in FILLERS)
        _add_marks(reading, clause, following)
        return
    _add_food(reading, clause, context)


def _add_draft(reading: Reading, clause: Clause, draft: Draft, context: Context) -> None:
    """Put an entry of another kind behind what was said; food said before it without a comma stays food."""
    if reading.waiting and draft.moment is None:
        draft.moment = next((m for m in reading.waiting if isinstance(m, Moment)), None)
        reading.waiting = []
    food = food_before(clause)
    if food is not None:
        _add_food(reading, food, context)
    last = reading.parts[-1] if reading.parts else None
    if REPAIR in clause.leads and isinstance(last, Draft) and last.kind == draft.kind:
        draft.moment = draft.moment or last.moment
        reading.parts.pop()
    if draft.what == "replaced":
        reading.parts.append(replace(draft, what="ended"))
        draft = replace(draft, what="started")
    reading.parts.append(draft)
    if draft.kind == "sleep":
        reading.day = None  # what follows is of the day after the night


NOT_DONE = "I keep only what happened, so a “no” to moving is not noted; say it like “walked 10 min”."


def _at_slot(clause: Clause, context: Context) -> Moment | None:
    """Return the usual time of a meal that something was done at ("a swim at lunchtime"), once it came."""
    named = next((p for p in clause.pieces if isinstance(p, SlotWord) and p.slot in USUAL_TIME), None)
    usual = USUAL_TIME.get(named.slot) if named is not None else None
    if named is None or usual is None or context.local_now.time() < usual:
        return None
    return Moment(named.start, named.end, hour=usual.hour, minute=usual.minute, padded=True)


def _with_day(reading: Reading, clause: Clause) -> Clause:
    """Let a day hold for the times behind it in the sentence ("yesterday eggs at 7, soup at 12")."""
    pieces_said = clause.pieces
    moments = [
        p for k, p in enumerate(pieces_said) if isinstance(p, Moment) and not tells_origin(pieces_said, k)
    ]
    day = next((m for m in moments if m.has_day), None)
    if day is not None:
        reading.day = day
    elif any(m.ago_min is not None or m.instant for m in moments) or clause.leads & (STRONG - {"\n"}):
        reading.day = None
    if reading.day is None or day is not None or {"woke", "alarm", "awake", "up"} & set(clause.words):
        return clause
    said = reading.day
    if not moments and any(isinstance(p, SlotWord) for p in clause.pieces):
        end = clause.pieces[-1].end
        return replace(clause, pieces=(*clause.pieces, replace(said, start=end, end=end)))
    evening = said.part if said.part in EVENING else ""
    pieces: tuple[Piece, ...] = tuple(
        replace(p, days=said.days, weekday=said.weekday, back=said.back, on=said.on, part=p.part or evening)
        if isinstance(p, Moment) and p.hour is not None
        else p
        for p in clause.pieces
    )
    return replace(clause, pieces=pieces)


def _without_bad_times(reading: Reading, clause: Clause) -> Clause:
    """Take out what looks like a time and is none ("25:00"), and ask about it."""
    clause = with_lap_times(reading, clause)
    bad = [p for p in clause.pieces if isinstance(p, Token) and p.kind in ("clock", "stamp")]
    vast = next((p for p in clause.pieces if isinstance(p, Token) and is_vast(p)), None)
    if vast is not None and len(clause.pieces) > 1:
        reading.ledger.mark([vast])
        say_once(reading, f"“{vast.text[:12]}” is too large a number: say how much, like “150 g rice”.")
        return replace(clause, pieces=())
    if not bad:
        return clause
    reading.ledger.mark(bad)
    reading.asks.append(f"“{bad[0].text}” is no time I know: say it like “7:15”, “19:30” or “20 min ago”.")
    return replace(clause, pieces=tuple(p for p in clause.pieces if p not in bad))


def _leave_out(reading: Reading, clause: Clause) -> None:
    last = reading.last_meal
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
        reading.parts.append(Lost(clause))


def _add_marks(reading: Reading, clause: Clause, following: Clause | None) -> None:
    """Give a bare time or meal name to what was said before it, or keep it for what follows."""
    marks: list[Mark] = marks_of(clause.pieces)
    if not marks:
        return
    last = reading.parts[-1] if reading.parts else None
    named = any(isinstance(m, SlotWord) for m in marks) and isinstance(last, Draft)
    if named and following is not None and any(isinstance(p, Token) for p in following.pieces):
        reading.waiting += marks
        return
    moment = join_moments([m for m in marks if isinstance(m, Moment)])
    if moment is not None and isinstance(last, Draft) and last.kind == "activity" and last.moment is not None:
        eaten = bool((EATING | {"was"}) & set(clause.words)) or any(isinstance(m, SlotWord) for m in marks)
        if eaten and last.moment.side == "before" and not last.moment.has_clock:
            last.ended, last.moment = moment, None  # "a walk before lunch, we ate at noon"
            return
    if REPAIR in clause.leads and moment is not None and isinstance(last, Draft | MealDraft):
        repair_time(reading, last, moment)
        return
    heads = following is not None and (bool(_HEADS & following.leads) or (clause.strong and following.strong))
    if isinstance(last, Draft) and not heads and not (last.moment and last.moment.has_clock):
        last.moment = join_moments(
            [*(m for m in marks if isinstance(m, Moment)), *filter(None, [last.moment])]
        )
        return
    if isinstance(last, MealDraft) and not heads and not reading.waiting:
        grown = add_clause([last], FoodClause(clause, [], tail=marks), apart=False)
        if len(grown) == 1:
            return
        if clause.inside and any(p.foods for p in grown[-1].parts):  # "oats (7:30) apple (10:15)"
            reading.parts[-1:] = grown
            return
        last.parts += [p for p in grown[-1].parts if p.foods]
    reading.waiting += marks


def _settle_waiting(reading: Reading, text: str) -> None:
    """Ask about a meal's name that no food followed; a time by itself is said back."""
    slot = next((m.slot for m in reading.waiting if isinstance(m, SlotWord)), None)
    if slot is None:
        first, last = reading.waiting[0], reading.waiting[-1]
        reading.parts.append(Lost(Clause((first, last) if first is not last else (first,))))
        return
    said = " ".join(text[m.start : m.end] for m in reading.waiting if isinstance(m, Moment))
    ask = {"snack": "What was the snack?", "drink": "What did you drink?"}.get(slot)
    example = "coffee with milk" if slot == "drink" else "soup and bread"
    when = f" {said}" if said else ""
    reading.ledger.mark(reading.waiting)
    say_once(reading, f"{ask or f'What did you eat for {slot}?'} Say it like “{slot}{when}: {example}”.")


def _add_food(reading: Reading, clause: Clause, context: Context) -> None:
    clause = with_bare_time(clause, listed=reading.times_behind)
    before = reading.food_before(clause)
    whole = before.whole if before else None
    known = [(food.words[:], food.amount, food.end) for food in (before, whole) if food]
    foods = read_foods(clause, context.table, before)
    attached = known != [(food.words, food.amount, food.end) for food in (before, whole) if food]
    if not foods and not attached:
        reading.parts.append(Lost(clause))
        return
    if REPAIR in clause.leads and foods and before is not None and not attached and reading.last_meal:
        reading.ledger.mark([before], "negated")
        for part in reading.last_meal.parts:
            part.foods = [food for food in part.foods if food is not before]
    lead, tail = _split_marks(clause, foods)
    reading.ledger.mark(p for k, p in enumerate(clause.pieces) if tells_origin(clause.pieces, k))
    after = _after_movement(reading, clause)
    new = FoodClause(clause, foods, lead=reading.waiting + lead, tail=tail + after)
    reading.waiting = []
    last = reading.parts[-1] if reading.parts else None
    between = isinstance(last, Draft) and last.kind != "reading"
    apart = bool(after) or (between and (clause.strong or "then" in clause.leads))
    apart = apart or any(isinstance(m, Moment) and m.side == "later" for m in new.marks)
    before_meal = reading.last_meal
    apart = apart or (bool(new.lead) and any(map(_leans, before_meal.marks if before_meal else [])))
    open_meals = [before_meal] if before_meal else []
    for meal in add_clause(open_meals, new, apart=apart)[len(open_meals) :]:
        reading.parts.append(meal)


def _leans(mark: Mark) -> bool:
    return isinstance(mark, Moment) and bool(mark.side_what) and not mark.has_clock


def _after_movement(reading: Reading, clause: Clause) -> list[Mark]:
    """Time food by the movement told just before it ("gym 5-6pm, shake after")."""
    last = reading.last_draft
    timed = any(isinstance(p, Moment) for p in clause.pieces)
    if last is None or last.kind != "activity" or timed or not {"after", "afterwards"} & set(clause.words):
        return []
    end = clause.pieces[-1].end
    return [Moment(end, end, side="after", side_what=last.what)]


def _split_marks(clause: Clause, foods: Sequence[Said]) -> tuple[list[Mark], list[Mark]]:
    start = foods[0].start if foods else clause.pieces[-1].end
    marks = marks_of(clause.pieces)
    return [m for m in marks if m.start < start], [m for m in marks if m.start >= start]
