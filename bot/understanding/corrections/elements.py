"""A message as a row of elements, each with a one-letter tag: cue words, foods, amounts, times.

The tags of a message in a row are its shape: "the cream was yogurt" is "PbF", a food of the plate, a form of
"to be", another food. Shapes are what `shapes.py` reads.

Beside the tags of cues.toml: P a food (or part of its name) on a noted plate, K the same food of another kind
("brown rice" where rice was noted), F another food, A an amount, H a share ("half"), T a time, S a meal's
name, M movement, L a feeling that was noted, y a word that makes another kind of a noted food ("was brown"),
B, N, I and O before, after, first and last of foods of a plate, u a word of which nothing is known.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from bot.model.entries import Activity, Feeling, Sleep
from bot.understanding.context import Context
from bot.understanding.corrections.cues import cue_openers, cues, parted_verbs
from bot.understanding.corrections.element import Element
from bot.understanding.corrections.known_foods import Plates
from bot.understanding.corrections.neighbours import settle
from bot.understanding.corrections.whose import names_person
from bot.understanding.foods.folding import fold_tokens
from bot.understanding.pieces.lengths import read_length
from bot.understanding.pieces.numerals import NUMBER_WORDS
from bot.understanding.pieces.pieces import Amount, Moment, Piece, SlotWord, word_at
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.movements import find_movement
from bot.understanding.words.tokens import Token, read_tokens

LONGEST_PHRASE = 6
LONGEST_NAME = 6
_HEDGE = "h"
_MANY = {"double": 2.0, "twice": 2.0, "triple": 3.0, "most": 0.75}
_ARROWS = frozenset(">→⇒➡")
_SHIFTS = {"earlier": "q", "sooner": "q", "later": "Q"}
_MOST_BETWEEN = 6
"""How many pieces may stand within a phrase that is parted by what it is about: "take the rice off"."""
MOST_SUGARS = 3
"""So many sugars go into a cup, and are no glucose value; no source."""
_WAS = re.compile(r"\s(was|is|were)$", re.IGNORECASE)


def relink(element: Element, plates: Plates) -> Element:
    """Return an element with the items that it means on the plates as they are now."""
    if element.tag not in "PK":
        return element
    on = plates.find([w for w in element.said.lower().split() if plates.knows(w)])
    return replace(element, on=on, tag=element.tag if on else "F")


def fold_all(text: str, context: Context) -> list[Piece]:
    """Return a text's pieces, with nothing dropped."""
    tokens, table = _with_at(read_tokens(text)), context.table
    for i in range(len(tokens)):
        length = read_length(tokens, i)
        if length is not None and word_at(tokens, length[1]) in _SHIFTS:
            # "20 min earlier" is no time by itself: it moves what was noted.
            amount = Amount(tokens[i].start, tokens[length[1] - 1].end, length[0], "min")
            before, behind = fold_tokens(tokens[:i], table), fold_tokens(tokens[length[1] + 1 :], table)
            return [*before, amount, tokens[length[1]], *behind]
    if context.noted and isinstance(context.noted[-1].entry, Sleep | Activity):
        tokens = _with_from(tokens)
    return fold_tokens(tokens, table)


def _with_at(tokens: Sequence[Token]) -> list[Token]:
    """Say that an hour and its minutes in words are a time: "not six, seven thirty"."""
    found: list[Token] = []
    for i, token in enumerate(tokens):
        hour = 1 <= NUMBER_WORDS.get(token.text, 0) <= 12 and word_at(tokens, i - 1) != "at"
        if hour and token.kind != "number" and word_at(tokens, i + 1) in TAGS.minutes:
            found.append(Token("word", "at", token.start, token.start))
        found.append(token)
    return found


def _with_from(tokens: Sequence[Token]) -> list[Token]:
    """Say where a span begins: "the first one was 12 to 3" of a night."""
    found: list[Token] = []
    for i, token in enumerate(tokens):
        spans = [t.text for t in tokens[i + 1 : i + 3]]
        led = word_at(tokens, i - 1) in ("from", "between")
        spans_hours = len(spans) == 2 and spans[0] in TAGS.spans and spans[1][:1].isdigit()
        if token.kind == "number" and spans_hours and not led:
            found.append(Token("word", "from", token.start, token.start))
        found.append(token)
    return found


def read_elements(text: str, context: Context, plates: Plates) -> list[Element]:
    """Return the elements of a text, hedges left out."""
    found = [e for e in _elements(fold_all(text, context), text, context, plates) if e.tag != _HEDGE]
    return settle(found, context, plates)


