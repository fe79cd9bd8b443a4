"""What an element means by what stands beside it: "no butter" leaves out, "no, ..." opens a correction."""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from bot.foodtable import FoodTable
from bot.model.entries import Meal
from bot.understanding.context import Context
from bot.understanding.corrections.cues import phrases_of
from bot.understanding.corrections.element import Element, tags_of
from bot.understanding.corrections.known_foods import Plates
from bot.understanding.corrections.oddness import numbers_said
from bot.understanding.corrections.whose import settle_whose
from bot.understanding.pieces.pieces import Amount, Moment
from bot.understanding.words.lexicon import TAGS

_KIND_TOLD = timedelta(minutes=20)
"""So long one word says of which kind something was."""
SURE_NAME = 0.9
"""A food less sure is a guess at a misspelt word."""
_ORDERS = {"before": "B", "after": "N", "first": "I", "last": "O"}
_NTH_SAID = [[word] for word in ("first", "second", "third", "last", "latest", "other", "earlier")]
_NTH = {"first": 0, "second": 1, "third": 2, "other": 0, "earlier": 0, "latest": -1}

_WAS_ONE = re.compile(r"(?<=[PK]b)(?:A?(?P<kind>[FKuy]+)|A)(?P<one>R)(?=,|$)")
_DENIED_BEFORE = re.compile("n[PK],?R?bA?$")


def settle(found: Sequence[Element], context: Context, plates: Plates) -> list[Element]:
    """Return elements with what each means beside the others; what says nothing by itself is left out."""
    found = _by_sort(_with_only(settle_whose(_part_with(found))), plates, context.table)
    found = [part for k, e in enumerate(found) for part in _count_apart(found[max(k - 2, 0) : k], e, plates)]
    found = [e for k, e in enumerate(found) if not _only_leads(found, k)]
    found = _by_order(found, context)
    found = [_in_order(_by_neighbours(found, k, context.table), found, k) for k in range(len(found))]
    return _kind_alone(_kinds_told(_without_one(found), context.table), context)


def _count_apart(before: Sequence[Element], element: Element, plates: Plates) -> list[Element]:
    """Part a count from the time behind it, of a food that was counted: "the eggs were 3 this morning"."""
    hour = element.piece
    counted = tags_of(before) == "Pb" and any(numbers_said(plates.items[on]) for on in before[0].on)
    if not counted or not isinstance(hour, Moment) or not (hour.loose and hour.part) or hour.hour is None:
        return [element]
    count = str(hour.hour)
    if not element.said.startswith(f"{count} "):
        return [element]
    end = element.start + len(count)
    return [
        Element("A", element.start, end, count, Amount(element.start, end, float(hour.hour))),
        replace(element, start=end + 1, said=element.said[len(count) + 1 :], piece=replace(hour, hour=None)),
    ]


def _without_one(found: list[Element]) -> list[Element]:
    """Leave "one" out that only stands for the food before it: "the sandwich was a bacon one"."""
    match = _WAS_ONE.search(tags_of(found))
    if match is None or found[match.start("one")].said.lower() != "one":
        return found
    kept = match.span("kind") if match["kind"] else (match.start(), match.start("one"))
    return [*found[: match.start()], *found[slice(*kept)], *found[match.end() :]]


def only_adds(element: Element) -> bool:
    """Tell whether a cue only says that there was more, not that it was forgotten."""
    said = " ".join(element.said.lower().split())
    return said in TAGS.adding or said in phrases_of("also") or element.tag == "x"


def _by_sort(found: list[Element], plates: Plates, table: FoodTable) -> list[Element]:
    """Take what goes, or what "was" something, for the noted food of its sort: biscuits, digestives."""
    for k, element in enumerate(found):
        before = "".join(e.tag for e in found[:k]).lstrip("o,")
        follows = "".join(e.tag for e in found[k + 1 : k + 2])
        if element.tag == "F" and (before[-1:] == "r" or (not before and follows == "b")):
            match = table.match(element.said)
            on = plates.of_sort(match.food.category, table) if match is not None else ()
            found[k] = replace(element, tag="P", on=on) if on else element
    return found


def _with_only(found: Sequence[Element]) -> list[Element]:
    """Keep "only" where foods of a plate alone stand behind it, up to the end of a part: "only the tea"."""
    tags = "".join("Y" if e.said.lower().startswith("only") else e.tag for e in found)
    kept = {m.start() for m in re.finditer(r"Ye*(?=[PK](?:,?[PK])*x?(?:,|$))", tags)}
    found = [replace(e, tag="Y") if k in kept else e for k, e in enumerate(found)]
    return [e for k, e in enumerate(found) if e.tag != "Y" or k in kept]


