"""What a clause tells beside food: a reason, a judgement, a shift, a place, a bare hour behind the food."""

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from bot.foodtable import FoodTable
from bot.foodtable.words import plain_word
from bot.understanding.foods.places import FILLER, is_place, without_place
from bot.understanding.foods.said import EATING
from bot.understanding.pieces.drafts import Draft
from bot.understanding.pieces.pieces import Amount, Clause, Moment, Piece, SlotWord, word_at
from bot.understanding.states.activities import is_kin, read_activity
from bot.understanding.states.feelings import read_feeling
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.movements import find_movement
from bot.understanding.words.plain_words import is_plain
from bot.understanding.words.tokens import Token

LEAST_HOUR, MOST_HOUR, LEAST_CLOCK = 5, 23, 100


def gives_reason(clause: Clause) -> bool:
    """Tell whether a clause without an amount only says why or when it was eaten: "while cooking"."""
    measured = any(isinstance(p, Amount) for p in clause.pieces)
    return bool(clause.leads & {"while", "because", "bc"}) and not measured and not read_feeling(clause)


def only_judges(clause: Clause) -> bool:
    """Tell whether a clause says only how something was: "the soup was nice"."""
    if any(not isinstance(p, Token) for p in clause.pieces):
        return False
    words = clause.words
    k = next((i for i, word in enumerate(words) if word in TAGS.was), 0)
    return (
        0 < k < len(words) - 1
        and read_feeling(clause) is None
        and bool(TAGS.judges & set(words[k:]))
        and all(map(is_plain, words[k:]))
        and not EATING & set(words)
    )


def is_told_of(clause: Clause, table: FoodTable) -> bool:
    """Tell whether a clause speaks of what the person did not eat: others did, or nearly, or of a dose.

    "the neighbours brought a trifle", "almost had the paella", "coriander tastes of soap to me", "5 units".
    """
    words = [word.removesuffix("'s") for word in clause.words if word not in TAGS.before_subject]
    said = {word.removesuffix("'s") for word in clause.words}
    mine = bool(TAGS.us & said)
    if clause.words[:1] and clause.words[0] in TAGS.not_mine and TAGS.announced & said:
        return True  # "his sugar's fine"
    felt = read_feeling(clause)
    if felt is not None and felt.what == "bad night":
        return False  # "baby was up four times"
    if any(
        (a in TAGS.nearly and b in TAGS.takes) or (a in TAGS.third and b in TAGS.moves)
        for a, b in pairwise(clause.words)
    ):
        return True
    mostly = [word for word in words if word not in TAGS.us]
    if mostly and mostly[0] in TAGS.handed and not EATING & said:
        return True  # "sold all the tomatoes"
    if not words or words[0] in TAGS.us:
        return False
    if _is_of_somebody(clause, table) and not mine:
        return True
    near = words[:_MOST_WORDS_OF_SUBJECT]
    subject = next((k for k, word in enumerate(near) if word in _OTHERS or is_kin(word)), None)
    if subject is not None and words[subject + 1 : subject + 2] in (["walk"], ["walks"]):
        return False  # "dog walk got cut short"
    if (
        subject is not None
        and _DOES & _verbs_of(clause, words[subject], words[subject + 1 : subject + 4])
        and not mine
    ):
        return subject == 0 or words[subject - 1] in ("old", "little", "best")
    return _counts_units(clause, table) or _only_tastes(clause, words)


def lists_on(clause: Clause) -> bool:
    """Tell whether a clause holds words alone, and nobody who had them: "the boys had fish and chips"."""
    foods_alone = all(isinstance(p, Token) for p in clause.pieces) and not clause.strong
    return foods_alone and not (EATING | TAGS.us) & set(clause.words)


def _is_of_somebody(clause: Clause, table: FoodTable) -> bool:
    """Tell whether somebody who is no food ate: "the conductor ate four sausages"."""
    words = [piece.text if isinstance(piece, Token) else "" for piece in clause.pieces]
    k = next((k for k, word in enumerate(words[: _MOST_WORDS_OF_SUBJECT + 1]) if word in TAGS.eats), 0)
    who = words[1:k]
    if not who or not all(who) or words[0] not in TAGS.determiners_asides:
        return False
    return table.match(" ".join(who)) is None and table.match(who[-1]) is None


def compares_portion(clause: Clause) -> bool:
    """Tell whether a clause only sets how much it was against another time: "smaller portion than usual"."""
    words = set(clause.words)
    told = bool(words & TAGS.more_or_less) and bool(words & {"than", "as"} or words & TAGS.of_plate)
    return told and all(word in TAGS.more_or_less | TAGS.of_plate or is_plain(word) for word in words)


