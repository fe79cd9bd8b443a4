"""Clauses about movement: "walked 10 min", "a brisk 20-minute walk after lunch"."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from bot.model.entries import Effort
from bot.understanding.pieces.drafts import Draft, bare_span, moment_of
from bot.understanding.pieces.pieces import Amount, Clause, Moment, word_at
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.movements import EFFORTS, LASTING, MOVEMENTS, find_movement
from bot.understanding.words.plain_words import is_plain

MOST_WORDS = 5
_BACK_TOO = TAGS.ended | TAGS.back_too
SHORTEST_MIN, LONGEST_MIN = 5, 240
"""A bare number behind a movement is taken for minutes between these."""
DAY_MIN = 24 * 60
"""No movement is longer than a day."""


def read_activity(clause: Clause) -> Draft | None:
    """Read movement: "walked 10 min", "a brisk 20-minute walk after lunch", "cycled 18:00 to 18:30"."""
    words = clause.words
    steps = any(isinstance(p, Amount) and p.unit == "step" for p in clause.pieces)
    found = MOVEMENTS["walk"] if steps else find_movement(words) or _raced(clause) or _exerted(clause)
    if found is None:
        return None
    what, usual = found
    if TAGS.on_screen & set(words) and " on " in f" {' '.join(words)} ":
        return None  # "football on telly"
    if what == "squash" and not _is_played(clause):
        return None
    said = next((EFFORTS[w] for w in words if w in EFFORTS), None)
    moment = _with_part(moment_of(clause), words)
    bare = [p for p in clause.pieces if isinstance(p, Amount) and not (p.unit or p.vague or p.article)]
    if (
        bare and not TAGS.counted & set(words) and (moment is None or not moment.has_clock)
    ):  # "skiing 9-12 on Saturday"
        moment = bare_span(bare, moment) or moment
    lengths = [p.minutes for p in clause.pieces if isinstance(p, Amount) and p.minutes is not None]
    minutes = lengths[0] if lengths else None if what == "exercises" else _minutes_behind(clause)
    until = None if TAGS.denied & set(words) else _end_of(clause)
    if until is not None and (moment is None or moment is until or not moment.has_clock):
        return Draft("activity", clause, what, minutes, said or usual, ended=until)
    over = next((w for w in words if w not in TAGS.before_over), "") in TAGS.over
    ended = moment if over and moment is not None and moment.has_clock and moment.until is None else None
    leans = moment is not None and (moment.side_what or moment.side == "later" or moment.anchor)
    if minutes is None and moment is not None and moment.side and moment.after_min is not None and not leans:
        minutes, moment = abs(moment.after_min), replace(moment, after_min=None)
    if moment is None or not (moment.side or moment.has_clock or moment.after_min is not None):
        word = next((w for w in words if w in TAGS.before_after), "")
        if word and (moment is None or not moment.has_day):
            side = "before" if word in TAGS.before else "after"
            start, end = clause.pieces[0].start, clause.pieces[-1].end
            # "walked 30 min 20 min after": the second length is when it began.
            after_min = lengths[1] if side == "after" and len(lengths) > 1 else None
            moment = Moment(start, end, side=side, after_min=after_min)
    minutes = both_ways(minutes, words)
    if minutes is not None and not 0 < minutes <= DAY_MIN:
        return Draft("activity", clause, what, ask="How many minutes was that? Say it like “walked 10 min”.")
    return Draft("activity", clause, what, minutes, said or usual, moment=moment, ended=ended)


def _end_of(clause: Clause) -> Moment | None:
    """Return when movement was over: "danced till midnight", "cleaned until 6"; None for no end."""
    for word, piece in pairwise(clause.pieces):
        if getattr(word, "text", "") not in ("till", "til", "until"):
            continue
        if isinstance(piece, Moment):
            return piece if piece.has_clock and piece.until is None else None
        if isinstance(piece, Amount) and not piece.unit and piece.low is None and 0 < piece.value <= 12:
            return Moment(piece.start, piece.end, hour=int(piece.value) % 24, loose=True)
    return None


def both_ways(minutes: float | None, words: Sequence[str]) -> float | None:
    """Return how long there and back took, where a length is that of each way."""
    said = set(words)
    each = "each" in said and bool({"way", "ways", "back"} & said)
    apart = minutes is None or not each or (TAGS.apart & said and not {"there", "back"} <= said)
    return minutes if minutes is None or apart else 2 * minutes


def _is_played(clause: Clause) -> bool:
    """Tell whether squash is the game: it was played, or lasted, or has its time; else it is eaten."""
    measured = any(isinstance(p, Amount) and p.unit in TAGS.drunk for p in clause.pieces)
    timed = bare_length(clause) is not None or any(m.has_clock or m.side for m in clause.moments)
    return not measured and (timed or bool(TAGS.played & set(clause.words)))


def _raced(clause: Clause) -> tuple[str, Effort] | None:
    """Read "did 5k in 27 min": a distance in a time, without a word for the movement, is a run."""
    units = {p.unit for p in clause.pieces if isinstance(p, Amount)}
    told = {"did", "done", "finished", "completed", "in", "time"} & set(clause.words)
    best = units == {"km"} and clause.words == ["pb"]  # "5k pb": the best so far
    return MOVEMENTS["run"] if best or (told and units == {"km", "min"}) else None


def _exerted(clause: Clause) -> tuple[str, Effort] | None:
    """Read "11 floors" and "carried water, 45 min": effort told by what was climbed or borne."""
    words = set(clause.words)
    counted = [p for p in clause.pieces if isinstance(p, Amount) and not p.article]
    if words & TAGS.climbed and any(not p.unit for p in counted) and all(map(is_plain, words - TAGS.climbed)):
        return "stairs", "moderate"
    if _goes_round(clause) or (words & TAGS.led and "dog" in words and "hot" not in words):
        return "walk", "light"
    lasted = any(p.minutes is not None for p in counted) or any(m.until for m in clause.moments)
    hours = [p for p in counted if not p.unit]
    lasted = lasted or (bool(hours) and bare_span(hours) is not None)
    lasted = lasted or {"all", "day"} <= words or {"all", "morning"} <= words
    of_day = lasted or "shift" in words or any(m.part and not m.has_clock for m in clause.moments)
    if lasted and words & TAGS.trained and words <= TAGS.trained | EFFORTS.keys() | TAGS.trained_too:
        return MOVEMENTS["weights"]  # "legs 50 min, heavy"
    return _lasting(clause, lasted=lasted, of_day=of_day)


def _lasting(clause: Clause, *, lasted: bool, of_day: bool) -> tuple[str, Effort] | None:
    """Read words that are movement only where something says how long it was: "framing 7 to 3:30"."""
    words = clause.words
    k = next((k for k, word in enumerate(words) if word in LASTING), None)
    if k is None:
        return None
    found = LASTING[words[k]]
    if found[0] == "physical work":
        bore = k == 0 and words[k] in TAGS.bore and words[1:2] != ["on"]
        over = bool({"done", "finished"} & set(words))  # "milking done, 2.5 hours"
        return found if bore or lasted or over or (words[k] in TAGS.bore and clause.moments) else None
    return found if of_day else None


def _goes_round(clause: Clause) -> bool:
    """Tell whether a clause is a way and how long it took: "round the reservoir for 40 mins"."""
    way = [p for p in clause.pieces if not isinstance(p, Amount)]
    if word_at(way, 0) not in TAGS.round or word_at(way, 1) not in ("the", "my"):
        return False
    return any(isinstance(p, Amount) and p.minutes is not None for p in clause.pieces)


def _with_part(moment: Moment | None, words: Sequence[str]) -> Moment | None:
    """Let "evening" tell which half of the day "evening walk 5.30 to 6.15" means."""
    part = next((w for w in words if w in ("morning", "afternoon", "evening", "night")), "")
    if moment is None or not part or moment.hour is None or moment.half or moment.part:
        return moment
    return replace(moment, part=part)


def tells_of_others(words: Sequence[str]) -> bool:
    """Tell whether a movement was somebody else's: "the kids' swimming lesson", "football for my son"."""
    if not any(map(is_kin, words)):
        return False
    moves = [i for i, word in enumerate(words) if find_movement([word]) is not None]
    if not moves:
        return False
    first = moves[0]
    before, after = words[:first], words[moves[-1] + 1 :]
    kin = next((i for i, word in enumerate(before) if is_kin(word)), None)
    if kin is not None and before[kin - 1 : kin] not in (["with"], ["and"]) and "on" not in before[:kin]:
        mine = {"by", "i", "we", "me", "i've", "we've", "with"} & set(before)
        return not mine and "for" not in before[kin:]
    given = next((i for i, word in enumerate(after) if word == "for"), None)
    return given is not None and any(map(is_kin, after[given + 1 : given + 4]))


