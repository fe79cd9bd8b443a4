"""A message's pieces cut into clauses at commas, "and", "with", "then" and the like."""

import tomllib
from collections.abc import Sequence
from dataclasses import replace
from importlib.resources import files
from itertools import takewhile

from bot.foodtable import FoodTable
from bot.understanding.notes.clause_starts import (
    MAY_OPEN,
    begins_measured,
    begins_other,
    begins_said,
    begins_side,
    begins_timed,
    begins_value,
    gets_up,
    is_value_or_time,
    tells_eaten,
)
from bot.understanding.pieces.pieces import Amount, Clause, Piece, SlotWord, word_at, words_match
from bot.understanding.words.lexicon import TAGS, table_of
from bot.understanding.words.movements import MOVEMENTS
from bot.understanding.words.plain_words import is_plain
from bot.understanding.words.tokens import Token
from bot.understanding.words.wordlists import word_set

_MARKS = TAGS.marks_clauses | TAGS.strong

_ELSEWHERE = table_of("joins_elsewhere")

_PHRASES: dict[tuple[str, ...], str] = {
    tuple("," if word == "COMMA" else word for word in phrase.split()): lead
    for lead, table in tomllib.loads(
        files(__package__).joinpath("separators.toml").read_text(encoding="utf-8")
    ).items()
    for phrase in table["phrases"].split(",")
}
_TAKEN_OUT = frozenset(
    {("taken", "out"), ("taken", "off"), ("left", "out"), ("left", "off"), ("picked", "out")}
)
_BY_FIRST = {
    word: sorted((p for p in _PHRASES if p[0] == word), key=len, reverse=True) for word, *_ in _PHRASES
}
NEGATED = "without"
REPAIR = "repair"
"""The separator of "rice, no wait, pasta": what follows it takes the place of what was said last."""

_MAKE_IT = frozenset({("make", "that"), ("make", "it"), ("no", "wait"), ("no", "sorry")})
_NEAR = 6
_WITHIN_NAMES = word_set(" ".join(["over in no from", *_ELSEWHERE.values()]))


def split_clauses(pieces: Sequence[Piece], table: FoodTable) -> list[Clause]:
    """Cut pieces into clauses; a known name such as "fish and chips" is not cut."""
    clauses: list[Clause] = []
    current: list[Piece] = []
    leads: set[str] = set()
    inside, parentheses = 0, 0
    i = 0
    while i < len(pieces):
        kept = _known_name(pieces, i, table)
        if kept:
            current.extend(pieces[i : i + kept])
            i += kept
            continue
        word = word_at(pieces, i)
        begun = _begins(pieces, i, current) or (
            "," if NEGATED in leads and current and word in TAGS.after_denial else ""
        )  # "no signal had a flapjack", "no lunch just a roll"
        if begun:
            clauses.append(_close(current, leads, inside, clauses))
            current, leads = [], {begun}
        if word in TAGS.may_skip and _skips_named(pieces, i, current):
            current.pop()
            i += 1
            continue
        lead, length = _separator(pieces, i, current)
        if not length:
            while isinstance(pieces[i], SlotWord) and current and _describes_meal(current[-1]):
                current.pop()
            if not (isinstance(pieces[i], Token) and word_at(pieces, i) in ("~", "×", "@", "-")):
                current.append(pieces[i])
            i += 1
            continue
        if current:
            clauses.append(_close(current, leads, inside, clauses))
            current, leads = [], set()
        if lead == "(":
            parentheses += 1
            inside = parentheses
        elif lead in (")", "\n"):
            inside = 0
        leads.add(lead)
        i += length
    if current:
        clauses.append(_close(current, leads, inside, clauses))
    return clauses


