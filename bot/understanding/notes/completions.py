"""Clauses that complete what was said before them: a length, an end, another time, a reading's heading."""

from dataclasses import replace
from itertools import pairwise

from bot.foodtable import FoodTable
from bot.understanding.foods.meals import FoodClause, MealDraft
from bot.understanding.foods.said import Said
from bot.understanding.notes.asides import is_again, is_filler, says_length
from bot.understanding.notes.clauses import REPAIR
from bot.understanding.notes.so_far import SoFar
from bot.understanding.pieces.drafts import Draft, bare_span, join_moments, moment_of
from bot.understanding.pieces.pieces import Amount, Clause, Moment, Piece, SlotWord
from bot.understanding.states.activities import (
    LONGEST_MIN,
    SHORTEST_MIN,
    bare_length,
    both_ways,
    complete_movement,
)
from bot.understanding.states.readings import (
    is_heading,
    is_of_blood,
    tells_of_check,
    unit_in,
)
from bot.understanding.states.sleep_and_sensor import (
    add_moment,
    hours_in,
    says_body_place,
)
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.movements import MOVEMENT_WORDS, find_movement
from bot.understanding.words.plain_words import is_plain
from bot.understanding.words.tokens import Token


def heads_line(clause: Clause, following: Clause | None, table: FoodTable) -> bool:
    """Tell whether one unknown word before a colon only heads what follows ("mån: swim 06.00, oats")."""
    if following is None or ":" not in following.leads or len(clause.pieces) != 1 or not clause.words:
        return False
    told = any(isinstance(p, Token) and not is_filler(p) for p in following.pieces)
    return told and table.match(clause.words[0]) is None


def tells_of_way(clause: Clause) -> bool:
    """Tell whether a clause only says when someone came or went: "came home late 12:30", "got in at 6"."""
    words = set(clause.words)
    went = bool(words & TAGS.on_the_way) or ("got" in words and bool(words & {"home", "in", "back"}))
    timed = any(isinstance(p, Moment) and p.has_clock for p in clause.pieces)
    return went and timed and all(isinstance(p, Moment) or is_plain_word(p) for p in clause.pieces)


def completes_draft(so_far: SoFar, clause: Clause) -> bool:
    """Give a length or hours to the movement or sleep before ("a run at 7, 35 min"), a place to a sensor."""
    last = so_far.last_draft
    if last is not None and last.kind == "reading" and last.moment is None and _so_long_after(clause):
        length = next(p for p in clause.pieces if isinstance(p, Amount))
        last.moment = Moment(length.start, length.end, after_min=length.minutes, side="after")
        return True
    put_on = last is not None and last.kind == "sensor" and set(clause.words) <= TAGS.put_on
    if put_on and last is not None and last.moment is None and moment_of(clause) is not None:
        add_moment(last, clause, moment_of(clause))
        return True
    if last is not None and last.kind == "sensor" and says_body_place(clause):
        add_moment(last, clause, moment_of(clause))
        return True
    if last is None or last.kind not in ("activity", "sleep"):
        return so_far.names_sensor and clause.words == ["put"]  # "put on a new sensor"
    if last.kind == "activity" and complete_movement(last, clause):
        _start_together(so_far)
        return True
    bare = all(isinstance(p, Moment | Amount) or is_filler(p) or says_length(p) for p in clause.pieces)
    told = last.kind == "activity" and bare_length(clause) is not None and all(map(is_plain, clause.words))
    told = told or (
        last.kind == "activity" and bare_length(clause) is not None and set(clause.words) <= TAGS.roughly
    )
    company = all(is_plain(word) or word in MOVEMENT_WORDS for word in clause.words)
    timed = bool(clause.moments) or bare_length(clause) is not None
    beside = "with" in clause.leads and timed and company
    told = told or (last.kind == "activity" and beside)  # "yoga with my class 10 to 10:45"
    if not bare and not told:
        return False
    each = _each_way(clause)
    if each is not None and last.kind == "activity" and last.minutes is None:
        last.minutes = both_ways(each, [*last.clause.words, *clause.words])
        return True
    moment, hours = moment_of(clause), hours_in(clause)
    if hours and moment is None and not (last.moment and last.moment.has_clock):
        moment = bare_span(hours, last.moment)
        if moment is None:
            return False
    elif last.kind == "sleep" and (moment is None or moment.until is None):
        return False
    elif last.kind == "activity":
        minutes = bare_length(clause)
        if beside and minutes is None and not (last.moment and last.moment.has_clock):
            add_moment(last, clause, moment)
            return True
        if minutes is None and set(clause.words) & TAGS.length_too and not hours_in(clause):
            return True
        if minutes is None or last.minutes is not None:
            return False
        last.minutes = both_ways(minutes, [*last.clause.words, *clause.words])
    add_moment(last, clause, moment)
    return True


