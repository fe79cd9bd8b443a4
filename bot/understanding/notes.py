"""The top of the grammar: a note's clauses classified by ordered rules, grouped, timed, made into entries."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from bot.entries import Entry
from bot.foodtable import FoodTable
from bot.understanding.activities import bare_length, denies_movement, read_activity
from bot.understanding.amounts import fold_amounts
from bot.understanding.clauses import NEGATED, STRONG, split_clauses
from bot.understanding.context import Context
from bot.understanding.drafts import Draft, bare_span, join_moments, moment_of
from bot.understanding.feelings import read_feeling
from bot.understanding.foods import EATING, Said, read_foods
from bot.understanding.joining import join_drafts, settle_halves, settle_rising
from bot.understanding.meals import FoodClause, Mark, MealDraft, add_clause
from bot.understanding.movements import find_movement
from bot.understanding.own_table import fold_own
from bot.understanding.pieces import Amount, Clause, Moment, Piece, SlotWord
from bot.understanding.plain_words import is_plain
from bot.understanding.readings import fold_spoken_decimals, is_heading, read_reading, settle_units, unit_in
from bot.understanding.remarks import drop_remarks, find_unfinished, scale_foods, scales_all, tells_of_rest
from bot.understanding.slots import fold_slots
from bot.understanding.states import add_moment, hours_in, read_sensor, read_sleep, read_sync, says_body_place
from bot.understanding.strange import Lost, Part, without_strange
from bot.understanding.telling import (
    DISTANCES,
    LENGTH_TOO,
    food_before,
    gives_reason,
    is_again,
    is_filler,
    is_vast,
    only_judges,
    says_length,
    tells_shift,
    with_bare_time,
    without_bare_place,
)
from bot.understanding.times import fold_times
from bot.understanding.timing import finish
from bot.understanding.tokens import Token, read_tokens
from bot.understanding.wordlists import word_set
from bot.units import GlucoseUnit

_HEADS = frozenset({":", "="})


@dataclass(slots=True)
class _Reading:
    """What has been made of a note so far: parts in order, marks that wait for what follows them."""

    parts: list[Part] = field(default_factory=list)
    waiting: list[Mark] = field(default_factory=list)
    day: Moment | None = None
    asks: list[str] = field(default_factory=list)
    unit: GlucoseUnit | None = None
    names_sensor: bool = False
    planned: bool = False
    unfinished: frozenset[str] = frozenset()

    @property
    def last_meal(self) -> MealDraft | None:
        return next((p for p in reversed(self.parts) if isinstance(p, MealDraft)), None)

    @property
    def last_draft(self) -> Draft | None:
        """The part said last, where it is an entry of another kind than food."""
        last = self.parts[-1] if self.parts else None
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


def fold(text: str, table: FoodTable) -> list[Piece]:
    """Return a text's pieces: times first, then meal names, then amounts, then what is left."""
    return drop_remarks(
        fold_amounts(fold_slots(fold_times(fold_own(fold_spoken_decimals(read_tokens(text)), table)), table))
    )


def read_notes(text: str, context: Context) -> tuple[list[Entry], list[str]]:
    """Return the entries and questions in a text that is no question and no correction."""
    clauses = split_clauses(fold(text, context.table), context.table)
    reading = _Reading(names_sensor=any("sensor" in clause.words for clause in clauses))
    for k, clause in enumerate(clauses):
        following = clauses[k + 1] if k + 1 < len(clauses) else None
        _read_clause(reading, clause, following, context)
    if reading.waiting:
        _settle_waiting(reading, text)
    beside = [None, *reading.parts]
    parts = [p for k, part in enumerate(reading.parts) for p in without_strange(part, beside[k])]
    parts = join_drafts(parts)
    settle_units([p for p in parts if isinstance(p, Draft)], reading.unit, context.unit)
    settle_halves(parts, context.now, context.zone)
    settle_rising(parts, context.now, context.zone)
    entries, asks = finish(parts, text, context)
    return entries, reading.asks + asks


