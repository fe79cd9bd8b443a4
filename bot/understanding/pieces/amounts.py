"""Amounts as people say them -> `Amount`: 60 g, 2-3 slices, half a cup of, a couple of, 1 1/2 heaped tbsp."""

from collections.abc import Sequence
from dataclasses import replace

from bot.understanding.pieces.lengths import LEAST_METRES, read_length
from bot.understanding.pieces.numerals import (
    NUMBER_WORDS,
    ORDINALS,
    SHARE_OPENERS,
    read_and_part,
    read_number,
    read_share,
)
from bot.understanding.pieces.pieces import Amount, Piece, word_at
from bot.understanding.pieces.units import LOOSE_UNITS, OTHER_UNITS, SIZES, SPOON_KINDS, UNITS, find_unit
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import Token

_NO_LITTLE = TAGS.nice | TAGS.no_little
FEW = (3.0, 2.0, 4.0)
"""How many a few are, with the least and the most; common practice, no source."""
_COUNTS = {
    "couple": (2.0, 2.0, 2.0),
    "few": FEW,
    "dozen": (12.0, 12.0, 12.0),
    "pair": (2.0, 2.0, 2.0),
}
_GROUPS = {"dozen": 12.0, "pair": 2.0, "pairs": 2.0, "paar": 2.0}
_BARE_COUNTS = {"several": (4.0, 3.0, 6.0), "both": (2.0, 2.0, 2.0), "single": (1.0, 1.0, 1.0)}
_MOST_WHOLE = 20

# Words that an amount may begin with; asking for them first makes long notes quick to read.
_OPENS_ARTICLE = TAGS.some | ORDINALS | {"a", "an", "another"}
_OPENERS = (
    TAGS.about
    | TAGS.some
    | TAGS.times_amounts
    | SHARE_OPENERS
    | TAGS.openers
    | frozenset().union(_COUNTS, _BARE_COUNTS, NUMBER_WORDS, SIZES, UNITS, LOOSE_UNITS)
)

Quantity = tuple[float, float | None, float | None, int]  # value, low, high, where it ends


def fold_amounts(pieces: Sequence[Piece]) -> list[Piece]:
    """Replace every amount in `pieces` by one `Amount`."""
    folded: list[Piece] = []
    i = 0
    while i < len(pieces):
        found = None
        if not _stands_for_food(pieces, i):
            found = _read_amount(pieces, i, at_start=not folded or _is_break(folded[-1]))
        if found is None:
            folded.append(pieces[i])
            i += 1
        else:
            amount, i = found
            folded.append(amount)
    return folded


