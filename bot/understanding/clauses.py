"""A message's pieces cut into clauses at commas, "and", "with", "then" and the like."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import takewhile

from bot.foodtable import FoodTable
from bot.understanding.categories import is_filling
from bot.understanding.pieces import Amount, Clause, Moment, Piece, SlotWord, word_at, words_match
from bot.understanding.places import FILLER
from bot.understanding.tokens import Token
from bot.understanding.wordlists import word_set

STRONG = frozenset({"\n", ";", ".", "!", "?"})
_MARKS = frozenset({",", "&", "+", ":", "(", ")", "-", "/", "="}) | STRONG
_WORDS = frozenset(
    {
        "and",
        "with",
        "then",
        "plus",
        "but",
        "on",
        "or",
        "nor",
        "alongside",
        "over",
        "into",
        "incl",
        "including",
        "without",
        "minus",
        "n",
        "because",
        "bc",
        "while",
    }
)
# A verb of another kind begins a clause even without a separator ("2 eggs walked 10 min").
_VERBS = frozenset({"walked", "ran", "cycled", "swam", "woke", "slept", "synced"})
_BEFORE_VERB = word_set("barely hardly only finally really never didn't didnt not then")
_PHRASES: dict[tuple[str, ...], str] = {
    ("no", "wait"): ",",
    ("no", "sorry"): ",",
    ("or", "rather"): ",",
    ("everything", "but"): "without",
    ("all", "but"): "without",
    ("picked", "out"): "without",
    ("picked", "off"): "without",
    ("took", "out"): "without",
    ("took", "off"): "without",
    ("scraped", "off"): "without",
    ("threw", "away"): "without",
    ("threw", "out"): "without",
    ("followed", "by"): "then",
    ("after", "that"): "then",
    ("and", "then"): "then",
    ("topped", "with"): "with",
    ("served", "with"): "with",
    ("along", "with"): "with",
    ("as", "well", "as"): "and",
    ("together", "with"): "with",
    ("instead", "of"): "without",
    ("rather", "than"): "without",
    ("apart", "from"): "without",
    ("except", "for"): "without",
    ("except",): "without",
    ("minus",): "without",
    ("sans",): "without",
    ("ohne",): "without",
    ("sin",): "without",
    ("bez",): "without",
    ("senza",): "without",
    ("sem",): "without",
    ("bina",): "without",
    ("aur",): "and",
    ("less", "the"): "without",
    ("not", "the"): "without",
    ("leaving", "out"): "without",
    ("skipping",): "without",
    ("skip",): "without",
    ("skip", "the"): "without",
    ("hold",): "without",
    ("mit",): "with",
    ("avec",): "with",
    ("au",): "with",
    ("aux",): "with",
    ("und",): "and",
    ("et",): "and",
    ("y",): "and",
    ("ve",): "and",
    ("con",): "with",
    ("z",): "with",
    ("made", "with"): "with",
    ("made", "from"): "with",
    ("made", "of"): "with",
    ("no",): "without",
    ("skipped",): "without",
    ("left", "out"): "without",
    ("hold", "the"): "without",
    ("didn't", "have"): "without",
    ("didn't", "eat"): "without",
    ("didnt", "have"): "without",
    ("didnt", "eat"): "without",
    ("did", "not", "have"): "without",
    ("did", "not", "eat"): "without",
    ("didn't", "touch"): "without",
    ("didnt", "touch"): "without",
    ("afterwards",): "then",
}
# The only words that a few rules below are about; asking first makes long notes quick to read.
_MAY_OPEN = _VERBS | {"got", "up"}
_MAY_SKIP = frozenset({"skipped", "missed"})
_JOINERS = frozenset({"and", "n", "&"})
_TAKEN_OUT = frozenset(
    {("taken", "out"), ("taken", "off"), ("left", "out"), ("left", "off"), ("picked", "out")}
)
_NO_FOOD_BEHIND_ON = word_set("waking rising getting arrival shift call break holiday site duty")
_NOT_ON = frozenset({"the", "my", "its", "left", "right", "upper", "arm", ",", ".", "!", "\n", ";"})
_BY_FIRST = {word: [p for p in _PHRASES if p[0] == word] for word, *_ in _PHRASES}
# What "without" still covers after "and": "coffee without milk and sugar".
_LEFT_OUT_TOO = word_set(
    "sugar milk butter salt cream dressing sauce jam oil cheese sweetener mayo bacon onion onions "
    "gravy syrup "
    "croutons ketchup pickle pickles olives lettuce tomato honey mustard icing crust skin"
)
NEGATED = "without"
_WITHIN_NAMES = frozenset({"over", "in", "no", "au", "from", "et", "mit", "und", "y", "ve", "con", "z"})


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
        if word in _MAY_OPEN and (_begins_other(pieces[i], current) or _gets_up(pieces, i, current)):
            clauses.append(_close(current, leads, clauses))
            current, leads = [], {"verb"}
        if _begins_value(pieces[i], current):
            clauses.append(replace(_close(current, leads, clauses), inside=inside))
            current, leads = [], {","}
        if _begins_timed(pieces[i], current):
            clauses.append(replace(_close(current, leads, clauses), inside=inside))
            current, leads = [], {","}
        if word in _MAY_SKIP and _skips_named(pieces, i, current):
            current.pop()
            i += 1
            continue
        if word in _JOINERS and _joins_dish(pieces, i, current, table):
            i += 1
            continue
        lead, length = _separator(pieces, i, current)
        if not length:
            if not (isinstance(pieces[i], Token) and word_at(pieces, i) in ("~", "×", "@", "-")):
                current.append(pieces[i])
            i += 1
            continue
        if current:
            clauses.append(replace(_close(current, leads, clauses), inside=inside))
            current, leads = [], set()
        if lead == "(":
            parentheses += 1
            inside = parentheses
        elif lead in (")", "\n"):
            inside = 0
        leads.add(lead)
        i += length
    if current:
        clauses.append(replace(_close(current, leads, clauses), inside=inside))
    return clauses


def _begins_other(piece: Piece, current: Sequence[Piece]) -> bool:
    if not isinstance(piece, Token) or piece.text not in _VERBS:
        return False
    if not current or word_at(current, len(current) - 1) in _BEFORE_VERB:
        return False
    return any(isinstance(p, Token) and p.text not in FILLER for p in current)


def _is_bare_value(piece: Piece) -> bool:
    return isinstance(piece, Amount) and not (piece.unit or piece.article or piece.vague or piece.size)


def _gets_up(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether "got up" begins a clause of its own behind a time: "bed 23:30 got up 7"."""
    timed = bool(current) and isinstance(current[-1], Moment)
    up = words_match(pieces, i, ("got", "up")) or (
        word_at(pieces, i) == "up" and i + 1 < len(pieces) and isinstance(pieces[i + 1], Moment)
    )
    return timed and up


