"""A message's pieces cut into clauses at commas, "and", "with", "then" and the like."""

from collections.abc import Sequence

from bot.foodtable import FoodTable
from bot.understanding.foods import FILLER
from bot.understanding.pieces import Amount, Clause, Piece, word_at
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
_PHRASES: dict[tuple[str, ...], str] = {
    ("followed", "by"): "then",
    ("after", "that"): "then",
    ("and", "then"): "then",
    ("topped", "with"): "with",
    ("served", "with"): "with",
    ("along", "with"): "with",
    ("as", "well", "as"): "and",
    ("together", "with"): "with",
    ("instead", "of"): "without",
    ("no",): "without",
    ("skipped",): "without",
    ("left", "out"): "without",
    ("hold", "the"): "without",
    ("didn't", "have"): "without",
    ("didn't", "eat"): "without",
    ("afterwards",): "then",
}
_NOT_ON = frozenset({"the", "my", "its", ",", ".", "!", "\n", ";"})
_FIRST_OF_PHRASE = frozenset(phrase[0] for phrase in _PHRASES)
# What "without" still covers after "and": "coffee without milk and sugar".
_LEFT_OUT_TOO = word_set("sugar milk butter salt cream dressing sauce jam oil cheese sweetener mayo")
NEGATED = "without"


def split_clauses(pieces: Sequence[Piece], table: FoodTable) -> list[Clause]:
    """Cut pieces into clauses; a known name such as "fish and chips" is not cut."""
    clauses: list[Clause] = []
    current: list[Piece] = []
    leads: set[str] = set()
    i = 0
    while i < len(pieces):
        kept = _known_name(pieces, i, table)
        if kept:
            current.extend(pieces[i : i + kept])
            i += kept
            continue
        if _begins_other(pieces[i], current):
            clauses.append(_close(current, leads, clauses))
            current, leads = [], {"verb"}
        lead, length = _separator(pieces, i, current)
        if not length:
            if not (isinstance(pieces[i], Token) and word_at(pieces, i) in ("~", "×", "@", "-")):
                current.append(pieces[i])
            i += 1
            continue
        if current:
            clauses.append(_close(current, leads, clauses))
            current, leads = [], set()
        leads.add(lead)
        i += length
    if current:
        clauses.append(_close(current, leads, clauses))
    return clauses


def _begins_other(piece: Piece, current: Sequence[Piece]) -> bool:
    named = any(isinstance(p, Token) and p.text not in FILLER for p in current)
    return isinstance(piece, Token) and piece.text in _VERBS and named


def _close(pieces: list[Piece], leads: set[str], before: list[Clause]) -> Clause:
    clause = Clause(tuple(pieces), frozenset(leads), bool(leads & STRONG))
    if NEGATED not in leads and before and NEGATED in before[-1].leads:
        bare = all(isinstance(p, Token) for p in pieces)
        if leads & {"or", "nor"} or (bare and leads == {"and"} and set(clause.words) <= _LEFT_OUT_TOO):
            return Clause(clause.pieces, clause.leads | {NEGATED}, clause.strong)
    return clause


def _separator(pieces: Sequence[Piece], i: int, current: list[Piece]) -> tuple[str, int]:
    """Return the separator at `i` and its length, ("", 0) for none."""
    piece = pieces[i]
    if not isinstance(piece, Token):
        return "", 0
    if piece.kind == "mark" and piece.text in _MARKS and not (piece.text == "-" and piece.glued):
        return piece.text, 1
    if piece.text in _FIRST_OF_PHRASE:
        for phrase, lead in _PHRASES.items():
            if all(word_at(pieces, i + k) == word for k, word in enumerate(phrase)):
                return lead, len(phrase)
    if piece.text in _WORDS:
        following = pieces[i + 1] if i + 1 < len(pieces) else None
        food_follows = isinstance(following, Token | Amount) and word_at(pieces, i + 1) not in _NOT_ON
        if piece.text == "on" and not (current and food_follows):
            return "", 0
        return piece.text, 1
    return "", 0


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
        held = held or (bool(words) and (word in _WORDS or word in ("in", "no")))
        words.append(word)
    if not held or words[0] in _WORDS:
        return 0
    known = table.starts(words)
    return known if any(w in _WORDS for w in words[1:known]) else 0
