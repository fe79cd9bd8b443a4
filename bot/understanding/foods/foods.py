"""The foods of a clause: which words belong to which amount, and what each becomes as an `Item`."""

from collections.abc import Sequence
from dataclasses import replace

from bot.foodtable import FoodTable, Match
from bot.foodtable.words import plain_word
from bot.model.entries import Extra, Item
from bot.understanding.foods.categories import dish_of_many, is_of
from bot.understanding.foods.completing import complete, holds, joined, name_by_unit, turn_round
from bot.understanding.foods.counting import (
    count_each,
    count_eggs,
    count_small,
    double_measure,
    gives_count,
    weighs_cut,
)
from bot.understanding.foods.places import without_filler, without_place
from bot.understanding.foods.said import EATING, MADE_UP, Said, names_product
from bot.understanding.foods.weighing import weigh_extra, weigh_known, weigh_unknown
from bot.understanding.foods.whose_amount import fits_before
from bot.understanding.pieces.pieces import Amount, Clause, Moment, Piece, SlotWord, word_at
from bot.understanding.pieces.units import LOOSE_UNITS, SIZES, UNITS
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.plain_words import SAYS_LITTLE
from bot.understanding.words.tokens import Token

SURE_WITHIN, SURE_OF_DISH = 0.6, 0.8
LONGEST_NAME = 3
MOST_TAIL, SURE_HEAD = 2, 0.95
MOST_CHARS_SAID = 200


def read_foods(clause: Clause, table: FoodTable, before: Said | None) -> list[Said]:
    """Return the foods of a clause; an amount or a manner by itself is added to the food `before` instead."""
    pieces = _from_eating([p for p in clause.pieces if not isinstance(p, Moment | SlotWord)], table)
    foods: list[Said] = []
    for said in _group(without_place(pieces, table), clause.leads, table):
        said.inside = clause.inside
        name_by_unit(said)
        last = foods[-1] if foods else before
        count_each(said, last)
        if said.words[0:1] == ["nothing"] and last is not None:
            last.end = max(last.end, said.end)
            continue  # "nothing sweet near it"
        if complete(said, last, table, beside=bool(foods)):
            continue
        turn_round(said, table)
        said.match = table.match(said.name) or _match_within(said, table) or _match_trimmed(said, table)
        if not weighs_cut(said):
            _part_unit(said, table)
        double_measure(said, table)
        count_eggs(said)
        count_small(said, table)
        if "with" in said.leads and before is not None and not foods:
            times = said.amount is not None and said.amount.times
            if (times or holds(before, said)) and gives_count(said, before, table):
                continue
            said.whole = before
        elif last is not None and "and" in said.leads and last.amount is None:
            said.whole = last.whole  # "bread with cheese and cucumber, 3 slices"
        foods += [said] if said.is_extra else _part_names(said, table)
    for said in foods[1:]:
        said.leads -= TAGS.heads  # of "pub: pie chips peas" only the pie stands behind the colon
    return foods


def _from_eating(pieces: list[Piece], table: FoodTable) -> list[Piece]:
    """Leave out what comes before the word for eating and is no food: "got home ate a slice of pie"."""
    eaten = next((k for k, p in enumerate(pieces) if isinstance(p, Token) and p.text in EATING), 0)
    told = pieces[:eaten]
    words = [p.text for p in told if isinstance(p, Token)]
    named = len(words) < len(told) or any(table.starts(words[k:]) for k in range(len(words)))
    return pieces if named else pieces[eaten:]


