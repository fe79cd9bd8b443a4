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
from dataclasses import dataclass, replace

from bot.foodtable import FoodTable
from bot.model.entries import Feeling, Meal
from bot.understanding.context import Context
from bot.understanding.corrections.cues import cue_openers, cues, parted_verbs, phrases_of
from bot.understanding.corrections.known_foods import Plates
from bot.understanding.foods.own_table import fold_names
from bot.understanding.pieces.amounts import fold_amounts
from bot.understanding.pieces.lengths import read_length
from bot.understanding.pieces.pieces import Amount, Moment, Piece, SlotWord, word_at
from bot.understanding.pieces.slots import fold_slots
from bot.understanding.pieces.times import fold_times
from bot.understanding.words.movements import find_movement
from bot.understanding.words.tokens import Token, read_tokens

LONGEST_PHRASE = 6
LONGEST_NAME = 6
_HEDGE = "h"
ADDING = frozenset({"and", "n", "&", "+", "with", "plus"})
"""What more of the same plate begins with."""
PARTING = frozenset({",", ".", ";", ":", "\n", "and", "then"})
_WITH = frozenset({"with", "w", "w/"})
_MORE = frozenset({"more", "another", "extra"})
_MANY = {"double": 2.0, "twice": 2.0, "triple": 3.0}
_ARROWS = frozenset(">→⇒➡")
_SHIFTS = {"earlier": "q", "sooner": "q", "later": "Q"}
_MOST_BETWEEN = 6
"""How many pieces may stand within a phrase that is parted by what it is about: "take the rice off"."""
_ORDERS = {"before": "B", "after": "N", "first": "I", "last": "O"}
_NTH = {"first": 0, "second": 1, "third": 2, "other": 0, "earlier": 0, "latest": -1}
_ARTICLES = frozenset({"the", "my", "any", "some", "all"})
_WAS = re.compile(r"\s(was|is|were)$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Element:
    """A stretch of a message: its tag, its place in the text, and what it stands for.

    said: its words; on: of P and K, the plates and places of the items that it may mean
    """

    tag: str
    start: int
    end: int
    said: str
    piece: Piece | None = None
    on: tuple[tuple[int, int], ...] = ()


def only_adds(element: Element) -> bool:
    """Tell whether a cue only says that there was more, not that it was forgotten."""
    said = " ".join(element.said.lower().split())
    return said in ADDING or said in phrases_of("also") or element.tag == "x"


def relink(element: Element, plates: Plates) -> Element:
    """Return an element with the items that it means on the plates as they are now."""
    if element.tag not in "PK":
        return element
    on = plates.find([w for w in element.said.lower().split() if plates.knows(w)])
    return replace(element, on=on, tag=element.tag if on else "F")


def fold_all(text: str, context: Context) -> list[Piece]:
    """Return a text's pieces, with nothing dropped."""
    tokens, table = read_tokens(text), context.table
    for i in range(len(tokens)):
        length = read_length(tokens, i)
        if length is not None and word_at(tokens, length[1]) in _SHIFTS:
            # "20 min earlier" is no time by itself: it moves what was noted.
            amount = Amount(tokens[i].start, tokens[length[1] - 1].end, length[0], "min")
            before, behind = _fold(tokens[:i], table), _fold(tokens[length[1] + 1 :], table)
            return [*before, amount, tokens[length[1]], *behind]
    return _fold(tokens, table)


def _fold(tokens: Sequence[Token], table: FoodTable) -> list[Piece]:
    return fold_amounts(fold_slots(fold_times(fold_names(tokens, table)), table))


def read_elements(text: str, context: Context, plates: Plates) -> list[Element]:
    """Return the elements of a text, hedges left out."""
    found = [e for e in _elements(fold_all(text, context), text, context, plates) if e.tag != _HEDGE]
    found = [e for k, e in enumerate(found) if not _only_leads(found, k)]
    found = _by_order(found, context)
    found = [_in_order(_by_neighbours(found, k), found, k) for k in range(len(found))]
    return _kinds_told(found, context.table)


def _in_order(element: Element, found: Sequence[Element], k: int) -> Element:
    """Settle what tells the order of eating, beside foods of a plate: "the juice before the toast"."""
    tag = _ORDERS.get(element.said.lower(), "")
    before, following = ("".join(e.tag for e in part) for part in (found[:k], found[k + 1 :]))
    eaten = before.rstrip("beu")[-1:] in ("P", "K")
    led_by = tag == "I" and not before.strip("be,") and following[:1] in ("P", "K") and len(following) == 1
    between = tag in ("B", "N") and eaten and following[:1] in ("P", "K")
    at_an_end = tag in ("I", "O") and ((eaten and not following) or led_by)
    return replace(element, tag=tag) if between or at_an_end else element


def _kinds_told(found: Sequence[Element], table: FoodTable) -> list[Element]:
    """Join the words behind "was" that make another known food of a noted one: "the rice was brown"."""
    for k in range(len(found) - 2):
        if found[k].tag not in "PK" or found[k + 1].tag != "b":
            continue
        end = next((j for j in range(k + 2, len(found)) if found[j].tag not in "uFy"), len(found))
        told = found[k + 2 : end]
        words = [word for e in (*told, found[k]) for word in e.said.lower().replace("-", " ").split()]
        if told and table.starts(words) == len(words):
            joined = Element("y", told[0].start, told[-1].end, " ".join(e.said for e in told))
            return [*found[: k + 2], joined, *found[end:]]
    return list(found)


def _by_order(found: list[Element], context: Context) -> list[Element]:
    """Return elements with "the second coffee" as the food of that plate, where several have one."""
    began = {n.id: n.entry.at for n in context.noted if isinstance(n.entry, Meal) and n.entry.at is not None}
    today = context.local_now.date()
    kept: list[Element] = []
    for element in found:
        nth = _NTH.get((kept[-1].said.lower().split() or [""])[-1]) if kept else None
        on = sorted((began[i], i, place) for i, place in element.on if i in began)
        on = [one for one in on if one[0].astimezone(context.zone).date() == today]
        plates = list(dict.fromkeys(i for _, i, _ in on))
        if element.tag == "P" and nth is not None and len(plates) > max(nth, 1):
            kept.pop()
            only = tuple((i, place) for _, i, place in on if i == plates[nth])
            element = replace(element, on=only)
        kept.append(element)
    return kept


def _only_leads(found: Sequence[Element], k: int) -> bool:
    """Tell whether an element belongs to the next one: "more like 250", "a mistake"."""
    element, following = found[k], found[k + 1] if k + 1 < len(found) else None
    if following is None:
        return False
    if element.tag == "m":
        return following.tag == "A" and following.said.lower().startswith("like")
    article = isinstance(element.piece, Amount) and element.piece.article and not element.piece.unit
    return article and following.tag in "odRGZM"


def _by_neighbours(found: Sequence[Element], k: int) -> Element:
    """Settle what a cue means by what stands beside it: "no butter" leaves out, "no, ..." opens."""
    element = found[k]
    following = "".join(e.tag for e in found[k + 1 : k + 3])
    if (
        element.said.lower() == "no"
        and following[:1] in ("P", "K")
        and following[1:2] not in ("b", "n", "A", "H")
    ) or (element.said.lower() == "no" and following in ("Ft", "Fx")):  # "no butter on the scone"
        return replace(element, tag="d")
    if element.said.lower() in _WITH and following[:1] in ("F", "A") and k and _ends_food(found, k - 1):
        return replace(element, tag=",")  # "coffee 200 ml with milk"
    if k == 0 and element.said.lower() in ADDING and following[:1] in ("P", "K", "F", "A", "m"):
        return replace(element, tag="a")
    return element


def _ends_food(found: Sequence[Element], k: int) -> bool:
    """Tell whether a new food, or its amount, ends here."""
    return found[k].tag == "F" or (found[k].tag == "A" and k > 0 and found[k - 1].tag == "F")


def _elements(pieces: Sequence[Piece], text: str, context: Context, plates: Plates) -> Iterator[Element]:
    i, parted = 0, range(0)
    while i < len(pieces):
        piece = pieces[i]
        if i in parted:
            i = parted.stop
            continue
        if not isinstance(piece, Token):
            element = _of_piece(piece, text)
            was = _WAS.search(element.said) if element.tag == "S" and i else None
            if was is not None:  # "the roll at lunch was cheese"
                yield replace(element, end=element.start + was.start(), said=element.said[: was.start()])
                yield Element("b", element.start + was.start() + 1, element.end, was[1])
                i += 1
                continue
            if element.tag == "A" and _MORE & set(element.said.lower().split()):
                yield Element("m", element.start, element.start, "more")
            yield element
            i += 1
            continue
        cue, n_cue = _cue_at(pieces, i)
        if n_cue < 2 and (found := _parted_at(pieces, i, context)) is not None:
            cue, n_cue, parted = found[0], 1, found[1]
        if piece.kind == "mark" and text[piece.start] in _ARROWS:
            cue = ">"  # "butter -> jam"
        food, n_food = _food_at(pieces, i, text, context, plates)
        sugar = cue == "G" and food is not None and food.tag == "P" and _takes_food(pieces, i)
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


def _takes_food(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether what stands before `i` makes sugar a food rather than a value: "no sugar", "2 sugar"."""
    k = i - 1 - (i > 1 and word_at(pieces, i - 1) in _ARTICLES)
    before = pieces[k] if k >= 0 else None
    if isinstance(before, Token) and k > 0 and (word_at(pieces, k - 1), before.text) in cues():
        return cues()[word_at(pieces, k - 1), before.text] in tuple("rdamn")
    if isinstance(before, Token):
        return cues().get((before.text,), "") in tuple("rdamn") or before.text == "no"
    return isinstance(before, Amount)


def _parted_at(pieces: Sequence[Piece], i: int, context: Context) -> tuple[str, range] | None:
    """Return the tag of a phrase that begins at `i` and ends behind a food, and where its end stands."""
    ends = parted_verbs().get(word_at(pieces, i), ())
    between: list[str] = []
    for j in range(i + 1, min(i + 1 + _MOST_BETWEEN, len(pieces))) if ends else ():
        word = word_at(pieces, j)
        if word in PARTING:
            return None
        for end, tag in ends if between else ():
            if tuple(word_at(pieces, j + k) for k in range(len(end))) == end:
                return tag, range(j, j + len(end))
        between.append(word)
    return None


def _of_piece(piece: Amount | Moment | SlotWord, text: str) -> Element:
    said = text[piece.start : piece.end]
    if isinstance(piece, Amount) and said.lower() == "both":
        return Element("R", piece.start, piece.end, said)
    if isinstance(piece, Amount):
        return Element("H" if piece.share and not piece.unit else "A", piece.start, piece.end, said, piece)
    return Element("T" if isinstance(piece, Moment) else "S", piece.start, piece.end, said, piece)


def _cue_at(pieces: Sequence[Piece], i: int) -> tuple[str, int]:
    """Return the tag of the longest cue at `i` and its length, ("", 0) for none."""
    first = pieces[i]
    assert isinstance(first, Token)
    if first.text not in cue_openers():
        return "", 0
    words: list[str] = []
    best = ("", 0)
    for piece in pieces[i : i + LONGEST_PHRASE]:
        if not isinstance(piece, Token):
            break
        words.append(piece.text)
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
    if piece.text in _MANY:
        amount = Amount(piece.start, piece.end, _MANY[piece.text], share=True)
        return Element("H", piece.start, piece.end, piece.text, amount)
    if find_movement([piece.text]) is not None:
        return _element("M", pieces, i, 1, text, ())
    felt = [n for n in context.noted if isinstance(n.entry, Feeling) and piece.text in n.entry.what.split()]
    if felt:
        return _element("L", pieces, i, 1, text, ())
    if context.table.match(piece.text) is not None and piece.kind == "word" and len(piece.text) > 2:
        return _element("F", pieces, i, 1, text, ())
    return _element("u", pieces, i, 1, text, ())


def only_opens(text: str) -> bool:
    """Tell whether words only open a correction that does not follow: "no", "wait, wrong"."""
    words = [token.text for token in read_tokens(text) if token.kind != "mark"]
    opening = {" ".join(phrase): tag for phrase, tag in cues().items()}
    return bool(words) and (opening.get(" ".join(words)) == "o" or all(opening.get(w) == "o" for w in words))