def heads_others(clause: Clause, following: Clause | None) -> bool:
    """Tell whether a clause heads what somebody else had: "my son's lunch: fish fingers and beans"."""
    if following is None or ":" not in following.leads:
        return False
    named = any(isinstance(p, SlotWord) for p in clause.pieces)
    owners = [word[:-2] for word in clause.words if word.endswith("'s")]
    return named and any(owner in TAGS.people_remarks or is_kin(owner) for owner in owners)


def _verbs_of(clause: Clause, subject: str, behind: list[str]) -> set[str]:
    """Return what somebody may do: the words behind the subject, and "is" of "my mom's having"."""
    short = f"{subject}'s" in clause.words and any(word.endswith("ing") for word in behind[:1])
    return {*behind, "is"} if short else set(behind)


def _only_tastes(clause: Clause, words: list[str]) -> bool:
    """Tell whether a clause only says how something tastes to the person."""
    taste = next((k for k, word in enumerate(words) if word in ("taste", "tastes")), 0)
    told = any(isinstance(p, Amount | Moment) for p in clause.pieces) or EATING & set(words)
    return taste > 0 and taste + 1 < len(words) and not told


def _counts_units(clause: Clause, table: FoodTable) -> bool:
    """Tell whether a clause is about a dose: "took 5 units", which is no food."""
    counted = any(
        isinstance(p, Amount) and word_at(clause.pieces, k + 1) in TAGS.doses
        for k, p in enumerate(clause.pieces)
    )
    return counted and not any(table.match(word) for word in clause.words if word not in TAGS.doses)


_MOST_WORDS_OF_SUBJECT = 4
_OTHERS = TAGS.people_remarks | TAGS.others
_DOES = EATING | TAGS.does


def tells_shift(clause: Clause) -> bool:
    """Tell whether a clause only says when someone worked: "night shift 10pm to 6am"."""
    spans = any(isinstance(p, Moment) and p.until is not None for p in clause.pieces)
    if not spans:
        return False
    worked = {"shift", "work", "duty", "shifts"} & set(clause.words)
    rest = all(isinstance(p, Moment) or (isinstance(p, Token) and is_plain(p.text)) for p in clause.pieces)
    return bool(worked) and rest and find_movement(clause.words) is None


def tells_origin(pieces: Sequence[Piece], k: int) -> bool:
    """Tell whether a day only says where food came from: "soup from yesterday", "Sunday leftovers"."""
    moment = pieces[k]
    if not isinstance(moment, Moment) or moment.has_clock or not moment.has_day:
        return False
    behind = word_at(pieces, k + 1)
    return word_at(pieces, k - 1) in ("from", "as", "like", "than") or behind in TAGS.of_a_day


def marks_of(pieces: Sequence[Piece]) -> list[Moment | SlotWord]:
    """Return the times and meal names of some pieces, without the days that food came from."""
    return [
        p
        for k, p in enumerate(pieces)
        if isinstance(p, SlotWord) or (isinstance(p, Moment) and not tells_origin(pieces, k))
    ]


def is_filler(piece: Piece) -> bool:
    """Tell whether a piece says nothing of its own."""
    return isinstance(piece, Token) and (piece.kind == "mark" or piece.text in FILLER)


def with_bare_time(clause: Clause, *, listed: bool = False) -> Clause:
    """Take the last number of "2 marie biscuits 11" for an hour: the food has its amount already.

    listed: other foods of the note have their times behind them, so that "coffee 10" has it as well
    """
    first, last = clause.pieces[0], clause.pieces[-1]
    bare = isinstance(last, Amount) and not (
        last.unit or last.size or last.article or last.vague or last.times
    )
    counted = isinstance(first, Amount) and not first.article and first is not last
    placed = len(clause.pieces) > 1 and _ends_in_place(clause.pieces[:-1])
    several = any(plain_word(word) != word for word in clause.words[-1:])  # "chicken balls 5"
    counted = (
        placed
        or counted
        or (listed and not several and isinstance(first, Token) and not isinstance(last, Moment))
    )
    if (
        not bare
        or not counted
        or not isinstance(last, Amount)
        or any(isinstance(p, Moment) for p in clause.pieces)
    ):
        return clause
    between = clause.pieces[1:-1] if isinstance(first, Amount) else clause.pieces[:-1]
    if placed:
        return _with_hour_of(clause, last)
    if not between or not all(isinstance(p, Token) and p.kind == "word" for p in between):
        return clause
    if not (LEAST_HOUR <= last.value <= MOST_HOUR and last.value == int(last.value)) or last.low is not None:
        return clause
    hour = Moment(last.start, last.end, hour=int(last.value), loose=last.value <= 12)
    return replace(clause, pieces=(*clause.pieces[:-1], hour))