def _begins_timed(piece: Piece, current: Sequence[Piece]) -> bool:
    """Tell whether a second time opens the next meal where no separator stands ("7am oats 1pm soup")."""
    if not isinstance(piece, Moment) or not piece.has_clock or not current:
        return False
    timed = [k for k, p in enumerate(current) if isinstance(p, Moment) and p.has_clock]
    if len(timed) == 1 and timed[0] < len(current) - 1 and _is_bare_value(current[-1]):
        return True  # "7am 95 9am 130"
    first = current[0]
    opened = isinstance(first, Moment) and first.has_clock
    return opened and any(isinstance(p, Token) and p.text not in FILLER for p in current)


def _skips_named(pieces: Sequence[Piece], i: int, current: Sequence[Piece]) -> bool:
    """Tell whether a meal's name is only said to be skipped: "lunch skipped", "breakfast: skipped"."""
    if (
        word_at(pieces, i) not in ("skipped", "missed")
        or not current
        or not isinstance(current[-1], SlotWord)
    ):
        return False
    return i + 1 == len(pieces) or word_at(pieces, i + 1) in _MARKS


def _joins_dish(pieces: Sequence[Piece], i: int, current: Sequence[Piece], table: FoodTable) -> bool:
    """Tell whether "and" stands within one dish: "cheese and onion pasty", "1 bean n cheese burrito"."""
    if word_at(pieces, i) not in ("and", "n", "&") or not current:
        return False
    first = word_at(current, len(current) - 1)
    before = current[:-1]
    alone = not any(isinstance(p, Token) and p.text not in FILLER for p in before)
    measured = any(isinstance(p, Amount) and (p.unit or p.value > MOST_DISHES) for p in before)
    if not first or not alone or measured or not is_filling(table.match(first)):
        return False
    for end in (i + 2, i + 3):
        dish = word_at(pieces, end)
        if dish.removesuffix("s") in _DISH_NAMES or dish in _DISH_NAMES:
            inner = [word_at(pieces, k) for k in range(i + 1, end)]
            return all(inner) and is_filling(table.match(" ".join(inner)))
    return False


_BREADS = word_set("bread bun roll bap pitta pita wrap baguette bagel buns")
MOST_DISHES = 4
_DISH_NAMES = word_set(
    "sandwich sarnie butty toastie panini roll baguette bap cob wrap bagel pasty pie quiche tart omelette "
    "omelet burrito quesadilla taco enchilada pizza calzone soup bake lasagne lasagna ravioli tortellini "
    "cannelloni risotto samosa pakora burger sub melt salad crisps potato jacket pancake crepe"
)


