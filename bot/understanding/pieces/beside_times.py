"""Times beside something else: "2h after lunch", "before breakfast", "45 min after the 8am porridge"."""

from collections.abc import Sequence
from dataclasses import replace

from bot.understanding.pieces.clocks import read_clock, with_clock
from bot.understanding.pieces.lengths import read_length
from bot.understanding.pieces.pieces import Moment, Piece, word_at
from bot.understanding.pieces.slots import SLOT_WORDS
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.movements import MOVEMENT_WORDS, MOVEMENTS
from bot.understanding.words.tokens import Token

LONGEST_AFTER_MIN = 300  # "2h: 6.1" is a reading so long after a meal, "08h20: 2 eggs" a time of day


def read_side(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    """Read "at 45 min", "after 2 hours", "2h after lunch", "before breakfast", "after the meal"."""
    start, first = pieces[i].start, word_at(pieces, i)
    glued = i + 1 < len(pieces) and getattr(pieces[i + 1], "glued", False)
    if first in ("at", "after", "@") or (first == "+" and glued):  # "20 min run + 30 min weights" adds
        length = read_length(pieces, i + 1)
        # "at 13h" is a clock time, "at 2h" is not; "after a 20 min walk" is no time at all.
        if length is not None and (first == "after" or length[0] <= 300):
            following = word_at(pieces, length[1])
            if not following.startswith(("walk", "run", "jog", "ride", "cycl", "bike", "swim", "stroll")):
                if following != "after":  # "6.0 at 2h after lunch" goes on
                    return Moment(start, pieces[length[1] - 1].end, after_min=length[0]), length[1]
                i += 1
        elif first == "+" and (minutes := _glued_minutes(pieces, i + 1)) is not None:
            return Moment(start, pieces[i + 1].end, after_min=minutes), i + 2
    length = read_length(pieces, i)
    j = i if length is None else length[1]
    value = pieces[j + 1] if j + 1 < len(pieces) else None
    if (
        length is not None
        and length[0] <= LONGEST_AFTER_MIN
        and word_at(pieces, j) == ":"
        and isinstance(value, Token)
        and value.kind == "number"
    ):
        return Moment(start, pieces[j].end, after_min=length[0]), j + 1  # "1h: 8.2, 2h: 6.9"
    if word_at(pieces, j) not in ("after", "before"):
        return None
    side = word_at(pieces, j)
    named = _read_named_meal(pieces, j + 1)
    moved = _read_named_movement(pieces, j + 1)
    if length is not None and side == "after" and (anchored := _read_anchor(pieces, j + 1)) is not None:
        anchor, end = anchored
        return Moment(start, pieces[end - 1].end, after_min=length[0], anchor=anchor), end
    if length is not None and named is None and moved is None:
        named = _read_named_food(pieces, j + 1)
    if (
        named is not None
        and length is not None
        and side == "after"
        and word_at(pieces, named[1]) in ("at", "@")
    ):
        clock = read_clock(pieces, named[1] + 1, prefixed=True)
        if clock is not None:  # "2 hours after lunch at 1.30"
            at = with_clock(Moment(pieces[named[1]].start, pieces[named[1]].end), clock, pieces)
            moment = Moment(start, at.end, side_slot=named[0], after_min=length[0], anchor=at)
            return moment, clock[-1]
    if named is not None:
        slot, end = named
        moment = Moment(start, pieces[end - 1].end, side=side, side_slot=slot)
    elif moved is not None:
        what, end = moved
        moment = Moment(start, pieces[end - 1].end, side=side, side_what=what)
    else:
        return None
    if length is not None:
        moment = replace(moment, after_min=length[0] if side == "after" else -length[0])
    return moment, end


def read_during(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    """Read "a gel during the run" of a run that was told of before it."""
    told = any(isinstance(piece, Token) and piece.text in MOVEMENTS for piece in pieces[:i])
    found = _read_named_movement(pieces, i + 1) if told else None
    if found is None or word_at(pieces, i - 1) in _WENT | MOVEMENT_WORDS:
        return None
    what, end = found
    return Moment(pieces[i].start, pieces[end - 1].end, side="during", side_what=what), end


# "20 min on the bike", "went on the run": the movement itself.
_WENT = TAGS.minute_words | TAGS.hour_words | TAGS.went


def _glued_minutes(pieces: Sequence[Piece], i: int) -> float | None:
    """Read the minutes of "+45", None where the number counts something ("+1 egg")."""
    piece = pieces[i] if i < len(pieces) else None
    if not isinstance(piece, Token) or piece.kind != "number" or not piece.glued or piece.number % 5:
        return None
    after = pieces[i + 1] if i + 1 < len(pieces) else None
    ends = after is None or (isinstance(after, Token) and after.kind == "mark")
    return piece.number if ends and piece.number >= 10 else None


def _read_named_movement(pieces: Sequence[Piece], i: int) -> tuple[str, int] | None:
    """Read "the walk", "my run": a movement that is told of elsewhere, so nothing more is said of it."""
    if word_at(pieces, i) not in ("the", "my"):
        return None
    j = i + 2 if word_at(pieces, i + 1) in ("dog", "bike") else i + 1
    found = MOVEMENTS.get(word_at(pieces, j))
    following = pieces[j + 1] if j + 1 < len(pieces) else None
    ends = following is None or (isinstance(following, Token) and following.kind in ("mark", "word"))
    told = word_at(pieces, j + 1) in ("at", "for", "from", "to", "home", "@", "around", "(")
    return None if found is None or not ends or told else (found[0], j + 1)


def _read_named_food(pieces: Sequence[Piece], i: int) -> tuple[str, int] | None:
    """Read "the porridge" of "8.1 1h after the porridge": the meal that is told of."""
    food = pieces[i + 1] if i + 1 < len(pieces) else None
    if word_at(pieces, i) not in ("the", "my", "that"):
        i, food = i - 1, pieces[i] if i < len(pieces) else None
    if not isinstance(food, Token) or food.kind != "word":
        return None
    after = pieces[i + 2] if i + 2 < len(pieces) else None
    ends = after is None or (
        isinstance(after, Token) and (after.kind == "mark" or after.text in ("and", "then"))
    )
    return ("", i + 2) if ends else None


def _read_anchor(pieces: Sequence[Piece], i: int) -> tuple[Moment, int] | None:
    """Read "the 8am porridge": the clock time of a meal, and the word that names it."""
    j = i + 1 if word_at(pieces, i) in ("the", "my") else i
    clock = read_clock(pieces, j, prefixed=False)
    if clock is None:
        return None
    end = clock[-1]
    following = pieces[end] if end < len(pieces) else None
    if j > i and isinstance(following, Token) and following.kind == "word":
        end += 1
    return with_clock(Moment(pieces[i].start, pieces[i].end), clock, pieces), end


def _read_named_meal(pieces: Sequence[Piece], i: int) -> tuple[str, int] | None:
    j = i + 1 if word_at(pieces, i) in ("the", "my", "that", "this") else i
    word = word_at(pieces, j)
    if word in SLOT_WORDS:
        return SLOT_WORDS[word], j + 1
    return ("", i + 1) if word_at(pieces, i) in TAGS.eating_beside else None
