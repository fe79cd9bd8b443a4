"""A dish said with its own ingredients is a title, not one more food: "porridge with 60 g oats and milk"."""

from collections.abc import Sequence
from dataclasses import replace

from bot.foodtable import FoodTable, Match
from bot.foodtable.words import plain_word
from bot.understanding.foods.categories import is_of
from bot.understanding.foods.said import Said, is_measured, known_as, parenthesis
from bot.understanding.pieces.pieces import Amount
from bot.understanding.words.lexicon import TAGS, table_of
from bot.understanding.words.wordlists import word_set

_MADE_OF = {dish: word_set(parts) for dish, parts in table_of("made_of").items()}
# A dish of bread, and what is left of it when what it holds is said apart.
_UNFILLED = {"wrap": "flour tortilla", "sandwich": "bread", "toastie": "toast", "butty": "bread"}
_SANDWICH_SLICES = 2.0
LEAST_LISTED, MOST_OF_TITLE = 3, 2
SURE = 0.9


def drop_titles(foods: list[Said], table: FoodTable) -> list[Said]:
    """Leave out the dishes whose ingredients follow; what else their names hold ("ham sandwich") stays."""
    kept: list[Said] = []
    for n, food in enumerate(foods):
        rest = foods[n + 1 :]
        if rest and _is_told_more_exactly(food, rest[0]):
            continue
        made_of = _made_of(food)
        joined = bool(rest) and bool(rest[0].leads & TAGS.joins)
        joined = joined or (
            bool(rest) and bool(made_of) and is_measured(rest[0]) and rest[0].leads <= food.leads | {","}
        )
        said_apart = made_of & {word for f in rest for word in f.words} if joined else frozenset()
        if said_apart:
            known = {f.match.food.description for f in rest if f.match is not None}
            kept += [
                f
                for f in _rest_of_name(food, said_apart, table)
                if f.match is not None and f.match.food.description not in known
            ]
        elif joined and "-" in rest[0].leads and _is_sort_of(food, rest[0]):
            continue  # "staffroom cake - a slice of lemon drizzle"
        elif joined and _is_list(food, rest):
            kept += (
                _rest_of_name(food, frozenset(TAGS.grains), table) if TAGS.grains & set(food.words) else []
            )
        elif (
            joined and "with" in rest[0].leads and food.words[-1] == "bowl" and TAGS.grains & set(food.words)
        ):
            kept.append(known_as(food, food.words[:-1], table, food.amount))
        elif joined and "with" in rest[0].leads and _is_unfilled(food):
            kept.append(_unfilled(food, table))
        else:
            kept.append(food)
    return kept


def _is_told_more_exactly(title: Said, food: Said) -> bool:
    """Tell whether the next food says what a word of a kind meant: "takeaway curry, chicken tikka"."""
    plain = len(title.words) <= MOST_OF_TITLE and (title.amount is None or title.amount.article)
    if not plain or title.match is None or food.match is None or not food.leads <= {",", ":", "."}:
        return False
    sandwiches = len(title.words) == 1 and is_of("sandwich", title.match) and is_of("sandwich", food.match)
    named = len(title.words) == 1 and title.words[0] in food.words
    same = named or title.match.food.description == food.match.food.description
    return (sandwiches or (same and is_of("plateful", title.match))) and len(food.words) > 1


def _is_unfilled(dish: Said) -> bool:
    """Tell whether nothing but its bread is named: a "bacon butty with brown sauce" holds its bacon."""
    return plain_word(dish.words[-1]) in _UNFILLED and set(dish.words[:-1]) <= TAGS.manner


def _made_of(dish: Said) -> frozenset[str]:
    if dish.amount is not None and dish.amount.unit in TAGS.exact_units | TAGS.volume_units:
        return frozenset()
    names = (w if w in _MADE_OF else plain_word(w) for w in reversed(dish.words))
    return next((_MADE_OF[name] for name in names if name in _MADE_OF), frozenset())


def _is_list(dish: Said, rest: Sequence[Said]) -> bool:
    """Tell whether a dish is only the title of a list: "wok: 200 g veg, 150 g tofu"."""
    if not rest[0].leads & (TAGS.lists | {"-"}) or (
        dish.amount is not None and dish.amount.unit in TAGS.exact_units
    ):
        return False
    inside = parenthesis(rest, 0) if "(" in rest[0].leads else []
    if len(inside) > 1 and dish.amount is None and _is_title_of(dish.match, inside):
        return True  # "rajma chawal (1 cup rice, 3/4 cup rajma)"
    folded = is_of("sandwich", dish.match) or is_of("folded", dish.match)
    if "-" in rest[0].leads and folded and not is_measured(dish) and len(rest) >= LEAST_LISTED:
        return True  # "burrito - eggs, potato, cheese"
    if (
        ":" in rest[0].leads
        and is_of("sandwich", dish.match)
        and any(is_of("bread", food.match) for food in rest)
    ):
        return True
    if ":" in rest[0].leads and (dish.match is None or (len(rest) > 1 and not is_measured(dish))):
        return True
    if not rest[0].leads & TAGS.lists:
        return False
    named = bool(TAGS.listed & {dish.words[-1], plain_word(dish.words[-1])})
    return named and (len(rest) > 1 or rest[0].amount is not None)


def _is_sort_of(title: Said, food: Said) -> bool:
    """Tell whether the second food only says which the first was."""
    if title.match is None or food.match is None or title.amount is not None:
        return False
    return title.match.food.category == food.match.food.category


def _is_title_of(dish: Match | None, inside: Sequence[Said]) -> bool:
    if dish is None:
        return True
    composite = is_of("dish", dish) or is_of("plateful", dish) or is_of("sandwich", dish)
    return composite and any(map(is_measured, inside))


def _rest_of_name(dish: Said, made_of: frozenset[str], table: FoodTable) -> list[Said]:
    titles = made_of | _MADE_OF.keys() | {"made", "fry"}
    words = [w for w in dish.words if w not in titles and plain_word(w) not in titles]
    names = (words, [*words, "powder"]) if words else ()  # "protein shake with milk"
    found = ((name, table.match(" ".join(name))) for name in names)
    words, match = next(((name, m) for name, m in found if m is not None and m.sure >= SURE), ([], None))
    return [] if match is None else [Said(words, None, dish.start, dish.end, dish.leads, match)]


def _unfilled(dish: Said, table: FoodTable) -> Said:
    """Return the bread of "sandwich with ham and cheese": its filling is said apart."""
    kind = plain_word(dish.words[-1])
    each = 1.0 if kind == "wrap" else _SANDWICH_SLICES
    amount = dish.amount
    if amount is not None and (amount.unit in TAGS.exact_units or amount.vague):
        return dish
    count = 1.0 if amount is None else amount.value
    at = amount or Amount(dish.start, dish.start, 1.0)
    unit = "piece" if kind == "wrap" else "slice"
    words = [*dish.words[:-1], *_UNFILLED[kind].split()]
    if table.match(" ".join(words)) is None:
        words = _UNFILLED[kind].split()
    return known_as(dish, words, table, replace(at, value=count * each, unit=unit, article=False))
