"""What is said beside the food: whom it was shared with, where it was eaten, what became of the rest.

Such words are taken out before a note is cut into clauses, so that "pizza with my wife" is not two foods; a
meal that was shared leaves its share on the amounts.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bot.foodtable import FoodTable
from bot.understanding.foods.said import EATING, Said
from bot.understanding.foods.weighing import SIZE_OF_HELPING
from bot.understanding.pieces.numerals import NUMBER_WORDS
from bot.understanding.pieces.pieces import Amount, Clause, Moment, Piece, SlotWord, word_at
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import Token


@dataclass(frozen=True, slots=True)
class _Company:
    """Where people are named, and among how many the food was parted."""

    start: int
    end: int
    parts: float


def drop_remarks(pieces: Sequence[Piece], table: FoodTable) -> list[Piece]:
    """Return the pieces without company and the like; what was shared is halved, or parted among so many."""
    kept: list[Piece] = []
    sentence: list[Piece] = []
    for piece in pieces:
        sentence.append(piece)
        if isinstance(piece, Token) and piece.text in TAGS.strong:
            kept += _read_sentence(sentence, table)
            sentence = []
    return kept + _read_sentence(sentence, table)


def _read_sentence(pieces: list[Piece], table: FoodTable) -> list[Piece]:
    pieces = _without_giver(_without_kinds(_without_likeness(pieces)))
    company = _find_company(pieces)
    verb = next((i for i in range(len(pieces)) if _is_shared(pieces, i)), None)
    if verb is not None and company is None:
        company = _find_named(pieces, table)
    if verb is None and (between := _find_between(pieces)) is not None:
        begin = max((k for k in range(between.start) if word_at(pieces, k) in TAGS.cuts), default=-1)
        gone = set(range(between.start, between.end))
        return _share_out(pieces, begin, between.start, 1 / between.parts, gone)
    if verb is None:
        return pieces if company is None or company.parts == 0 else _cut(pieces, company)
    dealt = _find_dealt(pieces, verb)
    parts = next((c.parts for c in (company, dealt) if c is not None and c.parts), 2.0)
    end = next((c.start for c in (company, dealt) if c is not None and c.start > verb), None)
    gone = {verb, *(k for c in (company, dealt) if c is not None for k in range(c.start, c.end))}
    until = end if end is not None else _clause_end(pieces, verb)
    begin = verb
    if all(k in gone for k in range(verb + 1, until)):  # "ice kacang shared by 3"
        begin = max((k for k in range(verb) if word_at(pieces, k) in TAGS.cuts), default=-1)
        until = verb
    return _share_out(pieces, begin, until, 1 / parts, gone)


def _shows_eating(pieces: Sequence[Piece]) -> bool:
    planned = next((k for k, p in enumerate(pieces) if getattr(p, "text", "") in TAGS.hoping), None)
    pieces = pieces[:planned]  # "the neighbour brought soup, will heat that for tea" says when it will be
    return any(isinstance(p, Moment | SlotWord) or getattr(p, "text", "") in EATING for p in pieces)


_MOST_WORDS_OF_GIVER = 4


def _without_giver(pieces: list[Piece]) -> list[Piece]:
    """Leave out "my daughter brought round": who made the food says nothing of it.

    What neighbours and colleagues brought was not eaten by that alone.
    """
    if any(
        word_at(pieces, i) == "but" and word_at(pieces, i + 1) in ("i", "i'm", "mine")
        for i in range(len(pieces))
    ):
        return pieces  # "my flatmate ordered curry but I had soup"
    opens = 0
    for i in range(len(pieces)):
        if word_at(pieces, i) in (",", "and"):
            opens = i + 1
        if word_at(pieces, i) not in TAGS.people_remarks or word_at(pieces, i + 1) not in TAGS.giving:
            continue
        subject = i - opens < _MOST_WORDS_OF_GIVER and word_at(pieces, i) not in TAGS.household
        if subject and not _shows_eating(pieces[opens:]):
            continue
        start, end = i, i + 2
        while start and word_at(pieces, start - 1) in TAGS.beside_people:
            start -= 1
        while word_at(pieces, end) in TAGS.to_whom:
            end += 1
        return [*pieces[:start], *pieces[end:]]
    return pieces


def _without_likeness(pieces: list[Piece]) -> list[Piece]:
    """Leave out "the size of an egg": what food was as big as was not eaten."""
    at = next((i for i in range(len(pieces)) if word_at(pieces, i) == "size"), 0)
    if not at or word_at(pieces, at + 1) != "of":
        return pieces
    start = at - 1 if word_at(pieces, at - 1) in TAGS.determiners else at
    end = next((i for i in range(at, len(pieces)) if word_at(pieces, i) in TAGS.cuts), len(pieces))
    return [*pieces[:start], *pieces[end:]]


def _without_kinds(pieces: list[Piece]) -> list[Piece]:
    """Leave out "the breakfast kind": a meal's name that only says what sort of food it was."""
    if not any(isinstance(p, SlotWord) for p in pieces):
        return pieces
    gone = {
        k
        for i, piece in enumerate(pieces)
        if isinstance(piece, SlotWord) and word_at(pieces, i + 1) in TAGS.kinds_remarks
        for k in (i, i + 1)
    }
    return [p for i, p in enumerate(pieces) if i not in gone]


