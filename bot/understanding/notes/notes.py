"""The top of the grammar: a note's clauses classified by ordered rules, grouped, timed, made into entries."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bot.foodtable import FoodTable
from bot.model.entries import Entry, Meal
from bot.understanding.context import Context
from bot.understanding.foods.folding import fold_tokens
from bot.understanding.foods.meals import MealDraft
from bot.understanding.foods.remarks import (
    drop_remarks,
    find_unfinished,
    read_helping,
    scale_foods,
    scales_all,
    size_helping,
    tells_of_rest,
)
from bot.understanding.foods.said import is_measured
from bot.understanding.notes.accounting import FILLERS, Fate, Ledger
from bot.understanding.notes.adding import add_food, add_marks, leave_out, settle_waiting
from bot.understanding.notes.asides import (
    compares_portion,
    food_before,
    gives_reason,
    heads_others,
    is_filler,
    is_still_to_come,
    is_told_of,
    is_vast,
    lists_on,
    only_judges,
    tells_origin,
    tells_shift,
    without_bare_place,
)
from bot.understanding.notes.clauses import NEGATED, REPAIR, split_clauses
from bot.understanding.notes.completions import (
    announces_readings,
    completes_draft,
    heads_line,
    heads_movements,
    says_again,
    tells_of_way,
    times_last,
    with_lap_times,
    with_repaired_hour,
)
from bot.understanding.notes.finishing import finish
from bot.understanding.notes.joining import join_drafts, settle_halves, settle_rising
from bot.understanding.notes.known_plates import fold_known
from bot.understanding.notes.not_eaten import (
    denies_last,
    goes_on_of_others,
    was_not_had,
    with_what_was_offered,
)
from bot.understanding.notes.so_far import SoFar, say_once
from bot.understanding.notes.told_again import tells_more, tells_sorts
from bot.understanding.notes.unclaimed import Lost, Part, drop_appointments, without_strange
from bot.understanding.notes.weighing_clauses import choose
from bot.understanding.pieces.drafts import Draft, moment_of
from bot.understanding.pieces.pieces import Amount, Clause, Moment, Piece, SlotWord
from bot.understanding.pieces.slots import USUAL_TIME
from bot.understanding.states.activities import denies_movement, tells_of_others
from bot.understanding.states.feelings import denies_feeling, read_feeling
from bot.understanding.states.readings import fold_spoken_decimals, settle_units
from bot.understanding.states.sleep_and_sensor import FAILED
from bot.understanding.words.costs import cost_of
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.movements import find_movement
from bot.understanding.words.plain_words import is_plain
from bot.understanding.words.tokens import Token, read_tokens

MOST_CLAUSES = 120  # a whole day told in one message has some dozens
MOST_RISING = 40  # nobody tells of more times in one note
_COURTESY = TAGS.courtesy


def fold(text: str, table: FoodTable) -> list[Piece]:
    """Return a text's pieces: times first, then meal names, then amounts, then what is left."""
    return drop_remarks(_fold_all(text, table), table)


def _fold_all(text: str, table: FoodTable) -> list[Piece]:
    return fold_tokens(fold_spoken_decimals(read_tokens(text)), table)