def is_kin(word: str) -> bool:
    """Tell whether a word names someone of the family."""
    return word.removesuffix("'s").removesuffix("'") in TAGS.kin


def _minutes_behind(clause: Clause) -> float | None:
    """Take a number right behind the movement for minutes ("spinning 45", "yoga 30")."""
    if TAGS.counted & set(clause.words):
        return None
    for before, piece in zip(clause.pieces, clause.pieces[1:], strict=False):
        if isinstance(piece, Amount) and not (piece.unit or piece.vague or piece.article or piece.decimal):
            word = getattr(before, "text", "")
            named = word in TAGS.minutes_behind or find_movement([word]) is not None
            if named and piece.low is None and SHORTEST_MIN <= piece.value <= LONGEST_MIN:
                return piece.value
    return None


def bare_length(clause: Clause) -> float | None:
    """Return the length of time in a clause, None without one that can be."""
    lengths = [p.minutes for p in clause.pieces if isinstance(p, Amount) and p.minutes is not None]
    return next((minutes for minutes in lengths if 0 < minutes <= DAY_MIN), None)


def denies_movement(clause: Clause) -> bool:
    """Tell whether a clause says that a movement did not happen ("didn't go to the gym")."""
    if {"til", "till", "until"} & set(clause.words) or any(
        isinstance(p, Amount) and p.unit in ("step", "km", "min") for p in clause.pieces
    ):
        return False  # "didn't get to the gym til 6", "3k steps, lazy"
    return bool(TAGS.denied & set(clause.words)) and find_movement(clause.words) is not None