def _begins(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> str:
    """Return what stands for the separator where a clause begins at `i` without one, "" where none does."""
    word = word_at(pieces, i)
    if word in MAY_OPEN and (begins_other(pieces[i], current) or gets_up(pieces, i, current)):
        return "verb"
    if word in TAGS.felt and current and all(map(is_value_or_time, current)):
        return "and"  # "4.1 feeling shaky"
    if current and (begins_said(pieces, i, current) or tells_eaten(pieces, i, current)):
        return ","
    valued = isinstance(pieces[i], Amount) and begins_value(pieces, i, current)
    sided = word in TAGS.sides_starts and begins_side(pieces, i, current)
    begins = valued or sided or begins_measured(pieces, i, current) or begins_timed(pieces[i], current)
    return "," if begins else ""


def _describes_meal(piece: Piece) -> bool:
    """Tell whether what stands before a meal's name says nothing of its foods ("a light lunch")."""
    if isinstance(piece, Token):
        return piece.text in TAGS.meal_was
    return isinstance(piece, Amount) and bool(piece.size or piece.article) and not (piece.unit or piece.share)


def _skips_named(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether a meal's name is only said to be skipped: "lunch skipped", "breakfast: skipped"."""
    if (
        word_at(pieces, i) not in ("skipped", "missed")
        or not current
        or not isinstance(current[-1], SlotWord)
    ):
        return False
    return i + 1 == len(pieces) or word_at(pieces, i + 1) in _MARKS


def _close(pieces: list[Piece], leads: set[str], inside: int, before: list[Clause]) -> Clause:
    clause = Clause(tuple(pieces), frozenset(leads), bool(leads & TAGS.strong), inside)
    if NEGATED in leads or not _takes_out(clause, before):
        return clause
    return replace(clause, leads=clause.leads | {NEGATED})


def _takes_out(clause: Clause, before: list[Clause]) -> bool:
    """Tell whether a clause says that something was left out, though no word before it does."""
    words, leads = clause.words, clause.leads
    if tuple(words[-2:]) in _TAKEN_OUT or (len(words) > 1 and words[-1] == "removed"):
        return True  # "with the cheese taken out"
    if not before or NEGATED not in before[-1].leads:
        return False
    bare = all(isinstance(p, Token) for p in clause.pieces)
    both = "the" in words and "the" in before[-1].words
    too = bool(words) and (set(words) <= TAGS.left_out_too or both)
    return bool(leads & {"or", "nor"}) or (bare and leads == {"and"} and too)


def _separator(pieces: Sequence[Piece], i: int, current: list[Piece]) -> tuple[str, int]:
    """Return the separator at `i` and its length, ("", 0) for none."""
    piece = pieces[i]
    if not isinstance(piece, Token):
        return "", 0
    if piece.kind == "mark" and piece.text in _MARKS and not (piece.text == "-" and piece.glued):
        return piece.text, 1
    again = _counts_again(pieces, i)
    if again:
        return REPAIR, again
    phrase = _phrase_at(pieces, i)
    if phrase:
        return _PHRASES[phrase], len(phrase)
    if piece.text in ("and", "&", "n") and current and _fills(pieces, i, current):
        return "", 0
    lead = _lead_of(piece.text, pieces, i, current)
    if lead:
        return lead, 1
    return (
        (piece.text, 1)
        if piece.text in TAGS.words and _separates(piece.text, pieces, i, current)
        else ("", 0)
    )


def _phrase_at(pieces: Sequence[Piece], i: int) -> tuple[str, ...]:
    """Return the phrase at `i` that stands for a separator ("topped with", "no wait"), () for none."""
    word = word_at(pieces, i)
    if word not in _BY_FIRST or _is_number_sign(pieces, i) or word_at(pieces, i + 1) in TAGS.felt_behind_no:
        return ()
    if word == "no" and (i + 1 == len(pieces) or word_at(pieces, i + 1) in TAGS.strong):
        return ()  # "I said no."
    for phrase in _BY_FIRST[word]:
        within = 0 < i < len(pieces) - len(phrase)
        if words_match(pieces, i, phrase) and (within or _PHRASES[phrase] != REPAIR):
            return phrase  # but not "the sensor, I mean"
    return ()


def _lead_of(word: str, pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> str:
    """Return the separator that a word stands for only beside certain others, "" for none."""
    after = word_at(pieces, i + 1)
    if word == "so" and current:
        counted = i + 1 < len(pieces) and isinstance(pieces[i + 1], Amount | SlotWord)
        named = after.isalpha() and not is_plain(after)
        return "," if counted or named or after in TAGS.behind_so else ""  # "tired, so 3 coffees"
    if word == "less" and after in TAGS.left_out_too:
        return NEGATED
    if word in ("med", "met") and current and not is_plain(word_at(pieces, i - 1)):  # no "medium", no "I met"
        return "with" if after.isalpha() and not is_plain(after) and after not in ("rare", "well") else ""
    sauced = word == "in" and current and _is_sauce(pieces, i + 1)
    return "in" if sauced else ""  # "cabbage rolls in tomato sauce"


def _separates(word: str, pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether "over", "with" or "on" parts two foods; "ran over", "down with" and "on foot" do not."""
    before, after = word_at(pieces, i - 1), word_at(pieces, i + 1)
    if word == "over":
        return before not in TAGS.ran | MOVEMENTS.keys() and after not in ("to", "there", "here", "at")
    if word == "with":
        return before != "down"
    if word != "on":
        return True
    if (
        after == "foot"
        or before in TAGS.sensor_clauses
        or TAGS.sensor_clauses & {word_at(pieces, k) for k in range(i + 1, i + 5)}
    ):
        return False  # "stuck on a new sensor"
    following = pieces[i + 1] if i + 1 < len(pieces) else None
    food_follows = isinstance(following, Token | Amount) and after not in TAGS.not_on
    return after not in TAGS.no_food_behind_on and (bool(current) or before == ")") and food_follows


def _fills(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether "and" at `i` joins two fillings of one thing: "two egg and sausage rolls"."""
    if word_at(current, len(current) - 1) not in TAGS.fills:
        return False
    before = current[:-1]
    counted = [p for p in before if isinstance(p, Amount) and not p.article]
    if any(not isinstance(p, Amount) for p in before) or any(p.unit or p.vague for p in counted):
        return False
    last = i + 3 if word_at(pieces, i + 2) not in TAGS.filled else i + 2
    head = word_at(pieces, last)
    known = word_at(pieces, i + 1) in TAGS.fills or (word_at(pieces, i + 1) == "salad" and not counted)
    return known and head in TAGS.filled and (not counted or head.endswith("s") or counted[0].value <= 1)


_MOST_WORDS_OF_SAUCE = 4


def _is_sauce(pieces: Sequence[Piece], i: int) -> bool:
    words = [word_at(pieces, k) for k in range(i, i + _MOST_WORDS_OF_SAUCE)]
    before = takewhile(lambda word: word.isalpha() and word not in TAGS.words, words)
    return any(word in TAGS.sauces for word in before)


def _counts_again(pieces: Sequence[Piece], i: int) -> int:
    """Return how many words at `i` put the number behind them in the place of one: "2 eggs, no, 3"."""
    length = 2 if (word_at(pieces, i), word_at(pieces, i + 1)) in _MAKE_IT else 1
    if length == 1 and word_at(pieces, i) not in TAGS.counts_again:
        return 0
    length += word_at(pieces, i + length) == ","
    alone = i + length < len(pieces) and word_at(pieces, i + length + 1) in ("", "and", *TAGS.strong, *_MARKS)
    counted = any(_is_one_amount(piece) for piece in pieces[max(i - _NEAR, 0) : i])
    return length if alone and counted and _is_one_amount(pieces[i + length]) else 0


def _is_one_amount(piece: Piece) -> bool:
    return isinstance(piece, Amount) and piece.low is None and not (piece.size or piece.share or piece.vague)


def _is_number_sign(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether "no" stands for "number" ("sensor no 2")."""
    following = pieces[i + 1] if i + 1 < len(pieces) else None
    counts = isinstance(following, Amount) and not (following.unit or following.vague or following.article)
    return word_at(pieces, i) == "no" and counts


def _known_name(pieces: Sequence[Piece], i: int, table: FoodTable) -> int:
    """Return how many pieces at `i` are one known name that holds a separator; 0 for none."""
    words: list[str] = []
    held = False
    for piece in pieces[i : i + 8]:
        if not isinstance(piece, Token) or piece.kind not in ("word", "mark") or piece.text in TAGS.strong:
            break
        if piece.kind == "mark" and piece.text != "&":
            break
        word = "and" if piece.text in ("&", "n") else piece.text
        held = held or (bool(words) and (word in TAGS.words or word in _WITHIN_NAMES))
        words.append(word)
    if not held or words[0] in TAGS.words:
        return 0
    known = table.starts(words)
    return known if any(w in TAGS.words or w in _WITHIN_NAMES for w in words[1:known]) else 0