@dataclass(frozen=True, slots=True)
class Notes:
    """What a note says.

    entries: in the order said; asks: short questions back
    left_out: the words that nothing above uses, as they were said; used: how many words say what is noted
    whole: every word does; strange: how many of those left out are not known to be of others, or planned
    cost: how odd it is to read it so
    """

    entries: tuple[Entry, ...] = ()
    asks: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    used: int = 0
    cost: float = 0.0
    whole: bool = False
    strange: int = 0


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
    pieces = drop_remarks(fold_known(told, context), context.table)
    ledger.mark_beside(read_tokens(text), pieces)
    clauses = split_clauses(pieces, context.table)
    if len(clauses) > MOST_CLAUSES:
        return Notes(asks=(too_long(f"{len(clauses)} parts"),)), []
    _mark_joints(ledger, pieces, clauses)
    so_far = SoFar(ledger, names_sensor=any({"sensor", "cgm"} & set(clause.words) for clause in clauses))
    so_far.times_behind = any(
        isinstance(c.pieces[-1], Moment) and c.pieces[-1].has_clock and isinstance(c.pieces[0], Token)
        for c in clauses
    )
    for k, clause in enumerate(clauses):
        following = clauses[k + 1] if k + 1 < len(clauses) else None
        _read_clause(so_far, clause, following, context)
    if so_far.waiting:
        settle_waiting(so_far, text)
    parts = _settle_parts(so_far, clauses, context)
    entries, asks = finish(parts, text, context)
    ledger.settle()
    left_out = ledger.left_out(text, clauses)
    fates = [(word.text, fate) for word, fate in zip(ledger.words, ledger.fates, strict=True)]
    asks = so_far.asks + asks
    used = ledger.fates.count("used") + ledger.fates.count("negated")
    whole = bool(entries) and used == len(ledger.fates)
    strange = sum(
        word.text not in FILLERS and fate == "left out"
        for word, fate in zip(ledger.words, ledger.fates, strict=True)
    )
    cost = _cost(entries, asks, ledger)
    return Notes(tuple(entries), tuple(asks), left_out, used, cost, whole, strange), fates


def _cost(entries: Sequence[Entry], asks: Sequence[str], ledger: Ledger) -> float:
    """Return how odd it is to read a note so: words said back, foods not known, questions."""
    unknown = sum(item.food is None for e in entries if isinstance(e, Meal) for item in e.items)
    cost = cost_of("note", "left_out") * ledger.fates.count("left out")
    return cost + cost_of("note", "unknown_food") * unknown + cost_of("note", "asked") * len(asks)


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


def _settle_parts(so_far: SoFar, clauses: Sequence[Clause], context: Context) -> list[Part]:
    """Return the parts of a note with what is no entry taken out, and their times made to fit each other."""
    ledger = so_far.ledger
    beside = [None, *so_far.parts]
    parts = [p for k, part in enumerate(so_far.parts) for p in without_strange(part, beside[k])]
    parts = join_drafts(parts)
    for part in parts:
        if isinstance(part, Lost) and part.aside:
            ledger.mark(part.clause.pieces)
        elif isinstance(part, MealDraft):
            drop_appointments(part, context.now, context.zone)
            ledger.eat(part, context.table)
        elif isinstance(part, Draft) and part.what == FAILED:
            ledger.mark(part.clause.pieces, "left out")
    parts = [p for p in parts if not isinstance(p, Lost) and getattr(p, "what", "") != FAILED]
    for part in parts:
        if isinstance(part, Draft) and part.moment is None and part.kind != "sleep":
            part.moment = _at_slot(part.clause, context)
    settle_units([p for p in parts if isinstance(p, Draft)], so_far.unit, context.unit)
    clocks = sum(isinstance(p, Moment) and p.has_clock for clause in clauses for p in clause.pieces)
    settle_rising(parts, context.now, context.zone, lone=clocks == 1)
    settle_halves(parts, context.now, context.zone)
    if clocks <= MOST_RISING:
        settle_rising(parts, context.now, context.zone)
    return parts