def _match_within(said: Said, table: FoodTable) -> Match | None:
    """Find a known food at the end of words that are not known as a whole ("my kids' special lasagne")."""
    known = table.starts(said.words)
    tail = said.words[known:]
    if known and tail and tail[0] in TAGS.particles:
        match = table.match(" ".join(said.words[:known]))
        return None if match is None else _counted_as(match, said, table)
    if known and tail and set(tail) <= TAGS.manner:
        turned = [*tail, *said.words[:known]]  # "coffee black"
        return table.match(" ".join(turned)) or table.match(" ".join(said.words[:known]))
    for start in range(1, len(said.words)):
        words = said.words[start:]
        if table.starts(words) == len(words):
            match = table.match(" ".join(words))
            if match is None or (is_of("taste", match) and names_product(said.words[:start])):
                return None  # "a grumble mix cheddar"
            return _counted_as(match, said, table)
    for start in range(1, len(said.words) - 1):
        inner = table.starts(said.words[start:])
        match = table.match(" ".join(said.words[start : start + inner])) if inner else None
        if not known and start + inner == len(said.words) - 1 and is_of("dish", match):
            return None if match is None else _counted_as(match, said, table)  # "hakata ramen kata"
    match = table.match(" ".join(said.words[:known])) if known else None
    short = len(tail) <= MOST_TAIL and match is not None and match.sure >= SURE_HEAD
    if match is not None and (set(tail) <= TAGS.tails or (len(tail) == 1 and is_of("dish", match)) or short):
        return _counted_as(match, said, table)
    return None


def _match_trimmed(said: Said, table: FoodTable) -> Match | None:
    """Leave out the plain words around what may be a name ("bit pakhala", "pesto around")."""
    first = next((i for i, word in enumerate(said.words) if word not in SAYS_LITTLE), None)
    if first is None:
        return None
    last = next(i for i in range(len(said.words), 0, -1) if said.words[i - 1] not in SAYS_LITTLE)
    if last - first == len(said.words):
        return None
    said.words = said.words[first:last]
    return table.match(said.name) or _match_within(said, table)


def _counted_as(match: Match, said: Said, table: FoodTable) -> Match:
    """Keep the name that was said for a food that is only known by a part of it."""
    name = table.respell(said.name) if len(said.words) <= LONGEST_NAME else match.name
    counted = match.assumed.startswith("counted as") or name == match.name
    assumed = "; ".join(
        part for part in ("" if counted else f"counted as {match.name}", match.assumed) if part
    )
    return replace(match, name=name, sure=min(match.sure, SURE_WITHIN), assumed=assumed)


def _group(pieces: Sequence[Piece], leads: frozenset[str], table: FoodTable) -> list[Said]:
    """Give each run of words its amount: the one before it, or the one after it when that is the style."""
    amounts = [(i, piece) for i, piece in enumerate(pieces) if isinstance(piece, Amount)]
    leading = any(amount.unit and word_at(pieces, i - 1) in ("in", "of") for i, amount in amounts)
    within = any(word_at(pieces, i + 1) == "in" for i, _ in amounts)  # "cevapi 10 in a bun"
    measured = sum(bool(amount.unit) for _, amount in amounts)
    pieces = without_filler(pieces, table)
    trailing = (
        bool(pieces)
        and isinstance(pieces[0], Token)
        and (
            within
            or isinstance(pieces[-1], Amount)
            or fits_before(pieces, table, measured > 1 and not leading)
        )
    )
    groups: list[Said] = []
    words: list[Token] = []
    amount: Amount | None = None

    def close() -> None:
        nonlocal words, amount
        while len(words) > 1 and words[-1].text in TAGS.beside:  # "jam on the other"
            words.pop()
        parts: list[Piece] = [*words] if amount is None else [amount, *words]
        if parts:
            start, end = min(p.start for p in parts), max(p.end for p in parts)
            groups.append(Said([w.text for w in words], amount, start, end, leads))
        words, amount = [], None

    for piece in pieces:
        if isinstance(piece, Token):
            if piece.kind != "mark" or (piece.text == "&" and words):
                words.append(piece)
            continue
        assert isinstance(piece, Amount)
        if piece.times and words and amount is None:  # "tamales x3 red"
            amount = piece
            close()
            continue
        if trailing:
            if amount is not None and words:
                close()
            amount = _merge(amount, piece)
            if words:
                close()
            continue
        if words or (amount is not None and amount.unit == "rasher"):
            close()  # "2 rashers 1 black pudding"
        amount = _merge(amount, piece)
    close()
    return groups