def _each_way(clause: Clause) -> float | None:
    """Return the bare minutes of "20 each way", "35 each"."""
    hours = hours_in(clause)
    told = "each" in clause.words and len(hours) == 1
    return hours[0].value if told and SHORTEST_MIN <= hours[0].value <= LONGEST_MIN else None


def _so_long_after(clause: Clause) -> bool:
    """Tell whether a clause only says how long after a meal something was: "1 hr after", "(30 min)"."""
    lengths = [p for p in clause.pieces if isinstance(p, Amount)]
    only = len(lengths) == 1 and lengths[0].minutes is not None
    if only and clause.inside and len(clause.pieces) == 1:
        return True
    return only and bool({"after", "afterwards"} & set(clause.words)) and len(clause.pieces) == 2


def _start_together(so_far: SoFar) -> None:
    """Let "20 min treadmill, 30 min weights, got there at 5:15" begin with the first, then the next."""
    moves = [p for p in so_far.parts if isinstance(p, Draft) and p.kind == "activity"]
    last = moves[-1]
    if len(moves) < 2 or last.moment is None or not last.moment.has_clock or any(p.ended for p in moves):
        return
    if any(p.moment is not None for p in moves[:-1]) or any(p.minutes is None for p in moves):
        return
    moves[0].moment, place = last.moment, last.moment.end
    for before, move in pairwise(moves):
        move.moment = Moment(place, place, side="later", after_min=before.minutes)


def times_last(so_far: SoFar, clause: Clause) -> bool:
    """Give the time of "when I got up at 6:30" to what was said before it."""
    if "when" not in clause.leads or not so_far.parts:
        return False
    moment, last = moment_of(clause), so_far.parts[-1]
    if moment is None or not moment.has_clock:
        return find_movement(clause.words) is None and not any(isinstance(p, Amount) for p in clause.pieces)
    if isinstance(last, Draft) and not (last.moment and last.moment.has_clock):
        last.moment = join_moments([moment, *filter(None, [last.moment])])
    elif isinstance(last, MealDraft) and not (last.moment and last.moment.has_clock):
        last.parts.append(FoodClause(clause, [], tail=[moment]))
    return True


def announces_readings(so_far: SoFar, clause: Clause, following: Clause | None) -> bool:
    """Keep the unit of "mg/dl: 101 at 8, 133 at 9"; the words that announce readings are no entry.

    What only says that glucose was looked at gives its time to the reading beside it; the sugar of "with milk
    and sugar, a bowl" is food.
    """
    last = so_far.last_draft
    if last is not None and last.kind == "reading" and tells_of_check(clause):
        add_moment(last, clause, moment_of(clause))
        return True
    valued = following is not None and any(isinstance(p, Amount) and not p.article for p in following.pieces)
    if valued and tells_of_check(clause) and any(isinstance(p, Moment | Amount) for p in clause.pieces):
        so_far.waiting += [p for p in clause.pieces if isinstance(p, Moment)]
        return True
    eaten = so_far.last_food is not None and bool(clause.leads & TAGS.goes_on)
    if following is None or eaten or not is_heading(clause.pieces):
        return False
    so_far.unit = unit_in(clause) or so_far.unit
    so_far.of_blood = so_far.of_blood or is_of_blood(clause.words)
    return True