def complete_movement(last: Draft, clause: Clause) -> bool:
    """Give the movement said before its end ("back at 7") or its effort ("hard"); tell whether it was so."""
    words = set(clause.words)
    effort = next((EFFORTS[w] for w in clause.words if w in EFFORTS), None)
    if effort is not None and words <= EFFORTS.keys() | TAGS.effort_too:
        last.effort = effort
        return True
    if last.what in ("workout", "weights") and words and words <= TAGS.trained | TAGS.trained_too:
        return True  # "gym: chest and arms"
    span = _start_and_end(clause, words)
    if span is not None and (last.moment is None or not last.moment.has_clock):
        last.moment = span
        return True
    lengths = [p for p in clause.pieces if isinstance(p, Amount)]
    if len(lengths) == 2 and last.minutes is None and {"there", "back"} <= words <= _BACK_TOO | {"there"}:
        last.minutes = sum(p.value if p.minutes is None else p.minutes for p in lengths)
        return True  # "ten mins there ten back"
    bare = [p for p in clause.pieces if isinstance(p, Amount) and p.minutes is None and not p.unit]
    if len(bare) == 1 and last.minutes is not None and "back" in words and words <= _BACK_TOO:
        last.minutes += bare[0].value  # "12 min there and 12 back"
        return True
    moment = moment_of(clause) or _bare_hour(clause)
    if moment is None and "just" in words and words & TAGS.ended and words <= _BACK_TOO:
        return True  # "..., just finished"
    there = "there" not in words or "got" in words
    began = words <= TAGS.began | _BACK_TOO or (words & {"left"} and all(map(is_plain, words)))
    if words & TAGS.began and there and began and moment is not None and moment.has_clock:
        if last.moment is None or not last.moment.has_clock:
            last.moment = moment  # "..., left at 8.35"
        return True
    ended = read_end(clause) or (moment if _bare_hour(clause) and words <= _BACK_TOO else None)
    if ended is None:
        return False
    if last.moment is None or not last.moment.has_clock:
        last.ended = ended
    elif last.minutes is None and last.moment.until is None and ended.hour is not None:
        last.moment = replace(last.moment, until=ended)
    else:
        return False
    return True


def _start_and_end(clause: Clause, words: set[str]) -> Moment | None:
    """Return the span of "started 6 knocked off at 2.30", None where a clause does not tell both."""
    if not (words & TAGS.started and words & TAGS.over and all(map(is_plain, words - TAGS.over))):
        return None
    times = [
        p if isinstance(p, Moment) else Moment(p.start, p.end, hour=int(p.value), loose=p.value <= 12)
        for p in clause.pieces
        if isinstance(p, Moment) or (isinstance(p, Amount) and not p.unit and 0 < p.value < 24)
    ]
    return replace(times[0], until=times[1]) if len(times) == 2 else None


def _bare_hour(clause: Clause) -> Moment | None:
    """Take the number of "left 9" or "home 10" for an hour."""
    last = clause.pieces[-1]
    words = set(clause.words)
    if len(clause.pieces) != 2 or not isinstance(last, Amount) or not words & (TAGS.began | TAGS.ended):
        return None
    if last.unit or last.low is not None or not 0 < last.value <= 24 or last.value != int(last.value):
        return None
    return Moment(last.start, last.end, hour=int(last.value) % 24, loose=last.value <= 12)


def read_end(clause: Clause) -> Moment | None:
    """Return when movement was over: "finished 20 min ago", "back at 7", "arrived 17:40"; None for no end."""
    words = set(clause.words)
    moment = moment_of(clause)
    if moment is None or not moment.has_clock or moment.until is not None:
        return None
    timed = any(isinstance(p, Amount) for p in clause.pieces)
    told = words <= _BACK_TOO or (
        bool(words & TAGS.over) and len(words) <= MOST_WORDS and all(map(is_plain, words))
    )
    over = words & TAGS.ended or {"got", "in"} <= words
    return moment if over and told and not timed else None


CUES = (
    LASTING.keys()
    | TAGS.trained
    | TAGS.before_after
    | TAGS.counted
    | TAGS.ended
    | TAGS.began
    | TAGS.over
    | EFFORTS.keys()
    | TAGS.effort_too
    | {"pb"}
)
"""Words that belong to a movement, beside those for the movement itself."""
