"""A clause that says more of a food said before it: how much of it was eaten, what kind it was, its sorts."""

from dataclasses import replace

from bot.foodtable import FoodTable
from bot.foodtable.words import plain_word
from bot.understanding.foods.remarks import scale
from bot.understanding.foods.said import EATING, Said
from bot.understanding.notes.so_far import SoFar
from bot.understanding.pieces.pieces import Amount, Clause, Moment, SlotWord
from bot.understanding.pieces.units import SIZES
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.plain_words import is_plain

_SURE_KIND, _LEAST_PIECE_GRAMS = 0.9, 25.0
_DOES = EATING | TAGS.left | TAGS.does_retold
_PARTS = {"all": 1.0, "most": 0.75, "none": 0.0}


def tells_more(so_far: SoFar, clause: Clause, table: FoodTable) -> bool:
    """Take a clause for more about a food of this meal: "left half the chips", "the jam was sugar free"."""
    meal = so_far.last_meal
    if meal is None or not meal.foods or any(isinstance(p, Moment | SlotWord) for p in clause.pieces):
        return False
    if so_far.waiting:  # a time was said since: what follows is another meal
        return False
    told = (
        _tells_another(so_far.last_food, clause)
        or _tells_seconds(meal.foods, clause)
        or _tells_share(meal.foods, clause, table)
    )
    if not (told or _tells_kind(meal.foods, clause, table)):
        return False
    so_far.ledger.mark(clause.pieces)
    return True


def _tells_another(last: Said | None, clause: Clause) -> bool:
    """Count one more of the food before: "a doughnut, then another one"."""
    first = clause.pieces[0]
    rest = clause.pieces[1:]
    one = isinstance(first, Amount) and first.value == 1 and not (first.unit or first.size)
    one = one and first.end - first.start >= len("another")
    only = all(getattr(p, "text", "one") in ("one", "damn", "lol", "oops") for p in rest)
    amount = last.amount if last is not None else None
    if (
        not one
        or not only
        or last is None
        or (amount is not None and amount.unit not in ("", "piece", "slice"))
    ):
        return False
    last.amount = (
        Amount(last.start, last.start, 2.0)
        if amount is None
        else replace(amount, value=amount.value + 1, article=False)
    )
    return True


def _tells_seconds(foods: list[Said], clause: Clause) -> bool:
    """Double what was eaten twice: "had seconds", "went back for seconds of mash"."""
    if "seconds" not in clause.words or any(
        p.unit or p.share for p in clause.pieces if isinstance(p, Amount)
    ):
        return False
    name = [plain_word(word) for word in clause.words if word not in _DOES and not is_plain(word)]
    food = _named(foods, name) if name else foods[0]
    if food is None:
        return False
    food.amount = (
        Amount(food.start, food.start, 2.0, vague=True)
        if food.amount is None
        else replace(scale(food.amount, 2.0), article=False)
    )
    return True


def _tells_share(foods: list[Said], clause: Clause, table: FoodTable) -> bool:
    """Leave of a food said before the part that was eaten: "ate all of the rice", "half the curry"."""
    amounts = [p for p in clause.pieces if isinstance(p, Amount)]
    words = set(clause.words)
    part = next((_PARTS[word] for word in clause.words if word in _PARTS), None)
    if any(p.unit or not p.share for p in amounts) or len(amounts) > 1 or (part is None) == (not amounts):
        return False
    name = [plain_word(word) for word in clause.words if word not in _DOES and not is_plain(word)]
    food = _named(foods, name) or _of_same_kind(foods, name, table)
    if food is None or not (words & _DOES or food.amount is None or food.amount.article):
        return False
    share = amounts[0].value if amounts else part or 0.0
    eaten = 1 - share if words & TAGS.left else share
    if eaten < 1:
        food.amount = (
            Amount(food.start, food.start, eaten, vague=not _is_one(food, table), share=True)
            if food.amount is None
            else replace(scale(food.amount, eaten), article=food.amount.article)
        )
    return True


def _of_same_kind(foods: list[Said], name: list[str], table: FoodTable) -> Said | None:
    """Return the food that is of the sort a name tells: "the potatoes" of "bratkartoffeln"."""
    match = table.match(" ".join(name)) if name else None
    kind = "" if match is None else match.food.category.partition(" ")[0]  # own foods have none
    alike = [f for f in foods if f.match is not None and kind and kind in f.match.food.category]
    return alike[0] if len(alike) == 1 else None


def _is_one(food: Said, table: FoodTable) -> bool:
    """Tell whether a food was named as one of what comes in pieces: "naan", not "chips" or "mash"."""
    singular = food.words[-1:] == [plain_word(word) for word in food.words[-1:]]
    one = None if food.match is None else table.weigh(food.match, "piece")
    return singular and one is not None and one.grams > _LEAST_PIECE_GRAMS


def _tells_kind(foods: list[Said], clause: Clause, table: FoodTable) -> bool:
    """Make a food said before what a clause says it was: "the jam was sugar free", "the pizza was huge"."""
    words = [word for word in clause.words if word not in TAGS.my]
    k = next((i for i, word in enumerate(words) if word in TAGS.was_retold), 0)
    if not 0 < k < len(words) - 1 or EATING & set(words):
        return False
    food = _named(foods, [plain_word(word) for word in words[:k]])
    sizes = [p for p in clause.pieces if isinstance(p, Amount)]
    if food is None or any(p.unit or not p.size for p in sizes):
        return False
    size = next((SIZES[word] for word in words[k:] if word in SIZES), sizes[0].size if sizes else "")
    if size:
        at = food.amount or Amount(food.start, food.start, 1.0)
        food.amount = at if at.unit or at.size else replace(at, size=size, article=False)
        return True
    match = table.match(" ".join([*words[k + 1 :], *food.words]))
    if match is None or match.sure < _SURE_KIND:
        return False
    food.match = match
    return True


def _named(foods: list[Said], name: list[str]) -> Said | None:
    """Return the food said last that these words name, None for none."""
    if not name:
        return None
    return next((f for f in reversed(foods) if set(name) <= {plain_word(word) for word in f.words}), None)


def tells_sorts(so_far: SoFar, clause: Clause, following: Clause | None) -> bool:
    """Take "one" of "2 slices, one with ham, one with cheese" for a sort of what was counted, not a change.

    Where the food before has what it is with already, it is one more: "2 bread with ham, 1 with cheese".
    """
    only = clause.pieces[0] if len(clause.pieces) == 1 else None
    if not isinstance(only, Amount) or only.unit or only.share or only.article or following is None:
        return False
    foods = so_far.last_meal.foods if so_far.last_meal is not None else []
    counted = next((food for food in reversed(foods) if _count(food)), None)
    if counted is None or counted.amount is None or "with" not in following.leads:
        return False
    if only.value >= counted.amount.value and counted is so_far.last_food:
        return False  # "2 eggs, 2 with ..."
    sorts = so_far.sorts if so_far.sorts and so_far.sorts[0] is counted else (counted, counted.amount.value)
    if counted is not so_far.last_food and sorts[1] == counted.amount.value:
        counted.amount = replace(counted.amount, value=counted.amount.value + only.value)
    else:
        so_far.sorts = (counted, sorts[1] - only.value)
    so_far.ledger.mark(clause.pieces)
    return True


def _count(food: Said) -> float:
    amount = food.amount
    counted = amount is not None and amount.unit in ("", "piece", "slice", "scoop") and not amount.share
    return amount.value if amount is not None and counted and amount.value > 1 else 0.0