def _ends_in_place(pieces: Sequence[Piece]) -> bool:
    """Tell whether words end in where it was: "crepe at the market", "a sandwich at the desk"."""
    if all(word_at(pieces, k) in TAGS.place_words for k in range(len(pieces))):
        return True  # "canteen 12"
    behind = [word_at(pieces, k) for k in range(max(0, len(pieces) - _MOST_OF_PLACE), len(pieces))]
    return behind[-1] in TAGS.place_words and bool(TAGS.at & set(behind[:-1]))


_MOST_OF_PLACE = 4


def _with_hour_of(clause: Clause, last: Amount) -> Clause:
    """Take the number behind a place for an hour: "banana at the market 4", "a coffee at the desk 530"."""
    hour, minute = divmod(int(last.value), 100) if last.value >= LEAST_CLOCK else (int(last.value), 0)
    if last.value != int(last.value) or last.low is not None or not (1 <= hour <= MOST_HOUR and minute < 60):
        return clause
    moment = Moment(last.start, last.end, hour=hour, minute=minute, loose=last.value <= 12)
    return replace(clause, pieces=(*clause.pieces[:-1], moment))


def food_before(clause: Clause) -> Clause | None:
    """Return the food said before an activity without a separator ("2 eggs walk 10 min"), None for none."""
    for i, piece in enumerate(clause.pieces):
        if isinstance(piece, Token) and read_activity(Clause((piece,))) is not None:
            before = list(clause.pieces[:i])
            side = next(
                (k for k, p in enumerate(before) if getattr(p, "text", "") in TAGS.beside_asides), None
            )
            if side is not None:  # "a coffee before going to the gym"
                before = before[:side]
            while before and isinstance(before[-1], Amount) and before[-1].unit == "min":
                before.pop()
            has_amount = any(
                isinstance(p, Amount) and p.unit not in TAGS.distances | {"min"} and not p.article
                for p in before
            )
            named = any(isinstance(p, Token) and not is_filler(p) for p in before)
            found = named and (has_amount or side is not None)
            return Clause(tuple(before), clause.leads, clause.strong) if found else None
    return None


def is_still_to_come(draft: Draft, food: Clause) -> bool:
    """Tell whether what food was eaten before has yet to begin: "toast before a run", no time said."""
    length = len(food.pieces)
    timed = draft.minutes is not None or (draft.moment is not None and draft.moment.has_clock)
    return not timed and word_at(draft.clause.pieces, length) == "before"


def without_bare_place(clause: Clause, table: FoodTable) -> Clause:
    """Leave out where it was, where a clause holds nothing but that and times: "lunch at the terminus"."""
    named = all(
        isinstance(p, Token) and p.text in TAGS.place_words for p in clause.pieces
    )  # "..., diner, 6 am"
    named = named or (1 < len(clause.words) <= 3 and clause.words[-1] in TAGS.sells and not _measures(clause))
    kept = [] if named or is_place(clause.pieces, table) else without_place(clause.pieces, table)
    if any(isinstance(p, Amount | Token) and not is_filler(p) for p in kept):
        return clause
    return replace(clause, pieces=tuple(kept))


def _measures(clause: Clause) -> bool:
    return any(isinstance(p, Amount) for p in clause.pieces)


_POWER = re.compile(r"\d+(?:[.,]\d+)?e\+?\d+")


def is_vast(token: Token) -> bool:
    """Tell whether it is a number of so many digits, or such a power, that it can be no amount."""
    return token.kind == "word" and (token.text.isdigit() or _POWER.fullmatch(token.text) is not None)


def says_length(piece: Piece) -> bool:
    """Tell whether a word belongs to a length or a span: "each way", "till"."""
    return isinstance(piece, Token) and piece.text in TAGS.length_too | {"to", "till", "til", "until"}


def is_again(piece: Piece) -> bool:
    """Tell whether a piece only says that something happened once more."""
    if isinstance(piece, Amount):
        return piece.article or piece.share or (piece.value == 1 and not piece.unit)
    return isinstance(piece, Token) and piece.text in TAGS.again