def _is_shared(pieces: Sequence[Piece], i: int) -> bool:
    word = word_at(pieces, i)
    if word not in TAGS.shared or (word_at(pieces, i + 1) in ("my", "the") and word == "share" and i):
        return False
    if word not in TAGS.take_object:
        return True
    if word_at(pieces, i + 2) in ("way", "ways"):
        return True  # "a slice of pie split 2 ways"
    before = word_at(pieces, i - 1) if i else ""
    follows = pieces[i + 1] if i + 1 < len(pieces) else None
    return (not i or before in TAGS.before_verb | TAGS.people_remarks) and (
        isinstance(follows, Amount) or bool(word_at(pieces, i + 1))
    )


def _find_company(pieces: Sequence[Piece]) -> _Company | None:
    for i in range(len(pieces)):
        if word_at(pieces, i) in TAGS.withs_remarks:
            end, others = _read_people(pieces, i + 1)
            if end:
                return _Company(i, end, 1 + others)
    return None


def _find_named(pieces: Sequence[Piece], table: FoodTable) -> _Company | None:
    """Find whom food was shared with by a name: "split a pizza with" and a word that is no food."""
    for i in range(len(pieces)):
        name = word_at(pieces, i + 1)
        if word_at(pieces, i) not in TAGS.withs_remarks or not name.isalpha() or table.has_word(name):
            continue
        if i + 2 == len(pieces) or word_at(pieces, i + 2) in TAGS.cuts | TAGS.strong:
            return _Company(i, i + 2, 2.0)
    return None


def _read_people(pieces: Sequence[Piece], i: int) -> tuple[int, float]:
    """Read "my wife and the kids" at `i`; return where it ends (0 for none) and how many they are."""
    end, others, count = 0, 0.0, 1.0
    while i < len(pieces):
        piece = pieces[i]
        if isinstance(piece, Amount) and not piece.unit:
            count = max(piece.value, 1.0)
        elif word_at(pieces, i) in TAGS.people_remarks:
            end, others, count = i + 1, others + count, 1.0
        elif word_at(pieces, i) not in TAGS.beside_people:
            break
        i += 1
    return end, others


def _find_dealt(pieces: Sequence[Piece], verb: int) -> _Company | None:
    """Find "between three of us", "between us", "3 ways", "half each" behind a verb of sharing."""
    for i in range(verb + 1, len(pieces)):
        piece = pieces[i]
        following = pieces[i + 1] if i + 1 < len(pieces) else piece
        if word_at(pieces, i) == "by" and _count(following):  # "shared by 3"
            return _Company(i, i + 2, _count(following))
        if word_at(pieces, i) in ("between", "among", "amongst"):
            j, parts = i + 1, 2.0
            while j < len(pieces) and (word_at(pieces, j) in ("the", "of", "us", "people") or j == i + 1):
                j += 1
            counted = next((_count(p) for p in pieces[i + 1 : j + 1] if _count(p)), 0.0)
            while word_at(pieces, j) in ("of", "us", "people"):
                j += 1
            return _Company(i, j, counted or parts)
        if isinstance(piece, Amount) and word_at(pieces, i + 1) in ("way", "ways"):
            return _Company(i, i + 2, piece.value)
        if isinstance(piece, Amount) and piece.share and word_at(pieces, i + 1) == "each":
            return _Company(i, i + 2, 1 / piece.value)
    return None


def _find_between(pieces: Sequence[Piece]) -> _Company | None:
    """Find "between 4" where no verb says that food was shared: "a pavlova between 6 of us"."""
    i = next((k for k in range(1, len(pieces)) if word_at(pieces, k) == "between"), None)
    found = None if i is None or len(pieces) < i + 2 else _find_dealt(pieces, i - 1)
    timed = found is not None and word_at(pieces, found.end) in ("and", "to", "-")
    return None if found is None or timed or not _count(pieces[found.start + 1]) else found


