"""Numbers as people say them: two, half a, a couple of, a dozen, one and a half."""

from collections.abc import Sequence

from bot.understanding.pieces.pieces import Piece, word_at
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import Token

_UNITS = "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen"
NUMBER_WORDS: dict[str, float] = {w: float(n) for n, w in enumerate(_UNITS.split(), start=1)}
NUMBER_WORDS |= {"seventeen": 17.0, "eighteen": 18.0, "nineteen": 19.0, "twenty": 20.0, "thirty": 30.0}
NUMBER_WORDS |= {"ek": 1.0, "dos": 2.0, "tres": 3.0}
NUMBER_WORDS |= {"mbili": 2.0, "tatu": 3.0, "dva": 2.0, "dwa": 2.0, "iki": 2.0, "dua": 2.0, "tiga": 3.0}
NUMBER_WORDS |= {"zwei": 2.0, "drei": 3.0, "vier": 4.0, "deux": 2.0, "trois": 3.0}
NUMBER_WORDS |= {"forty": 40.0, "fifty": 50.0, "sixty": 60.0, "hundred": 100.0}

_PARTS = {"half": 0.5, "quarter": 0.25, "third": 1 / 3, "quarters": 0.25, "thirds": 1 / 3, "halves": 0.5}
_PARTS |= {"halbe": 0.5, "halber": 0.5, "halbes": 0.5, "halben": 0.5, "demi": 0.5}
_FEW_PARTS = {"fifth": 0.2, "sixth": 1 / 6, "eighth": 0.125, "tenth": 0.1}
_PARTS |= _FEW_PARTS | {f"{name}s": part for name, part in _FEW_PARTS.items()}
ORDINALS = frozenset({"third", "fourth", "seventh", "ninth", *_FEW_PARTS})
"""A food behind one is one of it ("my fifth coffee"), unless a part of something is meant."""
SHARE_OPENERS = TAGS.one | frozenset(_PARTS)
"""Words that a part may begin with, beside numbers."""


def read_number(pieces: Sequence[Piece], i: int) -> tuple[float, int] | None:
    """Read a plain number at `i`, in digits or words; return it and where it ends."""
    if i < len(pieces):
        piece = pieces[i]
        if isinstance(piece, Token) and piece.kind == "number":
            return piece.number, i + 1
    word = word_at(pieces, i)
    if word in TAGS.tens and 1 <= NUMBER_WORDS.get(word_at(pieces, i + 1), 0) <= 9:
        return NUMBER_WORDS[word] + NUMBER_WORDS[word_at(pieces, i + 1)], i + 2
    if word in NUMBER_WORDS:
        return NUMBER_WORDS[word], i + 1
    return None


def read_share(pieces: Sequence[Piece], i: int) -> tuple[float, int] | None:
    """Read a part at `i` with its article and "of": half a, a quarter of the, two thirds of."""
    j, count = i, 1.0
    if word_at(pieces, j) in TAGS.one:
        j += 1
    elif (number := read_number(pieces, j)) is not None and word_at(pieces, number[1]).endswith("s"):
        count, j = number
    part = _PARTS.get(word_at(pieces, j))
    if part is None or word_at(pieces, j + 1) in TAGS.no_part_before:
        return None
    behind = word_at(pieces, j + 1)
    if word_at(pieces, j) in ORDINALS and behind.isalpha() and behind not in TAGS.behind_part:
        return None
    j += 1
    if word_at(pieces, j) == "of":
        j += 1
    if word_at(pieces, j) in ("a", "an", "the", "my"):
        j += 1
    return count * part, j


def read_and_part(pieces: Sequence[Piece], i: int) -> tuple[float, int] | None:
    """Read "and a half" or "and a quarter" at `i`."""
    if word_at(pieces, i) not in ("and", "&", "n"):
        return None
    j = i + 2 if word_at(pieces, i + 1) == "a" else i + 1
    part = _PARTS.get(word_at(pieces, j))
    if part is None or (j == i + 1 and word_at(pieces, j + 1) in ("a", "an", "the", "of", "my", "")):
        return None  # "toast and half an avocado"
    return part, j + 1
