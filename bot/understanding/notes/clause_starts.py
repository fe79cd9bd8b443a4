"""Where a new clause begins without a separator: the next value, the next time, how one felt."""

from collections.abc import Sequence
from itertools import islice

from bot.understanding.foods.places import FILLER
from bot.understanding.pieces.pieces import Amount, Moment, Piece, word_at, words_match
from bot.understanding.states.activities import is_kin
from bot.understanding.states.feelings import FEELINGS, ONLY_FELT
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.movements import find_movement
from bot.understanding.words.plain_words import is_plain
from bot.understanding.words.tokens import Token

# The only words that a few rules below are about; asking first makes long notes quick to read.
MAY_OPEN = TAGS.verbs | TAGS.may_open
_OPENING = (
    ("got", "up"),
    ("went", "to", "bed"),
    ("went", "to", "sleep"),
    ("fell", "asleep"),
    ("alarm", "went"),
    ("didn't", "stir"),
    ("didnt", "stir"),
    ("didn't", "wake"),
    ("didnt", "wake"),
    ("going", "to", "bed"),
)


def begins_other(piece: Piece, current: Sequence[Piece]) -> bool:
    """Tell whether a verb of another kind begins a clause ("2 eggs walked 10 min")."""
    if not isinstance(piece, Token) or piece.text not in TAGS.verbs:
        return False
    before = word_at(current, len(current) - 1)
    if not current or before in TAGS.before_verb_starts or before in TAGS.people_remarks or is_kin(before):
        return False
    passive = TAGS.may_be_synced if piece.text == "synced" else frozenset()  # "phone synced 7:45"
    return any(isinstance(p, Token) and p.text not in FILLER | passive for p in current)