def _read_clause(so_far: SoFar, clause: Clause, following: Clause | None, context: Context) -> None:
    """Read one clause: what was not eaten or done, what completes what was said, an entry, a time, food."""
    ledger, table = so_far.ledger, context.table
    if _tells_what_was_not(so_far, clause, table) or tells_more(so_far, clause, table):
        return
    if "rest" in clause.words and says_again(so_far, clause):
        ledger.tell(clause, table)
        return
    if tells_sorts(so_far, clause, following) or _tells_beside(so_far, clause, table):
        return
    clause = _without_bad_times(so_far, _with_day(so_far, clause))
    if not clause.pieces or tells_shift(clause):
        ledger.mark(clause.pieces)
        return
    so_far.of_others = heads_others(clause, following) or (
        so_far.of_others and not clause.leads & (TAGS.strong - {":"})
    )
    goes_on = goes_on_of_others(so_far, clause, following) or (so_far.told_of and lists_on(clause))
    so_far.told_of = goes_on or is_told_of(clause, table)
    if so_far.of_others or was_not_had(so_far, clause) or only_judges(clause) or so_far.told_of:
        ledger.mark(clause.pieces, "apart")
        so_far.parts.append(Lost(clause))
        return
    if (
        says_again(so_far, clause)
        or completes_draft(so_far, clause)
        or announces_readings(so_far, clause, following)
        or times_last(so_far, clause)
    ):
        ledger.tell(clause, table)
        return
    fever = so_far.last_draft is not None and so_far.last_draft.what == "fever"
    if fever and all(isinstance(p, Amount) for p in clause.pieces):
        so_far.parts.append(Lost(clause))  # "fever, 38.5": no glucose
        return
    if heads_movements(clause, following):
        ledger.tell(clause, table)
        return
    clause = with_what_was_offered(so_far, clause, table)
    draft = choose(clause, so_far, context)
    if draft is not None:
        ledger.tell(clause, table, what=draft.what)
        draft.of_blood = draft.of_blood or (draft.kind == "reading" and so_far.of_blood)
        _add_draft(so_far, clause, draft, context)
        return
    goes_on = following is not None and "and" in following.leads
    if tells_of_way(clause) and goes_on and following is not None and moment_of(following) is None:
        so_far.waiting += [p for p in clause.pieces if isinstance(p, Moment)]
        ledger.tell(clause, table)
        return  # "went to the pool at 8 and swam 20 min"
    if tells_of_way(clause) or heads_line(clause, following, context.table):
        so_far.parts.append(Lost(clause))
        return
    told, clause = clause, without_bare_place(with_repaired_hour(so_far, clause), context.table)
    ledger.mark_beside(told.pieces, clause.pieces)
    if not any(isinstance(p, Amount | Token) and not is_filler(p) for p in clause.pieces):
        ledger.mark(p for p in clause.pieces if getattr(p, "text", "") not in FILLERS)
        add_marks(so_far, clause, following)
        return
    add_food(so_far, clause, context)


def _tells_what_was_not(so_far: SoFar, clause: Clause, table: FoodTable) -> bool:
    """Take a clause for something negated, or done by others; tell whether it is."""
    negated = NEGATED in clause.leads
    if denies_last(so_far, clause):
        so_far.ledger.mark(clause.pieces, "negated")
        return True
    if denies_movement(clause) or (negated and find_movement(clause.words)):
        say_once(so_far, NOT_DONE)
        so_far.ledger.tell(clause, table, "negated")
        return True
    if negated and not any(isinstance(p, Amount) and p.unit for p in clause.pieces):
        so_far.ledger.mark(clause.pieces, "negated")
        leave_out(so_far, clause)
        return True
    if clause.words[:1] == ["nothing"] and "since" in clause.words and all(map(is_plain, clause.words)):
        so_far.ledger.mark(clause.pieces, "negated")
        return True  # "nothing else since yesterday": that is not when it was
    if denies_feeling(clause) and read_feeling(clause) is None:
        so_far.ledger.mark(clause.pieces, "negated")
        return True
    if tells_of_others(clause.words):
        so_far.ledger.mark(clause.pieces, "apart")
        so_far.parts.append(Lost(clause))
        return True
    if set(clause.words) <= _COURTESY and all(isinstance(p, Token) for p in clause.pieces):
        so_far.ledger.mark(clause.pieces)
        return True
    return False


def _tells_beside(so_far: SoFar, clause: Clause, table: FoodTable) -> bool:
    """Take a clause for how much of the meal was eaten, what became of the rest, or why."""
    fate: Fate = "used"
    meal, unfinished = so_far.last_meal, find_unfinished(clause.words)
    if meal is not None and meal.foods and compares_portion(clause):
        size_helping(meal.foods[0], clause)
        so_far.ledger.mark(clause.pieces)
        return True  # "smaller than last night": that is not when it was
    helping = read_helping(clause)
    last = so_far.last_food
    if helping is not None and last is not None and is_measured(last):
        of_it = replace(last.amount, value=helping.value) if last.amount and not helping.unit else helping
        last.amount = of_it  # "a litre for the table, I had 2 glasses"; "pizza, 8 slices, had 3"
        so_far.ledger.mark(clause.pieces)
        return True
    if meal is not None and scales_all(clause):
        scale_foods([f for f in meal.foods if so_far.unfinished & set(f.words)] or meal.foods, clause)
    elif meal is not None and unfinished:
        so_far.unfinished, fate = unfinished, "negated"
    else:
        said_of = so_far.last_food is not None or clause.words[:1] == ["gave"]
        beside = said_of and (tells_of_rest(clause.words, table) or gives_reason(clause))
        if not beside or find_movement(clause.words):  # "dog walk" leaves nothing to the dog
            return False
    so_far.ledger.mark(clause.pieces, fate)
    leave_out(so_far, clause)
    return True