def _merge(first: Amount | None, second: Amount) -> Amount:
    """Make one amount of two neighbours: "2 200 ml" is a product, "1 slice 30 g" is the second."""
    if first is not None and first.share and second.unit == "inch":
        return joined(second, first, set()) or second  # "half a 12 inch pizza"
    if first is None or first.unit or first.article or first.vague or not second.unit:
        return second
    return Amount(first.start, second.end, first.value * second.value, second.unit, size=second.size)


def _part_unit(said: Said, table: FoodTable) -> None:
    """Read a unit behind the food: "2 garlic cloves", "3 rye bread slices"."""
    loose = LOOSE_UNITS.get(said.words[-1])
    part = said.match is None or said.match.sure <= SURE_WITHIN
    if loose is not None and len(said.words) > 1 and said.amount is None and part:
        match = table.match(" ".join(said.words[:-1]))  # "honey drizzle"
        if match is not None:
            said.amount = Amount(said.end, said.end, loose[0], loose[1], about=True)
            said.words.pop()
            said.match = match
        return
    unit = UNITS.get(said.words[-1])
    if unit is None or len(said.words) < 2 or len(unit) < 3:
        return
    amount = said.amount
    if amount is None and unit in TAGS.vessels:
        amount = Amount(said.end, said.end, 1.0)
        match = table.match(" ".join(said.words[:-1]))
        if match is None and said.match is None and len(said.words) <= LONGEST_NAME:
            said.words.pop()  # "kolo handful"
            said.amount = replace(amount, unit=unit)
            return
    if amount is None or amount.unit:
        return
    match = table.match(" ".join(said.words[:-1]))
    same = match is not None and said.match is not None and match.entry == said.match.entry != ""
    if table.starts(said.words) == len(said.words) and not same:  # "a chocolate bar" is a bar of chocolate
        return
    if match is not None and table.weigh(match, unit, amount.size) is not None:
        said.words.pop()
        said.match = match
        said.amount = replace(amount, unit=unit, article=False, share=False)


def _part_names(said: Said, table: FoodTable) -> list[Said]:
    """Cut words that are several known names in a row ("rice chicken broccoli") into their foods."""
    if len(said.words) < 2 or (said.match is not None and said.match.sure >= 0.8):
        return [said]
    rest = said.words
    parts: list[list[str]] = []
    sizes: dict[int, str] = {}
    while rest:
        if parts and rest[0] in SIZES and table.starts(rest[1:]):  # "double cheeseburger small fries"
            sizes[len(parts)] = SIZES[rest[0]]
            rest = rest[1:]
        known = table.starts(rest)
        if not known and (
            rest[0] in TAGS.beside or (said.match is not None and said.match.sure > SURE_WITHIN)
        ):
            return [said]
        if known == 1 and len(rest) > 1 and rest[0] in TAGS.only_before:  # "red cherries", "sweet peas"
            known = 0
        if not known:  # "eggs beans gubbins toast", "freddo cappuccino medium sugar"
            rest = rest[1:]
            continue
        parts.append(rest[:known])
        rest = rest[known:]
    matches = [table.match(" ".join(words)) for words in parts]
    if len(parts) < 2 or _name_one_dish(said, matches):
        return [said]
    amounts = {n: Amount(said.end, said.end, 1.0, size=size) for n, size in sizes.items()}
    amounts |= {_counted_part(said, parts): said.amount} if said.amount is not None else {}
    return [
        Said(words, amounts.get(n), said.start, said.end, said.leads, match, said.inside)
        for n, (words, match) in enumerate(zip(parts, matches, strict=True))
    ]


def _counted_part(said: Said, parts: Sequence[Sequence[str]]) -> int:
    """Return which of some foods in a row an amount counts: "5 cheese pitas" are pitas, else the first."""
    amount = said.amount
    if amount is None or amount.unit or amount.value <= 1 or plain_word(parts[0][-1]) != parts[0][-1]:
        return 0
    plural = (n for n, words in enumerate(parts) if plain_word(words[-1]) != words[-1])
    return next(plural, 0)