def _read_clause(reading: _Reading, clause: Clause, following: Clause | None, context: Context) -> None:
    """Apply the rules in order: a left-out food, an entry of another kind, a bare time or name, food."""
    if denies_movement(clause) or (NEGATED in clause.leads and find_movement(clause.words)):
        _say_once(reading, NOT_DONE)
        return
    if NEGATED in clause.leads and not any(isinstance(p, Amount) and p.unit for p in clause.pieces):
        _leave_out(reading, clause)
        return
    moves = find_movement(clause.words) is not None  # "dog walk" leaves nothing to the dog
    if scales_all(clause) and reading.last_meal is not None:
        foods = reading.last_meal.foods
        scale_foods([f for f in foods if reading.unfinished & set(f.words)] or foods, clause)
        _leave_out(reading, clause)
        return
    unfinished = find_unfinished(clause.words)
    if unfinished and reading.last_meal is not None:
        reading.unfinished = unfinished
        _leave_out(reading, clause)
        return
    beside = tells_of_rest(clause.words) or gives_reason(clause)
    beside = beside and (reading.last_food is not None or clause.words[:1] == ["gave"])
    if beside and not moves:
        _leave_out(reading, clause)
        return
    clause = _without_bad_times(reading, _with_day(reading, clause))
    if not clause.pieces or tells_shift(clause):
        return
    if _only_planned(reading, clause) or only_judges(clause):
        reading.parts.append(Lost(clause))
        return
    if _says_again(reading, clause) or _completes_draft(reading, clause):
        return
    if _announces_readings(reading, clause, following):
        return
    draft = _classify(clause, reading)
    if draft is not None:
        if reading.waiting and draft.moment is None:
            draft.moment = next((m for m in reading.waiting if isinstance(m, Moment)), None)
            reading.waiting = []
        food = food_before(clause)
        if food is not None:
            _add_food(reading, food, context)
        if draft.what == "replaced":
            reading.parts.append(replace(draft, what="ended"))
            draft = replace(draft, what="started")
        reading.parts.append(draft)
        return
    clause = without_bare_place(clause, context.table)
    if not any(isinstance(p, Amount | Token) and not is_filler(p) for p in clause.pieces):
        _add_marks(reading, clause, following)
        return
    _add_food(reading, clause, context)


NOT_DONE = "I keep only what happened, so a “no” to moving is not noted; say it like “walked 10 min”."
_PLANNED = word_set(
    "i'll we'll thinking tomorrow might gonna planning craving fancy wish will want wants wanna buy shopping "
    "should remind"
)


def _only_planned(reading: _Reading, clause: Clause) -> bool:
    """Tell whether a clause speaks of what has not happened; that holds until the sentence ends."""
    words = set(clause.words)
    if clause.leads & STRONG or words & EATING:
        reading.planned = False
    reading.planned = reading.planned or bool(_PLANNED & words)
    return reading.planned


def _completes_draft(reading: _Reading, clause: Clause) -> bool:
    """Give a length or hours to the movement or sleep before ("a run at 7, 35 min"), a place to a sensor."""
    last = reading.last_draft
    if last is not None and last.kind == "sensor" and says_body_place(clause):
        add_moment(last, clause, moment_of(clause))
        return True
    if last is None or last.kind not in ("activity", "sleep"):
        return reading.names_sensor and clause.words == ["put"]  # "put on a new sensor"
    bare = all(isinstance(p, Moment | Amount) or is_filler(p) or says_length(p) for p in clause.pieces)
    told = last.kind == "activity" and bare_length(clause) is not None and all(map(is_plain, clause.words))
    far = any(isinstance(p, Amount) and p.unit in DISTANCES for p in clause.pieces)
    if last.kind == "activity" and far and all(map(is_plain, clause.words)) and bare_length(clause) is None:
        return True  # "two miles or so"
    if not bare and not told:
        return False
    moment, hours = moment_of(clause), hours_in(clause)
    if hours and moment is None and not (last.moment and last.moment.has_clock):
        moment = bare_span(hours, last.moment)
        if moment is None:
            return False
    elif last.kind == "sleep" and (moment is None or moment.until is None):
        return False
    elif last.kind == "activity":
        minutes = bare_length(clause)
        if minutes is None and set(clause.words) & LENGTH_TOO and not hours_in(clause):
            return True
        if minutes is None or last.minutes is not None:
            return False
        last.minutes = minutes
    add_moment(last, clause, moment)
    return True


def _announces_readings(reading: _Reading, clause: Clause, following: Clause | None) -> bool:
    """Keep the unit of "mg/dl: 101 at 8, 133 at 9"; the words that announce readings are no entry."""
    if following is None or not is_heading(clause.pieces):
        return False
    reading.unit = unit_in(clause) or reading.unit
    return True