def _begins_value(piece: Piece, current: Sequence[Piece]) -> bool:
    """Tell whether the next value of a series begins where no separator stands: "5.2 0700 6.9 0830"."""
    if not isinstance(piece, Amount) or piece.unit or not piece.decimal or len(current) != 2:
        return False
    value, moment = current
    return isinstance(value, Amount) and value.decimal and isinstance(moment, Moment) and moment.has_clock


def _close(pieces: list[Piece], leads: set[str], before: list[Clause]) -> Clause:
    clause = Clause(tuple(pieces), frozenset(leads), bool(leads & STRONG))
    if NEGATED in leads:
        return clause
    negated = replace(clause, leads=clause.leads | {NEGATED})
    words = clause.words
    if tuple(words[-2:]) in _TAKEN_OUT or (len(words) > 1 and words[-1] == "removed"):
        return negated  # "with the cheese taken out"
    if before and NEGATED in before[-1].leads:
        bare = all(isinstance(p, Token) for p in pieces)
        both = "the" in words and "the" in before[-1].words
        too = bool(words) and (set(words) <= _LEFT_OUT_TOO or both)
        if leads & {"or", "nor"} or (bare and leads == {"and"} and too):
            return negated
    return clause


def _separator(pieces: Sequence[Piece], i: int, current: list[Piece]) -> tuple[str, int]:
    """Return the separator at `i` and its length, ("", 0) for none."""
    piece = pieces[i]
    if not isinstance(piece, Token):
        return "", 0
    if piece.kind == "mark" and piece.text in _MARKS and not (piece.text == "-" and piece.glued):
        return piece.text, 1
    if piece.text in _BY_FIRST and not _is_number_sign(pieces, i):
        for phrase in _BY_FIRST[piece.text]:
            if words_match(pieces, i, phrase):
                return _PHRASES[phrase], len(phrase)
    if piece.text == "with" and word_at(pieces, i - 1) == "down":
        return "", 0  # "coming down with something"
    if piece.text == "less" and word_at(pieces, i + 1) in _LEFT_OUT_TOO:
        return NEGATED, 1
    if piece.text in ("from", "using") and current and _is_counted(pieces, i + 1):
        return "with", 1  # "omelette from 3 eggs"
    if piece.text in ("in", "into") and i and _is_measured(pieces[i - 1]):
        return "with", 1  # "cod 140 g in breadcrumbs"
    if piece.text == "in" and current and _is_sauce(pieces, i + 1):
        return "in", 1  # "cabbage rolls in tomato sauce"
    if piece.text == "in" and current and _BREADS & {word_at(pieces, i + 1), word_at(pieces, i + 2)}:
        return "with", 1  # "2 sausages in a bun"
    if piece.text in _WORDS:
        following = pieces[i + 1] if i + 1 < len(pieces) else None
        food_follows = isinstance(following, Token | Amount) and word_at(pieces, i + 1) not in _NOT_ON
        begun = bool(current) or word_at(pieces, i - 1) == ")"
        if piece.text == "on" and (
            word_at(pieces, i + 1) in _NO_FOOD_BEHIND_ON or not (begun and food_follows)
        ):
            return "", 0
        return piece.text, 1
    return "", 0


_SAUCES = frozenset({"sauce", "gravy"})
_MOST_WORDS_OF_SAUCE = 4


def _is_sauce(pieces: Sequence[Piece], i: int) -> bool:
    words = [word_at(pieces, k) for k in range(i, i + _MOST_WORDS_OF_SAUCE)]
    before = takewhile(lambda word: word.isalpha() and word not in _WORDS, words)
    return any(word in _SAUCES for word in before)


def _is_measured(piece: Piece) -> bool:
    return isinstance(piece, Amount) and bool(piece.unit)


def _is_counted(pieces: Sequence[Piece], i: int) -> bool:
    piece = pieces[i] if i < len(pieces) else None
    return isinstance(piece, Amount) and not piece.article and piece.unit not in ("min", "h")


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
        if not isinstance(piece, Token) or piece.kind not in ("word", "mark") or piece.text in STRONG:
            break
        if piece.kind == "mark" and piece.text != "&":
            break
        word = "and" if piece.text in ("&", "n") else piece.text
        held = held or (bool(words) and (word in _WORDS or word in _WITHIN_NAMES))
        words.append(word)
    if not held or words[0] in _WORDS:
        return 0
    known = table.starts(words)
    return known if any(w in _WORDS or w in _WITHIN_NAMES for w in words[1:known]) else 0