def parts_of(pieces: Sequence[Piece]) -> float:
    """Return among how many food was shared that these words speak of, 0 where they do not say."""
    found = (_find_company(pieces), _find_dealt(pieces, -1))
    return next((company.parts for company in found if company is not None and company.parts), 0.0)


def _count(piece: Piece) -> float:
    if isinstance(piece, Amount):
        return piece.value if not piece.unit and piece.value > 1 else 0.0
    return NUMBER_WORDS.get(piece.text, 0.0) if isinstance(piece, Token) else 0.0


def _clause_end(pieces: Sequence[Piece], start: int) -> int:
    return next((k for k in range(start, len(pieces)) if word_at(pieces, k) in (",", "(")), len(pieces))


def _share_out(pieces: list[Piece], verb: int, until: int, share: float, gone: set[int]) -> list[Piece]:
    shared: list[Piece] = []
    amount_said = False
    for i, piece in enumerate(pieces):
        if i in gone:
            continue
        if verb < i < until and isinstance(piece, Amount) and piece.unit not in ("min", "h"):
            of_one = piece.value == 1 and not piece.unit
            piece, amount_said = replace(scale(piece, share), share=piece.share or of_one), True
        elif verb < i < until and not amount_said and word_at(pieces, i) not in TAGS.no_names:
            shared.append(Amount(piece.start, piece.start, share, article=True, share=True))
            amount_said = True
        shared.append(piece)
    return shared


def scale(amount: Amount, share: float) -> Amount:
    """Return a part of an amount; a count that a later one may replace ("… had 3 slices")."""
    return replace(
        amount,
        value=amount.value * share,
        low=None if amount.low is None else amount.low * share,
        high=None if amount.high is None else amount.high * share,
        article=not amount.unit or amount.article,
    )


def _cut(pieces: list[Piece], company: _Company) -> list[Piece]:
    return [*pieces[: company.start], *pieces[company.end :]]


_ALL = TAGS.ate | TAGS.all


def scales_all(clause: Clause) -> bool:
    """Tell whether a clause only says how much of the meal was eaten: "only ate half", "left a third"."""
    words = set(clause.words)
    shares = [p for p in clause.pieces if isinstance(p, Amount)]
    told = bool(words & (TAGS.ate | TAGS.helping))
    return len(shares) == 1 and shares[0].share and told and words <= _ALL | TAGS.helping


def scale_foods(foods: "Sequence[Said]", clause: Clause) -> None:
    """Leave the part of every food that was eaten."""
    share = next(p.value for p in clause.pieces if isinstance(p, Amount))
    eaten = 1 - share if {"left", "leaving"} & set(clause.words) else share
    for food in foods:
        if food.amount is None:
            food.amount = Amount(food.start, food.start, eaten, vague=True)
        else:
            food.amount = replace(scale(food.amount, eaten), article=food.amount.article)


def read_helping(clause: Clause) -> Amount | None:
    """Return how much of what was named the person had: "a litre of it for the table, I had 2 glasses"."""
    amounts = [p for p in clause.pieces if isinstance(p, Amount)]
    words = set(clause.words)
    told = bool(words & TAGS.helped) and words <= TAGS.helped | TAGS.helped_too
    if not told or len(amounts) != 1 or len(amounts) + len(clause.words) < len(clause.pieces):
        return None
    return None if amounts[0].share or amounts[0].vague or amounts[0].minutes else amounts[0]


def size_helping(food: Said, clause: Clause) -> None:
    """Make a helping smaller or larger than usual, where its amount was not said."""
    smaller = bool({"smaller", "less"} & set(clause.words))
    if food.amount is None and "same" not in clause.words:
        food.amount = Amount(food.end, food.end, SIZE_OF_HELPING["small" if smaller else "large"], vague=True)


def find_unfinished(words: Sequence[str]) -> frozenset[str]:
    """Return the words behind "didn't finish the ...", none where a clause does not begin so."""
    ends = [k for k, word in enumerate(words[:4]) if word in ("finish", "manage")]
    return frozenset(words[ends[0] + 1 :]) if ends and TAGS.nots & set(words[: ends[0]]) else frozenset()


def tells_of_rest(words: Sequence[str], table: FoodTable) -> bool:
    """Tell whether a clause only says what became of the rest: "gave the rest to my son".

    "and the rest of the rice" was eaten.
    """
    name = [word for word in words if word not in ("the", "my")]
    if name[:2] == ["rest", "of"] and name[2:] and table.starts(name[2:]) == len(name) - 2:
        return False
    return bool(words) and ("rest" in words or words[0] in TAGS.gave or words[1:2] in (["left"], ["gave"]))