def _says_again(reading: _Reading, clause: Clause) -> bool:
    """Repeat what was said before at another time: "coffee at 6 and again at 8", "synced at 8 and at 14"."""
    moment = moment_of(clause)
    last = reading.parts[-1] if reading.parts else None
    bare = all(isinstance(p, Moment) or is_again(p) for p in clause.pieces)
    moved = last if isinstance(last, Draft) and last.kind == "activity" and last.minutes is not None else None
    if moved is not None and "back" in clause.words and bare_length(clause) and moment is not None:
        reading.parts.append(replace(moved, moment=moment, minutes=bare_length(clause), clause=clause))
        return True
    if moment is None or not moment.has_clock or not bare or last is None or reading.waiting:
        return False
    if not (clause.leads & {"and", "&", "then"} or any(is_again(p) for p in clause.pieces)):
        return False
    if isinstance(last, Draft) and last.moment is not None and last.moment.has_clock:
        if last.kind in ("sleep", "reading", "sensor"):
            return False
        earlier = moment.hour is not None and last.moment.hour is not None and moment.hour < last.moment.hour
        if earlier and not (moment.half or moment.padded or moment.part) and moment.hour is not None:
            moment = replace(moment, half="pm", loose=False)
        reading.parts.append(replace(last, moment=moment, clause=clause))
        return True
    if not isinstance(last, MealDraft) or last.moment is None or not last.moment.has_clock:
        return False
    foods = [replace(food, words=food.words[:]) for food in last.parts[-1].foods]
    reading.parts.append(MealDraft([FoodClause(clause, foods, tail=[moment])]))
    return bool(foods)


def _classify(clause: Clause, reading: _Reading) -> Draft | None:
    after_food = reading.last_food is not None
    return (
        read_sync(clause)
        or read_reading(clause, after_food)
        or read_sensor(clause, reading.last_draft, reading.names_sensor)
        or read_sleep(clause)
        or (None if after_food and clause.words == ["squash"] else read_activity(clause))
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
    if reading.day is None or day is not None or {"woke", "alarm", "awake", "up"} & set(clause.words):
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
    vast = next((p for p in clause.pieces if isinstance(p, Token) and is_vast(p)), None)
    if vast is not None and len(clause.pieces) > 1:
        _say_once(reading, f"“{vast.text[:12]}” is too large a number: say how much, like “150 g rice”.")
        return replace(clause, pieces=())
    if not bad:
        return clause
    reading.asks.append(f"“{bad[0].text}” is no time I know: say it like “7:15”, “19:30” or “20 min ago”.")
    return replace(clause, pieces=tuple(p for p in clause.pieces if p not in bad))


def _leave_out(reading: _Reading, clause: Clause) -> None:
    last = reading.last_meal
    if last is not None:
        marks: list[Mark] = [p for p in clause.pieces if isinstance(p, Moment | SlotWord)]
        last.parts.append(FoodClause(clause, [], tail=marks))
    else:
        reading.parts.append(Lost(clause))


def _add_marks(reading: _Reading, clause: Clause, following: Clause | None) -> None:
    """Give a bare time or meal name to what was said before it, or keep it for what follows."""
    marks: list[Mark] = [p for p in clause.pieces if isinstance(p, Moment | SlotWord)]
    if not marks:
        return
    last = reading.parts[-1] if reading.parts else None
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
        last.parts += [p for p in grown[-1].parts if p.foods]
    reading.waiting += marks


def _settle_waiting(reading: _Reading, text: str) -> None:
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
    _say_once(reading, f"{ask or f'What did you eat for {slot}?'} Say it like “{slot}{when}: {example}”.")


def _say_once(reading: _Reading, ask: str) -> None:
    if ask not in reading.asks:
        reading.asks.append(ask)


def _add_food(reading: _Reading, clause: Clause, context: Context) -> None:
    clause = with_bare_time(clause)
    before = reading.food_before(clause)
    whole = before.whole if before else None
    known = [(food.words[:], food.amount, food.end) for food in (before, whole) if food]
    foods = read_foods(clause, context.table, before)
    attached = known != [(food.words, food.amount, food.end) for food in (before, whole) if food]
    if not foods and not attached:
        reading.parts.append(Lost(clause))
        return
    lead, tail = _split_marks(clause, foods)
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


def _after_movement(reading: _Reading, clause: Clause) -> list[Mark]:
    """Time food by the movement told just before it ("gym 5-6pm, shake after")."""
    last = reading.last_draft
    timed = any(isinstance(p, Moment) for p in clause.pieces)
    if last is None or last.kind != "activity" or timed or not {"after", "afterwards"} & set(clause.words):
        return []
    end = clause.pieces[-1].end
    return [Moment(end, end, side="after", side_what=last.what)]


def _split_marks(clause: Clause, foods: Sequence[Said]) -> tuple[list[Mark], list[Mark]]:
    start = foods[0].start if foods else clause.pieces[-1].end
    marks = [p for p in clause.pieces if isinstance(p, Moment | SlotWord)]
    return [m for m in marks if m.start < start], [m for m in marks if m.start >= start]