def tells_eaten(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether how much was eaten or left begins here: "ate all the fish left half the chips"."""
    behind = pieces[i + 1] if i + 1 < len(pieces) else None
    parted = getattr(behind, "text", "") in ("most", "all") or (isinstance(behind, Amount) and behind.share)
    if word_at(pieces, i) not in ("left", "ate", "finished") or not parted or not _told(current):
        return False
    return word_at(current, len(current) - 1) not in _WHO  # "the kids left half a banana"


_WHO = TAGS.people_remarks | TAGS.who


def _is_bare_value(piece: Piece | None) -> bool:
    return isinstance(piece, Amount) and not (piece.unit or piece.article or piece.vague or piece.size)


_MOST_BEFORE_FEELING = 3


def begins_said(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether what the person did, felt or measures now begins behind something else."""
    return (
        _begins_subject(pieces, i, current)
        or _begins_felt(pieces, i, current)
        or _begins_now(pieces, i, current)
        or _begins_eating(pieces, i, current)
    )


def _begins_eating(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether "had" begins what was eaten behind a movement: "walked 35 min had an apple"."""
    timed = isinstance(current[-1], Moment) or getattr(current[-1], "minutes", None) is not None
    if word_at(pieces, i) not in TAGS.took_in or not timed:
        return False
    return find_movement([p.text for p in current if isinstance(p, Token)]) is not None


def _begins_now(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether "now" begins the second of two values: "was 9.2 at two now its 6.4"."""
    piece = pieces[i]
    if not isinstance(piece, Moment) or piece.ago_min != 0 or not any(map(_is_decimal, current)):
        return False
    k = i + 1
    while word_at(pieces, k) in TAGS.now_is:
        k += 1
    return k < len(pieces) and _is_decimal(pieces[k])


def _is_decimal(piece: Piece) -> bool:
    return isinstance(piece, Amount) and piece.decimal and _is_bare_value(piece)


def _begins_subject(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether "I had" opens what the person did: "the kids had nuggets I had a jacket potato".

    "the soup I had at 3" is one clause, and so is "mum made stew I had 2 bowls".
    """
    if (
        word_at(pieces, i) not in TAGS.i
        or word_at(current, len(current) - 1) in TAGS.leaned_on
        or not _told(current)
    ):
        return False
    did = word_at(pieces, i + 1)
    if did in TAGS.did:
        return len(current) > 1
    k = i + 2
    while k < len(pieces) and (isinstance(pieces[k], Amount) or word_at(pieces, k) in TAGS.before_food):
        k += 1
    named = word_at(pieces, k)
    if did not in TAGS.took_in:
        return False
    # "half a kilo of wine for the table I had 2 glasses"
    parted = k > i + 2 and any(isinstance(p, Amount) and not (p.article or p.vague) for p in current)
    return parted or (named.isalpha() and not is_plain(named))


def _begins_felt(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether "felt heavy" or "im shattered" opens how the person felt behind something else."""
    opens, before = word_at(pieces, i), word_at(current, len(current) - 1)
    timed = isinstance(current[-1], Moment) or getattr(current[-1], "minutes", None) is not None
    if timed and opens in FEELINGS and opens not in ONLY_FELT and _told(current):
        return True  # "dancing 9 till 11 knackered but happy"
    if (
        opens not in TAGS.felt | TAGS.am_starts
        or before in TAGS.not_felt | TAGS.leaned_on
        or not _told(current)
    ):
        return False
    near = [word_at(pieces, k) for k in range(i + 1, i + 1 + _MOST_BEFORE_FEELING)]
    at = next((k for k, word in enumerate(near) if word in FEELINGS), None)
    if at is None:
        return opens in ("felt", "feeling") and near[0].isalpha() and near[0] not in TAGS.no_feeling
    return all(is_plain(word) or word.endswith("ly") for word in near[:at])


def _told(current: Sequence[Piece]) -> bool:
    """Tell whether a clause already says something, not just when."""
    return any(isinstance(p, Token) and p.text not in FILLER for p in current)


def is_value_or_time(piece: Piece) -> bool:
    """Tell whether a piece is a bare number, a time or a word beside a glucose value."""
    return isinstance(piece, Moment) or _is_bare_value(piece) or getattr(piece, "text", "") in TAGS.valued


def gets_up(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether "got up" or the like begins a clause of its own behind a time: "bed 23:30 got up 7"."""
    timed = bool(current) and isinstance(current[-1], Moment)
    if word_at(pieces, i) == "bed":
        at = i + 2 if word_at(pieces, i + 1) in ("by", "about", "around") else i + 1
        to = word_at(current, len(current) - 1) in TAGS.to_the_bed
        when = pieces[at] if at < len(pieces) else None
        return isinstance(when, Moment) and when.until is None and not to and _told(current)
    if any(words_match(pieces, i, said) for said in _OPENING):
        return any(isinstance(p, Moment) for p in current)
    at = i + 2 if word_at(pieces, i + 1) in TAGS.again_starts else i + 1
    when = pieces[at] if at < len(pieces) else None
    hour = isinstance(when, Moment) or (_is_bare_value(when) and at + 1 == len(pieces))
    return timed and hour and word_at(pieces, i) in ("up", "down")


def begins_measured(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether "glucose" opens a reading behind something else ("toast 8am glucose 7.1")."""
    told = i + 2 if word_at(pieces, i + 1) in TAGS.says else i + 1
    value = pieces[told] if told < len(pieces) else None
    if (
        word_at(pieces, i) not in TAGS.measured_starts
        or not isinstance(value, Amount)
        or not _is_bare_value(value)
    ):
        return False
    if not (value.decimal or value.value >= LEAST_WHOLE):
        return False
    return any(not isinstance(p, Token) or p.text not in FILLER | TAGS.before_measured for p in current)


def begins_side(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether "post" begins the second value of "pre 92 post 141" or "98 before 130 after"."""
    following = pieces[i + 1] if i + 1 < len(pieces) else None
    values = [p for p in current if isinstance(p, Amount)]
    if (
        len(current) > 1
        and values == [current[-1]]
        and word_at(current, 0) in TAGS.sides_starts
        and values[0].decimal
    ):
        return True  # "before toast 5.0 after toast 7.9"
    words = {p.text for p in current if isinstance(p, Token)}
    if len(values) != 1 or not isinstance(following, Amount) or following.decimal != values[0].decimal:
        return False
    if word_at(pieces, i + 2) in TAGS.sides_starts:
        return False  # the sides stand behind: "5.6 before 7.1 after"
    return (
        _is_bare_value(values[0]) and _is_bare_value(following) and words <= TAGS.sides_starts | TAGS.valued
    )


def _begins_sided(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether a value begins behind "5.6 before": its own side stands behind it as well."""
    if len(current) < 2 or not _is_bare_value(pieces[i]) or word_at(pieces, i + 1) not in TAGS.sides_starts:
        return False
    return word_at(current, len(current) - 1) in TAGS.sides_starts and _is_bare_value(current[-2])


LEAST_WHOLE = 40.0
"""From here on a whole number behind "glucose" is its value in mg/dL."""
_NEAR = 30  # no clause has so many times before its first word; a strange text may, and is not searched


def begins_timed(piece: Piece, current: Sequence[Piece]) -> bool:
    """Tell whether a second time opens the next meal where no separator stands ("7am oats 1pm soup").

    So does the next of "1h: 8.0 2h: 6.1".
    """
    if isinstance(piece, Moment) and piece.after_min is not None and current:
        opened = isinstance(current[0], Moment) and current[0].after_min is not None
        return opened and any(map(_is_bare_value, current))
    if not isinstance(piece, Moment) or not piece.has_clock or not current:
        return False
    if (
        _is_bare_value(current[-1])
        and word_at(current, 0) not in TAGS.sides_starts
        and sum(isinstance(p, Moment) and p.has_clock for p in current) == 1
    ):
        return True  # "7am 95 9am 130"
    first = current[0]
    opened = isinstance(first, Moment) and first.has_clock
    return opened and any(isinstance(p, Token) and p.text not in FILLER for p in islice(current, 1, _NEAR))


def begins_value(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether the next value of a series begins where no separator stands: "5.2 0700 6.9 0830"."""
    piece = pieces[i]
    if not isinstance(piece, Amount) or len(current) < 2:
        return False
    if _begins_sided(pieces, i, current):
        return True
    if piece.unit or not piece.decimal:
        return False
    following = pieces[i + 1] if i + 1 < len(pieces) else None
    timed = isinstance(following, Moment) or (isinstance(following, Amount) and following.minutes is not None)
    if timed and any(isinstance(p, Amount) and p.decimal and _is_bare_value(p) for p in current):
        return True  # "5.8 before tea 8.1 an hour after"
    value, moment = current[-2:]
    if (
        isinstance(moment, Moment)
        and moment.has_clock
        and isinstance(value, Token)
        and value.text not in TAGS.rang
    ):
        after = pieces[i + 1] if i + 1 < len(pieces) else None
        # "2 eggs on toast 8am 5.6": no word follows that the number may count.
        return not isinstance(after, Token) or after.kind == "mark" or after.text in TAGS.sides_starts
    if len(current) != 2:
        return False
    return isinstance(value, Amount) and value.decimal and isinstance(moment, Moment) and moment.has_clock