def _in_order(element: Element, found: Sequence[Element], k: int) -> Element:
    """Settle what tells the order of eating, beside foods of a plate: "the juice before the toast"."""
    tag = _ORDERS.get(element.said.lower(), "")
    before, following = ("".join(e.tag for e in part) for part in (found[:k], found[k + 1 :]))
    eaten = before.rstrip("beu")[-1:] in ("P", "K")
    led_by = tag == "I" and not before.strip("be,") and following[:1] in ("P", "K") and len(following) == 1
    between = tag in ("B", "N") and eaten and following[:1] in ("P", "K")
    at_an_end = tag in ("I", "O") and ((eaten and following[:1] in ("", ",")) or led_by)
    if tag in ("B", "N") and eaten and following[:1] in ("", ","):
        return replace(element, tag="I" if tag == "B" else "O")  # "juice after, sandwich first"
    return replace(element, tag=tag) if between or at_an_end else element


def _kinds_told(found: Sequence[Element], table: FoodTable) -> list[Element]:
    """Join the words behind "was" that make another known food of a noted one: "the rice was brown"."""
    for k in range(len(found) - 2):
        if found[k].tag not in "PK" or found[k + 1].tag != "b":
            continue
        end = next((j for j in range(k + 2, len(found)) if found[j].tag not in "uFyG"), len(found))
        told = found[k + 2 : end]
        words = [word for e in (*told, found[k]) for word in e.said.lower().replace("-", " ").split()]
        if told and table.starts(words) == len(words):
            joined = Element("y", told[0].start, told[-1].end, " ".join(e.said for e in told))
            return [*found[: k + 2], joined, *found[end:]]
    return list(found)


def _part_with(found: Sequence[Element]) -> list[Element]:
    """Part what is put on a plate from an amount before it: "the muesli was 70 g with milk"."""
    parted: list[Element] = []
    for k, element in enumerate(found):
        follows = found[k + 1].tag if k + 1 < len(found) else ""
        before = "".join(e.tag for e in found[max(k - 3, 0) : k])
        counts = element.tag == "A" and follows in ("P", "K") and re.search("A[PK]$", before) is not None
        counts = counts or (element.tag == "P" and follows == "A" and re.search("^,?PA$", before) is not None)
        if counts:  # "1 cup rice 2 ladles stew"
            parted.append(Element(",", element.start, element.start, ","))
        if element.said.lower() in TAGS.withs_neighbours and follows == "F" and re.search("P[be]?A$", before):
            parted.append(Element(",", element.start, element.start, ","))
            element = replace(element, tag="a")
        parted.append(element)
    return parted


def _kind_alone(found: list[Element], context: Context) -> list[Element]:
    """Take a word by itself for the kind of what was noted just before: "white", after a glass of wine."""
    last = context.noted[-1] if context.noted else None
    told = [e for e in found if e.tag not in "oRb,"]
    if last is None or not isinstance(last.entry, Meal) or context.now - last.touched_at > _KIND_TOLD:
        return found
    of_one = len(told) > 1 and told[-1].said.lower() == "one" and found[-1] is told[-1]
    told = told[:-1] if of_one else told  # "veggie one"
    if not told or len(told) > 2 or any(e.tag not in "uF" for e in told):
        return found
    said = " ".join(e.said for e in told).lower().replace("-", " ").split()
    called = [item.name.lower().split() for item in last.entry.items]
    named = [[*said, *name] for name in called] + [[*said, name[-1]] for name in called]
    table = context.table
    foods = [(table.match(" ".join(words)), table.match(" ".join(words[1:]))) for words in named]
    known = any(a is not None and b is not None and a.name != b.name for a, b in foods)
    alike = table.match(" ".join(said))
    same = alike is not None and any(alike.food.description == item.food for item in last.entry.items)
    if not known or (len(told) == 1 and told[0].tag == "F" and not (of_one or same)):
        return found
    found = [e for e in found if not (of_one and e.said.lower() == "one")]
    joined = Element("y", told[0].start, told[-1].end, " ".join(e.said for e in told))
    return [joined if e is told[0] else e for e in found if e not in told[1:]]


def _by_order(found: list[Element], context: Context) -> list[Element]:
    """Return elements with "the second coffee" as the food of that plate, where several have one."""
    began = {n.id: n.entry.at for n in context.noted if isinstance(n.entry, Meal) and n.entry.at is not None}
    today = context.local_now.date()
    kept: list[Element] = []
    for element in found:
        nth = _NTH.get((kept[-1].said.lower().split() or [""])[-1]) if kept else None
        if element.tag == "R" and nth is not None and element.said.lower() == "one":
            element = replace(element, on=_had_twice(context))
        on = sorted((began[i], i, place) for i, place in element.on if i in began)
        on = [one for one in on if one[0].astimezone(context.zone).date() == today]
        plates = list(dict.fromkeys(i for _, i, _ in on))
        if element.tag in ("P", "R") and nth is not None and len(plates) > max(nth, 1):
            kept.pop()
            only = tuple((i, place) for _, i, place in on if i == plates[nth])
            element = replace(element, tag="P", on=only)
        kept.append(element)
    return kept