def _elements(pieces: Sequence[Piece], text: str, context: Context, plates: Plates) -> Iterator[Element]:
    i, parted = 0, range(0)
    while i < len(pieces):
        piece = pieces[i]
        if i in parted:
            i = parted.stop
            continue
        if not isinstance(piece, Token):
            element = _of_piece(piece, text)
            if (n := _is_one_more(pieces, i, text)) or _points(pieces, i, text):
                yield replace(element, tag="m" if n else "R", end=pieces[i + n].end, piece=None)
                i += 1 + n
                continue
            was = _WAS.search(element.said) if element.tag == "S" else None
            on = () if was is None else plates.find(element.said[: was.start()].lower().split())
            if was is not None and (i or on):  # "the roll at lunch was cheese", "tea was green tea"
                led = word_at(pieces, i - 1) in ("at", "for")
                end, tag = element.start + was.start(), element.tag if i and (led or not on) else "P"
                yield replace(element, tag=tag, end=end, said=element.said[: was.start()], on=on)
                yield Element("b", element.start + was.start() + 1, element.end, was[1])
                i += 1
                continue
            if element.tag == "A" and TAGS.more_elements & set(element.said.lower().split()):
                yield Element("m", element.start, element.start, "more")
            yield element
            i += 1
            continue
        cue, n_cue = _cue_at(pieces, i, text)
        if word_at(pieces, i - 1) in TAGS.owners and i and names_person(piece.text):
            cue, n_cue = "", 0  # "my mate", not "cheers, mate"
        if cue == "m" and n_cue == 1 and word_at(pieces, i - 1) == "the":
            cue, n_cue = "", 0  # "the second one" is no further one
        if n_cue < 2 and (found := _parted_at(pieces, i, context)) is not None:
            cue, n_cue, parted = found[0], 1, found[1]
        if piece.kind == "mark" and text[piece.start] in _ARROWS:
            cue = ">"  # "butter -> jam"
        if text[piece.start] == "*":
            cue, n_cue = "o", 1  # "pear*"
        food, n_food = _food_at(pieces, i, text, context, plates)
        held = word_at(pieces, i - 1) in ("had", "has") and i > 1  # "the tea had sugar", no value
        held = held or (
            word_at(pieces, i - 1) in TAGS.lists_elements and not isinstance(_after(pieces, i), Amount)
        )
        taken = food is not None and (food.tag == "P" or _is_counted(pieces, i)) and _takes_food(pieces, i)
        sugar = cue == "G" and food is not None and (held or taken)
        if food is not None and (n_food > n_cue or sugar):
            yield food
            i += n_food
        elif cue:
            last = pieces[i + n_cue - 1]
            yield Element(cue, piece.start, last.end, text[piece.start : last.end])
            i += n_cue
        elif food is not None:
            yield food
            i += n_food
        else:
            yield _other(pieces, i, text, context)
            i += 1


def _is_one_more(pieces: Sequence[Piece], i: int, text: str) -> int:
    """Return 1 where "a third" and "one" are one more of what was had, not a share of it."""
    piece, behind = pieces[i], pieces[i + 1] if i + 1 < len(pieces) else None
    nth = isinstance(piece, Amount) and text[piece.start : piece.end].lower() in TAGS.nth_more
    return int(nth and behind is not None and text[behind.start : behind.end].lower() == "one")


def _points(pieces: Sequence[Piece], i: int, text: str) -> bool:
    """Tell whether "one" stands for what was noted: "the first one", "the lunch one"."""
    piece = pieces[i]
    said = text[piece.start : piece.end].lower()
    before = pieces[i - 1] if i else None
    slot = isinstance(before, SlotWord) and not _WAS.search(text[before.start : before.end])
    slot = slot or (isinstance(before, Moment) and before.has_clock and word_at(pieces, i - 2) == "the")
    named = slot or word_at(pieces, i - 1) in TAGS.which_one
    by_time = word_at(pieces, i - 1) == "the" and isinstance(_after(pieces, i), Moment | SlotWord)
    return isinstance(piece, Amount) and said == "one" and i > 0 and (named or by_time)


def _after(pieces: Sequence[Piece], i: int) -> Piece | None:
    return pieces[i + 1] if i + 1 < len(pieces) else None