def _name_one_dish(said: Said, matches: Sequence[Match | None]) -> bool:
    """Tell whether two known names are one dish and what is in it: "veg samosa", "3 baozi pork"."""
    known = [match for match in matches if match is not None]
    if len(known) != len(matches) or len(known) < 2:
        return False
    dish = _only_named_twice(known, said.words[-1]) or dish_of_many(known)
    only_tastes = all(is_of("taste", match) or is_of("grain", match) for match in known[:-1])
    if dish is None and _counts_made_up(said) and only_tastes:
        dish = known[-1]
    has_own_row = said.match is not None and said.match.sure > SURE_WITHIN and only_tastes
    if dish is not None and not has_own_row:  # "blueberry pancakes" have one, and it holds the berries
        said.match = replace(dish, name=said.name, sure=min(dish.sure, SURE_OF_DISH))
    return dish is not None


def _only_named_twice(known: Sequence[Match], last_word: str) -> Match | None:
    """Return the food that a second name calls by its sort: "daifuku mochi", "naan bread", "okra sabzi"."""
    first, last = known[0], known[-1]
    if len(known) != 2 or (first.entry and first.entry == last.entry):
        return last if len(known) == 2 else None
    if is_of("flavour", first) and is_of("flavoured", last):
        return last  # "orange energy drink"
    if is_of("seasoning", first) and is_of("seasoned", last):
        return last  # "8 ranch wings"
    if is_of("milky_drink", first) and (is_of("milk", last) or last_word in TAGS.plants):
        return first  # "matcha latte almond milk", "cappuccino oat"
    if first.entry == "curry" and is_of("filling", last):
        return first  # "curry shrimp", as it is called in the Caribbean
    kind = last.food.description.partition(",")[0]
    if "%)" in first.food.description and f"{kind}, " in first.food.description:
        return first  # "biryani rice"
    if plain_word(last_word) in TAGS.sorts and first.food.category == last.food.category:
        return first
    return first if last.entry == "sabji" and is_of("vegetable", first) else None


def _counts_made_up(said: Said) -> bool:
    """Tell whether an amount is of what the last word says: "3 slices honey wheat bread"."""
    if said.amount is None or said.amount.vague or said.words[-1] not in MADE_UP:
        return False
    return bool(said.amount.unit) or plain_word(said.words[-1]) != said.words[-1]


def make_item(said: Said, text: str, table: FoodTable) -> Item:
    """Return the item that a food as said stands for."""
    words = " ".join(text[said.start : min(said.end, said.start + MOST_CHARS_SAID)].split())
    if said.match is None:
        weight = weigh_unknown(said.amount)
        grams, low, high = (round(value, 2) for value in (weight.grams, weight.low, weight.high))
        return Item(words, said.name, None, grams, low, high, weight.stated, 0.0)
    match = said.match
    singular = said.words[-1] == plain_word(said.words[-1]) and said.words[-1] not in TAGS.uncounted
    timed = said.amount is not None and said.amount.minutes is not None  # "a 6 minute egg"
    weight = weigh_known(None if timed else said.amount, match, table, singular=singular)
    return Item(
        said=words,
        name=match.name,
        food=match.food.description,
        grams=round(weight.grams, 2),
        grams_low=round(weight.low, 2),
        grams_high=round(weight.high, 2),
        stated=weight.stated,
        sure=match.sure,
        nutrients=match.food.per_100g.scaled(weight.grams / 100).rounded(),
        assumed="; ".join(part for part in (match.assumed, weight.assumed) if part),
    )


def make_extra(said: Said, table: FoodTable) -> Extra:
    """Return the extra that a food as said stands for."""
    return Extra(
        "cinnamon" if "cinnamon" in said.words else "vinegar", weigh_extra(said.amount, said.words, table)
    )
