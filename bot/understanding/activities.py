"""Clauses about movement: "walked 10 min", "a brisk 20-minute walk after lunch"."""

from bot.understanding.drafts import Draft, bare_span, moment_of
from bot.understanding.movements import EFFORTS, MOVEMENTS, SPORTS, find_movement
from bot.understanding.pieces import Amount, Clause, Moment

_BEFORE_AFTER = frozenset({"before", "after", "afterwards", "later", "beforehand", "earlier"})
_COUNTED = frozenset(
    {"lengths", "laps", "lap", "length", "reps", "sets", "holes", "times", "floors", "flights"}
)
_DRUNK = frozenset({"glass", "cup", "mug", "bottle", "pint", "ml", "l", "cl", "dl"})
_BEFORE = frozenset({"before", "beforehand", "earlier"})
DENIED = frozenset({"didn't", "didnt", "never", "not", "couldn't", "wasn't", "without", "skip", "skipped"})
SHORTEST_MIN, LONGEST_MIN = 5, 240
"""A bare number behind a movement is taken for minutes between these."""
DAY_MIN = 24 * 60
"""No movement is longer than a day."""


def read_activity(clause: Clause) -> Draft | None:
    """Read movement: "walked 10 min", "a brisk 20-minute walk after lunch", "cycled 18:00 to 18:30"."""
    words = clause.words
    steps = any(isinstance(p, Amount) and p.unit == "step" for p in clause.pieces)
    found = MOVEMENTS["walk"] if steps else find_movement(words)
    if found is None:
        return None
    what, usual = found
    if what in SPORTS and "the" in words and {"at", "watching"} & set(words):
        return None  # "a pie at the football"
    if what == "squash" and any(isinstance(p, Amount) and p.unit in _DRUNK for p in clause.pieces):
        return None
    said = next((EFFORTS[w] for w in words if w in EFFORTS), None)
    moment = moment_of(clause)
    bare = [p for p in clause.pieces if isinstance(p, Amount) and not (p.unit or p.vague or p.article)]
    if bare and (moment is None or not moment.has_clock):  # "skiing 9-12 on Saturday"
        moment = bare_span(bare, moment) or moment
    lengths = [p.minutes for p in clause.pieces if isinstance(p, Amount) and p.minutes is not None]
    minutes = lengths[0] if lengths else None if what == "exercises" else _minutes_behind(clause)
    leans = moment is not None and (moment.side_what or moment.side == "later" or moment.anchor)
    if minutes is None and moment is not None and moment.side and moment.after_min is not None and not leans:
        minutes, moment = abs(moment.after_min), _without_offset(moment)
    if moment is None or not (moment.side or moment.has_clock or moment.after_min is not None):
        word = next((w for w in words if w in _BEFORE_AFTER), "")
        if word and (moment is None or not moment.has_day):
            side = "before" if word in _BEFORE else "after"
            start, end = clause.pieces[0].start, clause.pieces[-1].end
            # "walked 30 min 20 min after": the second length is when it began.
            after_min = lengths[1] if side == "after" and len(lengths) > 1 else None
            moment = Moment(start, end, side=side, after_min=after_min)
    if minutes is not None and not 0 < minutes <= DAY_MIN:
        return Draft("activity", clause, what, ask="How many minutes was that? Say it like “walked 10 min”.")
    return Draft("activity", clause, what, minutes, said or usual, moment=moment)


def _minutes_behind(clause: Clause) -> float | None:
    """Take a number right behind the movement for minutes ("spinning 45", "yoga 30")."""
    if _COUNTED & set(clause.words):
        return None
    for before, piece in zip(clause.pieces, clause.pieces[1:], strict=False):
        if isinstance(piece, Amount) and not (piece.unit or piece.vague or piece.article or piece.decimal):
            named = find_movement([getattr(before, "text", "")]) is not None
            if named and piece.low is None and SHORTEST_MIN <= piece.value <= LONGEST_MIN:
                return piece.value
    return None


def bare_length(clause: Clause) -> float | None:
    """Return the length of time in a clause, None without one that can be."""
    lengths = [p.minutes for p in clause.pieces if isinstance(p, Amount) and p.minutes is not None]
    return next((minutes for minutes in lengths if 0 < minutes <= DAY_MIN), None)


def denies_movement(clause: Clause) -> bool:
    """Tell whether a clause says that a movement did not happen ("didn't go to the gym")."""
    return bool(DENIED & set(clause.words)) and find_movement(clause.words) is not None


def _without_offset(moment: Moment) -> Moment:
    return Moment(moment.start, moment.end, side=moment.side, side_slot=moment.side_slot)