def says_again(so_far: SoFar, clause: Clause) -> bool:
    """Repeat what was said before at another time: "coffee at 6 and again at 8", "synced at 8 and at 14"."""
    moment = moment_of(clause)
    last = so_far.parts[-1] if so_far.parts else None
    bare = all(isinstance(p, Moment | SlotWord) or is_again(p) or _tells_how(p) for p in clause.pieces)
    moved = last if isinstance(last, Draft) and last.kind == "activity" and last.minutes is not None else None
    if moved is not None and "back" in clause.words and bare_length(clause) and moment is not None:
        so_far.parts.append(replace(moved, moment=moment, minutes=bare_length(clause), clause=clause))
        return True
    if moment is None or not moment.has_clock or not bare or last is None or so_far.waiting:
        return False
    listed = {"and", "&", "then"} | ({","} if isinstance(last, Draft) and last.kind == "sync" else set())
    if not (clause.leads & listed or any(is_again(p) for p in clause.pieces)):
        return False
    if isinstance(last, Draft) and last.moment is not None and last.moment.has_clock:
        if last.kind in ("sleep", "reading", "sensor"):
            return False
        so_far.parts.append(replace(last, moment=moment, clause=clause))
        return True
    if not isinstance(last, MealDraft) or last.moment is None or not last.moment.has_clock:
        return False
    foods = [replace(food, words=food.words[:]) for food in last.parts[-1].foods]
    if {"other", "rest"} & set(clause.words):
        foods = [_other_part(food) for food in foods]
    marks = [p for p in clause.pieces if isinstance(p, Moment | SlotWord)]
    so_far.parts.append(MealDraft([FoodClause(clause, foods, tail=marks)]))
    return bool(foods)


def _tells_how(piece: Piece) -> bool:
    """Tell whether a word only says how the rest was eaten: "the other half, cold"."""
    return isinstance(piece, Token) and piece.text in TAGS.how


def _other_part(food: Said) -> Said:
    """Return what is left of a food of which a part was eaten: "half a pizza at 9, the other half now"."""
    much = food.amount
    if much is None or not 0 < much.value < 1 or not (much.share or much.unit):
        return food
    return replace(food, amount=replace(much, value=1 - much.value, low=None, high=None))


def with_lap_times(so_far: SoFar, clause: Clause) -> Clause:
    """Take "27:30" beside a movement, which no clock shows, for minutes and seconds."""
    if not any(isinstance(p, Token) and p.kind == "clock" for p in clause.pieces):
        return clause
    last = so_far.last_draft
    if not find_movement(clause.words) and (last is None or last.kind != "activity"):
        return clause
    pieces = tuple(
        Amount(p.start, p.end, float(p.text.split(":")[0]), "min")
        if isinstance(p, Token) and p.kind == "clock"
        else p
        for p in clause.pieces
    )
    return replace(clause, pieces=pieces)


def heads_movements(clause: Clause, following: Clause | None) -> bool:
    """Tell whether one movement only heads others: "gym: 20 min treadmill, 30 min weights"."""
    if following is None or ":" not in following.leads or find_movement(following.words) is None:
        return False
    return find_movement(clause.words) is not None and all(isinstance(p, Token) for p in clause.pieces)


def is_plain_word(piece: Piece) -> bool:
    """Tell whether a piece is a plain word, which names no food."""
    return isinstance(piece, Token) and is_plain(piece.text)


def repair_time(so_far: SoFar, last: Draft | MealDraft, moment: Moment) -> None:
    """Give an entry another time in the place of the one that was said ("soup at 6, no, at 7")."""
    if isinstance(last, Draft):
        last.moment = moment
        return
    for part in last.parts:
        so_far.ledger.mark((m for m in part.marks if isinstance(m, Moment)), "negated")
        part.lead = [m for m in part.lead if not isinstance(m, Moment)]
        part.tail = [m for m in part.tail if not isinstance(m, Moment)]
    last.parts[-1].tail.append(moment)


def with_repaired_hour(so_far: SoFar, clause: Clause) -> Clause:
    """Take the bare number of "soup at 6, no wait, 7" for an hour, as what it takes the place of is one."""
    last = so_far.last_meal
    only = clause.pieces[0] if len(clause.pieces) == 1 else None
    if REPAIR not in clause.leads or last is None or not last.parts[-1].tail or not isinstance(only, Amount):
        return clause
    if only.unit or only.low is not None or not 0 < only.value <= 24 or only.value != int(only.value):
        return clause
    hour = Moment(only.start, only.end, hour=int(only.value) % 24, loose=only.value <= 12)
    return replace(clause, pieces=(hour,))