def _add_draft(so_far: SoFar, clause: Clause, draft: Draft, context: Context) -> None:
    """Put an entry of another kind behind what was said; food said before it without a comma stays food."""
    if so_far.waiting and draft.moment is None:
        draft.moment = next((m for m in so_far.waiting if isinstance(m, Moment)), None)
        so_far.waiting = []
    food = food_before(clause)
    if food is not None:
        add_food(so_far, food, context)
        if is_still_to_come(draft, food):
            return
    last = so_far.parts[-1] if so_far.parts else None
    if REPAIR in clause.leads and isinstance(last, Draft) and last.kind == draft.kind:
        draft.moment = draft.moment or last.moment
        so_far.parts.pop()
    if draft.what == "replaced":
        so_far.parts.append(replace(draft, what="ended"))
        draft = replace(draft, what="started")
    so_far.parts.append(draft)
    if draft.kind == "sleep":
        so_far.day = None  # what follows is of the day after the night


NOT_DONE = "I keep only what happened, so a “no” to moving is not noted; say it like “walked 10 min”."


def _at_slot(clause: Clause, context: Context) -> Moment | None:
    """Return the usual time of a meal that something was done at ("a swim at lunchtime"), once it came."""
    named = next((p for p in clause.pieces if isinstance(p, SlotWord) and p.slot in USUAL_TIME), None)
    usual = USUAL_TIME.get(named.slot) if named is not None else None
    if named is None or usual is None or context.local_now.time() < usual:
        return None
    return Moment(named.start, named.end, hour=usual.hour, minute=usual.minute, padded=True)


def _with_day(so_far: SoFar, clause: Clause) -> Clause:
    """Let a day hold for the times behind it in the sentence ("yesterday eggs at 7, soup at 12")."""
    pieces_said = clause.pieces
    moments = [
        p for k, p in enumerate(pieces_said) if isinstance(p, Moment) and not tells_origin(pieces_said, k)
    ]
    day = next((m for m in moments if m.has_day), None)
    if day is not None:
        so_far.day = day
    elif any(m.ago_min is not None or m.instant for m in moments) or clause.leads & (TAGS.strong - {"\n"}):
        so_far.day = None
    if so_far.day is None or day is not None or {"woke", "alarm", "awake", "up"} & set(clause.words):
        return clause
    said = so_far.day
    evening = said.part if said.part in TAGS.evening else ""
    pieces: tuple[Piece, ...] = tuple(
        replace(p, days=said.days, weekday=said.weekday, back=said.back, on=said.on, part=p.part or evening)
        if isinstance(p, Moment) and p.hour is not None
        else p
        for p in clause.pieces
    )
    return replace(clause, pieces=pieces)


def _without_bad_times(so_far: SoFar, clause: Clause) -> Clause:
    """Take out what looks like a time and is none ("25:00"), and ask about it."""
    clause = with_lap_times(so_far, clause)
    bad = [p for p in clause.pieces if isinstance(p, Token) and p.kind in ("clock", "stamp")]
    vast = next((p for p in clause.pieces if isinstance(p, Token) and is_vast(p)), None)
    if vast is not None and len(clause.pieces) > 1:
        so_far.ledger.mark([vast])
        say_once(so_far, f"“{vast.text[:12]}” is too large a number: say how much, like “150 g rice”.")
        return replace(clause, pieces=())
    if not bad:
        return clause
    so_far.ledger.mark(bad)
    so_far.asks.append(f"“{bad[0].text}” is no time I know: say it like “7:15”, “19:30” or “20 min ago”.")
    return replace(clause, pieces=tuple(p for p in clause.pieces if p not in bad))