def _stands_for_food(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether "one" at `i` stands for the food said before: "a yoghurt, a strawberry one"."""
    if word_at(pieces, i) != "one" or not word_at(pieces, i - 1).isalpha():
        return False
    ends = i + 1 == len(pieces) or word_at(pieces, i + 1) in TAGS.breaks
    return ends and bool({word_at(pieces, i - 2), word_at(pieces, i - 3)} & {"a", "an", "the"})


def _is_break(piece: Piece) -> bool:
    if isinstance(piece, Amount):
        return not piece.unit
    return not isinstance(piece, Token) or piece.text in TAGS.breaks or piece.text in ("had", "ate", "a")


def _read_amount(pieces: Sequence[Piece], i: int, *, at_start: bool) -> tuple[Amount, int] | None:
    first = pieces[i]
    if not isinstance(first, Token) or (first.kind != "number" and first.text not in _OPENERS):
        return None
    start = first.start
    j, about = i, False
    while j - i < 3 and word_at(pieces, j) in TAGS.about:
        j, about = j + 1, True
    length = read_length(pieces, j)
    if length is not None:
        end = pieces[length[1] - 1].end
        return Amount(start, end, length[0], "min", about=about), length[1]
    quantity = _read_quantity(pieces, j)
    if quantity is None and word_at(pieces, j) in SIZES:  # "the big 1/2 litre cup"
        stated = _read_amount(pieces, j + 1, at_start=False) if j + 1 < len(pieces) else None
        if (
            stated is not None
            and stated[0].unit in TAGS.exact_units | TAGS.volume_units
            and not stated[0].article
        ):
            return replace(stated[0], start=start), stated[1]
    if quantity is None:
        if word_at(pieces, j) not in _OPENS_ARTICLE:
            return _read_bare_unit(pieces, i, at_start=at_start)
        amount, end = _read_article(pieces, j)
        return replace(amount, start=start, about=about or amount.about), end
    value, low, high, j = quantity
    decimal = any("." in word_at(pieces, k) or "," in word_at(pieces, k) for k in range(i, j))
    end, share, times = pieces[j - 1].end, 0 < value < 1, word_at(pieces, i) in TAGS.times_amounts
    amount = Amount(start, end, value, "", low, high, about=about, decimal=decimal, share=share, times=times)
    amount, j = _with_unit(amount, pieces, j)
    among = next((a for k in range(i, j) if (a := _read_among(pieces, k, value)) is not None), None)
    if among or (amount.share and amount.unit):
        share = amount.share and not amount.unit
        amount = replace(amount, share=share, among=among[0] if among else 0.0)
    return amount, j


def _read_quantity(pieces: Sequence[Piece], i: int) -> Quantity | None:
    """Read how many at `i`: a number, a range, a product, a part, a couple, a dozen."""
    share = read_share(pieces, i)
    if share is not None:
        if word_at(pieces, share[1]) == "dozen":
            return share[0] * 12, None, None, share[1] + 1
        return share[0], None, None, share[1]
    if word_at(pieces, i) in _BARE_COUNTS and word_at(pieces, i - 1) not in ("on", "in"):
        return (*_BARE_COUNTS[word_at(pieces, i)], i + 1)
    j = i + 1 if word_at(pieces, i) in ("a", "the", "another") else i
    if word_at(pieces, j) in ("good", "whole", "full"):
        j += 1
    counted = _COUNTS.get(word_at(pieces, j))
    if counted is not None and j <= i + 2:
        j += 1
        if word_at(pieces, j) == "of":
            j += 1
        return (*counted, j)
    number = read_number(pieces, i)
    if number is None and word_at(pieces, i) in TAGS.times_amounts:  # "toast x2"
        number = read_number(pieces, i + 1)
        return None if number is None else (number[0], None, None, number[1])
    if number is None:
        return None
    return _read_behind_number(pieces, *number)


def _read_behind_number(pieces: Sequence[Piece], value: float, j: int) -> Quantity:
    """Read what belongs to a number and stands behind it at `j`: a part, a range, a product."""
    if word_at(pieces, j) in _GROUPS:
        return value * _GROUPS[word_at(pieces, j)], None, None, j + 1
    extra = read_and_part(pieces, j)
    if extra is not None:
        return value + extra[0], None, None, extra[1]
    among = _read_among(pieces, j, value)
    if among is not None:
        return value, None, None, among[1]
    if 0 < value < 1 and word_at(pieces, j) in ("a", "an") and word_at(pieces, j + 1).isalpha():
        return value, None, None, j + 1  # "1/2 a melon"
    if 0 < value < 1 and word_at(pieces, j) == "of":  # "2/3 of a"
        j += 1
        return value, None, None, j + 1 if word_at(pieces, j) in ("a", "an", "the", "my") else j
    if word_at(pieces, j) in TAGS.range:
        other = read_number(pieces, j + 1)
        if other is not None and other[0] > value >= 0:
            return (value + other[0]) / 2, value, other[0], other[1]
    if word_at(pieces, j) in TAGS.times_amounts:
        other = read_number(pieces, j + 1)
        if other is not None:
            return value * other[0], None, None, other[1]
        return value, None, None, j + 1
    return value, None, None, j


def _read_among(pieces: Sequence[Piece], i: int, value: float) -> tuple[float, int] | None:
    """Read "of 8" in "3 of 8 slices" at `i`; return how many there were and where the next word stands."""
    j = i + 1 if word_at(pieces, i) == "out" else i
    if word_at(pieces, j) != "of":
        return None
    j += 1
    if word_at(pieces, j) in ("the", "my", "those"):
        j += 1
    number = read_number(pieces, j)
    if number is None or not 0 < value <= number[0]:
        return None
    word = word_at(pieces, number[1])
    counted = (
        word.isalpha() and word not in OTHER_UNITS and (number[0] > value or UNITS.get(word) in TAGS.dealt)
    )
    return number if counted and UNITS.get(word, "slice") in TAGS.dealt else None


def _with_unit(amount: Amount, pieces: Sequence[Piece], i: int) -> tuple[Amount, int]:
    """Add the size and unit that stand at `i`: large, heaped tbsp of, 330 ml can of."""
    i += word_at(pieces, i) == "ish"  # "150ish g"
    j, size = _read_size(pieces, i + 1 if word_at(pieces, i) in TAGS.more else i)
    word = word_at(pieces, j)
    if word in SPOON_KINDS and UNITS.get(word_at(pieces, j + 1)) == "spoon":
        j, word = j + 1, SPOON_KINDS[word]
    unit = OTHER_UNITS.get(word) or find_unit(word)
    if word == "in" and j == i and _is_glued(pieces, j):
        unit = "inch"
    if unit == "whole" and amount.value > _MOST_WHOLE:
        unit = None  # "250 whole milk"
    if word == "m" and amount.value >= LEAST_METRES:
        unit = "metre"
    loose = LOOSE_UNITS.get(word) or LOOSE_UNITS.get(word.removesuffix("s"))
    if unit is None and loose is not None:
        factor, unit = loose
        amount = replace(amount, value=amount.value * factor, about=True)
    if unit is None:
        end = max(amount.end, pieces[j - 1].end)
        return (replace(amount, size=size, end=end) if size or end > amount.end else amount), j
    j += 1
    extra = None if unit in TAGS.never_halved else read_and_part(pieces, j)
    if extra is not None:
        amount, j = replace(amount, value=amount.value + extra[0]), extra[1]
    amount = replace(amount, unit=unit, size=size, end=pieces[j - 1].end)
    if unit in ("g", "ml", "l", "cl", "dl", "oz", "floz", "portion"):
        # "a 330 ml can of", "200 g tin of": the stated amount is what counts.
        k, _ = _read_size(pieces, j)
        if word_at(pieces, k) in UNITS and (word_at(pieces, k + 1) in TAGS.breaks | {"of", "in", ""}):
            j, amount = k + 1, replace(amount, held=True)
    if word_at(pieces, j) == "of":
        j += 1
        if word_at(pieces, j) in ("the", "a", "an", "my"):
            j += 1
        whole = read_number(pieces, j)
        if whole is not None and UNITS.get(word_at(pieces, whole[1])) in ("g", "ml"):
            j = whole[1] + 1  # "50 g of the 100 g bar"
            j = j + 1 if word_at(pieces, j) in UNITS else j
    return amount, j


def _is_glued(pieces: Sequence[Piece], i: int) -> bool:
    piece = pieces[i]
    return isinstance(piece, Token) and piece.glued


def _read_size(pieces: Sequence[Piece], i: int) -> tuple[int, str]:
    size = ""
    if word_at(pieces, i) in ("extra", "very", "really", "quite") and word_at(pieces, i + 1) in SIZES:
        i += 1
    while word_at(pieces, i) in SIZES and word_at(pieces, i + 1) not in ("crust", "base", "cut"):
        if word_at(pieces, i) == "less" and word_at(pieces, i + 1) in TAGS.less_of_none | TAGS.left_out_too:
            break  # "less than 50 g", "less sugar"
        size = SIZES[word_at(pieces, i)]
        i += 1
    return i, size


def _read_article(pieces: Sequence[Piece], i: int) -> tuple[Amount, int]:
    """Read "a", "another", "some", "a bit of", "a large bowl of"."""
    start, word = pieces[i].start, word_at(pieces, i)
    following = word_at(pieces, i + 1)
    if word in TAGS.some:
        return Amount(start, pieces[i].end, 1.0, vague=True), i + 1
    if following == "little" and word_at(pieces, i + 2) == "bit":
        i, following = i + 1, "bit"
    if following in ("bit", "little", "lot", "touch", "load") and word_at(pieces, i + 2) in ("of", "more"):
        share = 1.5 if following in ("lot", "load") else 0.5
        return Amount(start, pieces[i + 2].end, share, vague=True), i + 3
    behind = word_at(pieces, i + 2)
    if following == "little" and behind.isalpha() and not (behind in UNITS or behind in _NO_LITTLE):
        return Amount(start, pieces[i + 1].end, 0.5, vague=True), i + 2  # "a little milk"
    if following == "side" and word_at(pieces, i + 2) == "of":
        return Amount(start, pieces[i + 2].end, 1.0, vague=True), i + 3
    if following in ("bit", "lot"):
        return Amount(start, pieces[i + 1].end, 1.0, vague=True), i + 2
    number = read_number(pieces, i + 1)
    if number is not None:  # "a 330 ml can of", "a 20 minute walk"
        found = _read_amount(pieces, i + 1, at_start=True)
        if found is not None:
            return replace(found[0], start=start), found[1]
    j = i + 1
    while word_at(pieces, j) in TAGS.nice | ORDINALS:
        j += 1
    if len(word_at(pieces, j)) == 1:  # "another G&T" is no gram
        return Amount(start, pieces[i].end, 1.0, article=True), j
    amount, end = _with_unit(Amount(start, pieces[i].end, 1.0), pieces, j)
    return replace(amount, article=not amount.unit and not amount.size), end


def _read_bare_unit(pieces: Sequence[Piece], i: int, *, at_start: bool) -> tuple[Amount, int] | None:
    """Read a unit or a size without a number: "bowl of", "large", "slice toast", "the whole tub of"."""
    whole = i + 1 if word_at(pieces, i) in ("the", "my") else i
    if word_at(pieces, whole) in TAGS.all_of and UNITS.get(word_at(pieces, whole + 1)) in TAGS.holders:
        first = Amount(pieces[i].start, pieces[whole].end, 1.0)
        return _with_unit(first, pieces, whole + 1)
    j, size = _read_size(pieces, i)
    word = word_at(pieces, j)
    unit = UNITS.get(word) or (LOOSE_UNITS[word][1] if word in LOOSE_UNITS else None)
    of = word_at(pieces, j + 1) == "of"
    named = word_at(pieces, j + 1) in TAGS.after_unit
    spoon = j == i and word in ("tsp", "tbsp", "teaspoon", "tablespoon") and word_at(pieces, j + 1).isalpha()
    counts = of or spoon or (at_start and word not in TAGS.ambiguous_units and not named) or bool(size)
    if unit is not None and counts and len(word) > 2:
        plural = word.endswith("s") and word not in ("glass", "glas")
        bare = Amount(pieces[i].start, pieces[i].end, 2.0 if plural else 1.0, about=plural)
        return _with_unit(bare, pieces, i)
    if size and (at_start or word in TAGS.breaks | {"", "no", "without", "extra"}):
        return Amount(pieces[i].start, pieces[j - 1].end, 1.0, size=size), j
    return None