def _takes_food(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether what stands before `i` makes sugar a food rather than a value: "no sugar", "2 sugar"."""
    k = i - 1 - (i > 1 and word_at(pieces, i - 1) in TAGS.articles_elements)
    before = pieces[k] if k >= 0 else None
    if isinstance(before, Token) and k > 0 and (word_at(pieces, k - 1), before.text) in cues():
        return cues()[word_at(pieces, k - 1), before.text] in tuple("rdamn")
    if isinstance(before, Token):
        return cues().get((before.text,), "") in tuple("rdamn") or before.text == "no"
    return isinstance(before, Amount)


def _is_counted(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether what stands before `i` is so few or a spoon, and no value: "one sugar"."""
    before = pieces[i - 1] if i else None
    return isinstance(before, Amount) and (
        before.unit != "mmol" if before.unit else before.value <= MOST_SUGARS
    )


def _parted_at(pieces: Sequence[Piece], i: int, context: Context) -> tuple[str, range] | None:
    """Return the tag of a phrase that begins at `i` and ends behind a food, and where its end stands."""
    ends = parted_verbs().get(word_at(pieces, i), ())
    between: list[str] = []
    for j in range(i + 1, min(i + 1 + _MOST_BETWEEN, len(pieces))) if ends else ():
        word = word_at(pieces, j)
        if word in TAGS.parting:
            return None
        for end, tag in ends if between else ():
            if tuple(word_at(pieces, j + k) for k in range(len(end))) == end:
                return tag, range(j, j + len(end))
        between.append(word)
    return None


def _of_piece(piece: Amount | Moment | SlotWord, text: str) -> Element:
    said = text[piece.start : piece.end]
    if isinstance(piece, Amount) and said.lower() in ("both", "any"):
        return Element("R", piece.start, piece.end, said)
    if isinstance(piece, Amount):
        return Element("H" if piece.share and not piece.unit else "A", piece.start, piece.end, said, piece)
    return Element("T" if isinstance(piece, Moment) else "S", piece.start, piece.end, said, piece)


def _cue_at(pieces: Sequence[Piece], i: int, text: str) -> tuple[str, int]:
    """Return the tag of the longest cue at `i` and its length, ("", 0) for none."""
    first = pieces[i]
    assert isinstance(first, Token)
    if first.text not in cue_openers():
        return "", 0
    words: list[str] = []
    best = ("", 0)
    for piece in pieces[i : i + LONGEST_PHRASE]:
        article = isinstance(piece, Amount) and piece.article and not piece.unit  # "tell a lie"
        if not isinstance(piece, Token) and not article:
            break
        words.append(text[piece.start : piece.end].lower() if article else word_at([piece], 0))
        tag = cues().get(tuple(words))
        if tag:
            best = (tag, len(words))
    return best


def _food_at(
    pieces: Sequence[Piece], i: int, text: str, context: Context, plates: Plates
) -> tuple[Element | None, int]:
    """Return the food that begins at `i` and how many pieces it takes."""
    words: list[str] = []
    for piece in pieces[i : i + LONGEST_NAME]:
        if not isinstance(piece, Token) or piece.kind == "mark":
            break
        words.append(piece.text)
    if not words or words[0] == "the":
        return None, 0
    named = context.table.starts(words)
    on: tuple[tuple[int, int], ...] = ()
    n = 0
    if plates.knows(words[0]):
        for n_words in range(len(words), 0, -1):
            on = plates.find(words[:n_words])
            if on:
                n = n_words
                break
    if n >= named and on:
        return _element("P", pieces, i, n, text, on), n
    if named:
        kin = plates.find(words[named - 1 : named])
        if not kin and on:
            kin = on
        tag = "K" if kin else "F"
        return _element(tag, pieces, i, named, text, kin), named
    return None, 0


def _element(
    tag: str, pieces: Sequence[Piece], i: int, n: int, text: str, on: tuple[tuple[int, int], ...]
) -> Element:
    start, end = pieces[i].start, pieces[i + n - 1].end
    return Element(tag, start, end, text[start:end], on=on)


def _other(pieces: Sequence[Piece], i: int, text: str, context: Context) -> Element:
    piece = pieces[i]
    assert isinstance(piece, Token)
    if piece.text in _MANY and word_at(pieces, i + 1) not in ("daily", "weekly", "per"):
        amount = Amount(piece.start, piece.end, _MANY[piece.text], share=True)
        return Element("H", piece.start, piece.end, piece.text, amount)
    if find_movement([piece.text]) is not None:
        return _element("M", pieces, i, 1, text, ())
    if names_person(piece.text):
        return _element("p", pieces, i, 1, text, ())
    felt = [n for n in context.noted if isinstance(n.entry, Feeling) and piece.text in n.entry.what.split()]
    if felt:
        return _element("L", pieces, i, 1, text, ())
    if context.table.match(piece.text) is not None and piece.kind == "word" and len(piece.text) > 2:
        return _element("F", pieces, i, 1, text, ())
    return _element("u", pieces, i, 1, text, ())


def only_opens(text: str) -> bool:
    """Tell whether words only open a correction that does not follow: "no", "wait, wrong"."""
    words = tuple(token.text for token in read_tokens(text) if token.kind != "mark")
    return bool(words) and (cues().get(words) == "o" or all(cues().get((word,)) == "o" for word in words))