def _had_twice(context: Context) -> tuple[tuple[int, int], ...]:
    """Return the plates and places of the food that was noted last of those noted more than once."""
    meals = [n for n in context.noted if isinstance(n.entry, Meal)]
    found: dict[str, list[tuple[int, int]]] = {}
    for noted in meals:
        assert isinstance(noted.entry, Meal)
        for place, item in enumerate(noted.entry.items):
            found.setdefault(item.food or item.name, []).append((noted.id, place))
    twice = [on for on in found.values() if len({i for i, _ in on}) > 1]
    return tuple(max(twice, key=lambda on: max(i for i, _ in on), default=()))


def _only_leads(found: Sequence[Element], k: int) -> bool:
    """Tell whether an element belongs to the next one: "more like 250", "a mistake"."""
    element, following = found[k], found[k + 1] if k + 1 < len(found) else None
    if following is None:
        return k > 0 and isinstance(element.piece, Amount) and element.piece.article
    if element.tag == "m":
        return following.tag == "A" and following.said.lower().startswith("like")
    if following.tag in "MZG" and element.tag in "um" and element.said.lower().split()[-1:] in _NTH_SAID:
        return True  # "the first walk" is found by its order
    article = isinstance(element.piece, Amount) and element.piece.article and not element.piece.unit
    return article and following.tag in "odRGZM"


def _by_neighbours(found: Sequence[Element], k: int, table: FoodTable) -> Element:
    """Settle what a cue means by what stands beside it: "no butter" leaves out, "no, ..." opens."""
    element = found[k]
    following = "".join(e.tag for e in found[k + 1 : k + 4])
    if (
        element.said.lower() == "no"
        and following[:1] in ("P", "K")
        and following[1:2] not in ("b", "n", "A", "H")
    ) or (element.said.lower() == "no" and following[:2] in ("Ft", "Fx")):  # "no butter on the scone"
        return replace(element, tag="d")
    if element.said.lower() == "no" and re.match("M(T|$|,(?!M))|Se?A?[FKP]", following):
        return replace(element, tag="d")  # "no bike today, I took the tram", "no lunch just a roll"
    if element.said.lower() == "no" and following == "F" and found[k + 1].start - element.end <= 1:
        return replace(element, tag="d")  # "no tofu puffs" of a soup: none in it, not in its place
    denies = element.said.lower() in ("no", "nope", "nah") and following[:1] in ("", ",", "u")
    if denies and k == 1 and found[k - 1].tag == "P":
        return replace(element, tag="d")  # "cheese yes, crackers no"
    if (
        element.said.lower() in TAGS.withs_neighbours
        and following[:1] in ("F", "A")
        and k
        and _ends_food(found, k - 1)
    ):
        return replace(element, tag=",")  # "coffee 200 ml with milk"
    if k > 2 and _is_guess(found, k, table):
        return replace(element, tag="u")  # "the bread was 4 pala": no spinach
    before = "".join(e.tag for e in found[:k])
    if element.tag == "H" and element.said.lower().endswith((" a", " an")) and before[-1:] in ("d", "l"):
        return replace(element, tag="A")  # "left half a taco", of three
    if "s" in before and element.said.lower() == "half and half":
        return replace(element, tag="H", on=(), piece=Amount(element.start, element.end, 0.5, share=True))
    if element.tag == "u" and following[:1] in ("", ",") and _DENIED_BEFORE.search(before):
        return replace(element, tag="F")  # "it wasn't toast, it was a slice of zopira"
    if element.tag == "u" and following[:2] == "nP" and len(following) == 2:
        return replace(element, tag="y")  # "rojos, not verdes"
    if (
        not before.strip("o,")
        and element.said.lower() in TAGS.adding
        and following.strip("be")[:1] in ("P", "K", "F", "A", "m")
    ):
        return replace(element, tag="a")
    return element


def _is_guess(found: Sequence[Element], k: int, table: FoodTable) -> bool:
    """Tell whether a misspelt food stands behind the count of another: "the bread was 4 pala"."""
    row = "".join(e.tag for e in found[k - 3 : k + 1])
    match, much = table.match(found[k].said), found[k - 1].piece
    denied = k > 3 and found[k - 4].tag == "n"  # "not the roll, it was a piece of tyropita"
    bare = isinstance(much, Amount) and not much.unit and not denied
    return row in ("PbAF", "PeAF") and bare and match is not None and match.sure < SURE_NAME


def _ends_food(found: Sequence[Element], k: int) -> bool:
    """Tell whether a new food, or its amount, ends here."""
    return found[k].tag == "F" or (found[k].tag == "A" and k > 0 and found[k - 1].tag == "F")
