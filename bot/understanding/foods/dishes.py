"""What a plate is as a whole: a dish with its ingredients, a drink with what goes into it.

Rules, in order: what stands in parentheses describes the food before it; a dish said with its own ingredients
is a title, not one more food ("porridge with 60 g oats and milk" is oats and milk), unless it was weighed
itself ("300 g salad with an egg"); a dish whose bread or filling is said apart is only the rest of it ("hot
dog with a bun"); milk and sugar in a drink are those of the drink.
"""

from collections.abc import Sequence
from dataclasses import replace

from bot.foodtable import FoodTable, Match
from bot.foodtable.recipes import Recipe, recipe_of
from bot.foodtable.words import plain_word
from bot.understanding.foods.categories import is_of
from bot.understanding.foods.completing import joined
from bot.understanding.foods.counting import drop_sorts
from bot.understanding.foods.dry_weight import settle_dry
from bot.understanding.foods.poured import settle_poured
from bot.understanding.foods.remarks import scale
from bot.understanding.foods.said import Said, is_measured, known_as, parenthesis
from bot.understanding.foods.senses import settle_kinds
from bot.understanding.foods.titles import SURE, drop_titles
from bot.understanding.foods.weighing import weigh_known
from bot.understanding.pieces.pieces import Amount
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.wordlists import word_set

# A dish that counts its bread, the words for that bread, and the dish without it.
_WITH_BREAD = {
    "hot dog": (word_set("bun roll bread"), "hot dog sausage"),
    "burger": (word_set("bun roll"), "burger patty"),
    "hamburger": (word_set("bun roll"), "burger patty"),
    "cheeseburger": (word_set("bun roll"), "burger patty"),
    "chicken burger": (word_set("bun roll"), "chicken fillet"),
    "veggie burger": (word_set("bun roll"), "veggie burger"),
    "doner kebab": (word_set("pitta pita bread wrap naan flatbread"), "doner meat"),
    "tantuni": (word_set("pitta pita bread wrap naan flatbread"), "doner meat"),
}


def settle_foods(
    foods: Sequence[Said], left_out: Sequence[str], table: FoodTable, *, american: bool = False
) -> list[Said]:
    """Return the foods of one meal as they were eaten; left_out: the words after "no", "without"."""
    settled = drop_sorts(settle_dry(_without_taken_back(foods, left_out), table), table)
    settled = _without_listed(_take_descriptions(settled, table), table)
    settled = drop_titles(_without_implied(settled, table), table)
    settled = [f for k, f in enumerate(settled) if not (k and _is_its_bread(f, settled[k - 1]))]
    settled = _without_bread(settled, frozenset(left_out), table)
    settled = settle_poured(settled, frozenset(left_out), table)
    return settle_kinds(_join_repeats(settled, table), table, american=american)


def _without_taken_back(foods: Sequence[Said], left_out: Sequence[str]) -> list[Said]:
    """Leave out what was said and then taken back: "steak and chips minus the chips"."""
    if not left_out:
        return list(foods)
    gone = {plain_word(word) for word in left_out}
    kept = [f for f in foods if f.amount is not None or not {plain_word(w) for w in f.words} <= gone]
    return kept or list(foods)


def _without_listed(foods: Sequence[Said], table: FoodTable) -> list[Said]:
    """Leave a dish out that is but the measured foods behind it: "dal rice, 1 cup dal, 1 cup rice"."""
    kept: list[Said] = []
    for k, dish in enumerate(foods):
        parts = foods[k + 1 : k + 1 + len(dish.words)]
        listed = len(parts) > 1 and not is_measured(dish) and all(map(is_measured, parts))
        if not (listed and all(any(_is_called(part, word, table) for part in parts) for word in dish.words)):
            kept.append(dish)
    return kept


def _is_called(food: Said, word: str, table: FoodTable) -> bool:
    """Tell whether a word names a food, by any of its names: "chawal" is rice."""
    match = table.match(word)
    same = (
        match is not None and food.match is not None and match.food.description == food.match.food.description
    )
    return same or word in food.words


def _without_implied(foods: Sequence[Said], table: FoodTable) -> list[Said]:
    """Return a dish and its parts as one plate: parts with an amount of a title, else the dish alone."""
    kept: list[Said] = []
    i = 0
    while i < len(foods):
        dish = foods[i]
        recipe = recipe_of(dish.words)
        end = i + 1
        while recipe is not None and end < len(foods) and _is_part(foods[end], recipe):
            end += 1
        parts = foods[i + 1 : end]
        if recipe is None or not parts or (is_measured(dish) and recipe.kind == "title"):
            kept.append(dish)
            end = i + 1
        elif recipe.kind == "title":
            kept += parts if len(parts) > 1 else [dish, *parts]
        elif _scales(dish, parts, table):
            kept.append(dish)
        elif any(map(_is_counted, parts)) or not parts[0].leads & _TELLS_PARTS[recipe.kind]:
            kept += [dish, *parts]
        else:
            sized = next((part.amount for part in parts if is_measured(part)), None)
            dish.amount = dish.amount or sized  # "fish and chips, large cod"
            kept.append(dish)
        i = end
    return kept


def _is_counted(food: Said) -> bool:
    """Tell whether a food has more than a size: a number, a unit, a share."""
    amount = food.amount
    return (
        is_measured(food) and amount is not None and bool(amount.unit or amount.value != 1 or not amount.size)
    )


def _scales(dish: Said, parts: Sequence[Said], table: FoodTable) -> bool:
    """Weigh a dish by its one part with an amount: "spag bol, about 250 g pasta"; tell whether it was."""
    amount, part = parts[0].amount, parts[0].match
    if len(parts) != 1 or amount is None or part is None or not is_measured(parts[0]) or is_measured(dish):
        return False
    share = 0.0 if dish.match is None else _share_of(part, dish.match)
    counted = amount.unit not in TAGS.exact_units
    if not share:
        return counted and bool(parts[0].inside)  # "menemen (2 eggs)"
    if counted:
        grams = weigh_known(amount, part, table).grams  # "shakshuka, 2 eggs"
        amount = replace(amount, value=grams, low=None, high=None, unit="g", size="")
    low, high = ((end or amount.value) / share for end in (amount.low, amount.high))
    dish.amount = replace(amount, value=amount.value / share, low=low, high=high, about=True)
    dish.end = max(dish.end, parts[0].end)
    return True


def _share_of(part: Match, dish: Match) -> float:
    """Return how much of a dish of several rows is the row of a part, 0 for none."""
    _, named, rest = dish.food.description.partition(f"{part.food.description} (")
    return float(rest.partition("%")[0]) / 100 if named else 0.0


_TELLS_PARTS = {"made": TAGS.joins, "filled": TAGS.joins | {","}}


def _is_part(food: Said, recipe: Recipe) -> bool:
    """Tell whether a food is in a dish already."""
    if food.is_extra or is_of("soup", food.match):
        return False  # "toastie, tomato soup": what holds a part is none
    return any(plain_word(word) in recipe.parts for word in food.words)


def _is_its_bread(food: Said, dish: Said) -> bool:
    """Tell whether a food is the bread that a sandwich is on: "ham sandwich on rye", "taco corn tortilla"."""
    if food.start == dish.start and is_of("folded", dish.match) and is_of("bread", food.match):
        return True
    if not is_of("bread", food.match) or is_measured(food):
        return False
    on = "on" in food.leads or bool(food.inside)
    bun = not food.leads & {"with"} and bool(TAGS.buns & set(food.words))  # "bean burger in a bun"
    return (on and is_of("sandwich", dish.match)) or ((on or bun) and is_of("burger", dish.match))


def _take_descriptions(foods: list[Said], table: FoodTable) -> list[Said]:
    """Use what stands in parentheses behind a food to tell it better, where nothing of it is an amount."""
    kept: list[Said] = []
    i = 0
    while i < len(foods):
        inside = parenthesis(foods, i)
        head = kept[-1] if kept and inside and not kept[-1].inside else None
        if head is not None and len(inside) == 1 and _specify(head, inside[0], table):
            i += 1
            continue
        if head is not None and _is_sum_of(head, inside):
            kept[-1:] = [replace(food, inside=0) for food in inside]
            i += len(inside)
            continue
        if head is not None and head.amount is None and len(inside) == 1 and _is_its_meat(head, inside[0]):
            kept[-1] = replace(inside[0], inside=0, leads=head.leads, match=inside[0].match)
            i += 1
            continue
        if (
            head is not None
            and len(inside) == 1
            and is_of("milky_drink", head.match)
            and is_of("milk", inside[0].match)
        ):
            head.amount = head.amount or inside[0].amount
            i += 1
            continue  # "latte (whole milk, 3 dl)"
        if head is None or any(is_measured(f) for f in inside):
            kept.append(foods[i])
            i += 1
            continue
        i += len(inside)
        if not _describes(head, inside, table):
            kept += inside
    return kept


def _is_sum_of(head: Said, inside: Sequence[Said]) -> bool:
    """Tell whether a name is of a whole sort of which the parentheses say what was had: "fruit (papaya)"."""
    named = plain_word(head.words[-1]) in TAGS.sorts_of_food and not is_measured(head)
    return named and all(food.match is not None and "with" not in food.leads for food in inside)


def _is_its_meat(dish: Said, inside: Said) -> bool:
    """Tell whether what was counted in parentheses is what the dish is: "adobo (2 chicken thighs)"."""
    return is_measured(inside) and is_of("meat_dish", dish.match) and is_of("meat", inside.match)


def _describes(head: Said, inside: Sequence[Said], table: FoodTable) -> bool:
    """Tell whether the words behind `head` are no foods of their own; a single one may say what it is."""
    if len(inside) == 1 and _is_told_again(head.match, inside[0].match):
        return True  # "okonomiyaki (pork)", "beans porridge (ewa)"
    counted_as = len(inside) == 1 and head.match is None and inside[0].match is not None
    if counted_as and inside[0].match is not None:
        head.match = replace(inside[0].match, name=head.name, assumed=f"counted as {inside[0].name}")
    return counted_as or is_measured(head)


def _is_told_again(head: Match | None, inside: Match | None) -> bool:
    """Tell whether a second name is the first one's own, or that of its filling."""
    if head is None or inside is None:
        return False
    same = head.food.category == inside.food.category
    return same or (is_of("dish", head) and is_of("filling", inside)) or inside.entry == head.entry != ""


def _specify(head: Said, inside: Said, table: FoodTable) -> bool:
    """Make `head` what the word behind it says ("milk (oat), 200 ml"); tell whether it does."""
    together = table.match(f"{inside.name} {head.name}")
    if together is None or together.sure < SURE:
        together = table.match(f"{head.words[-1]} {inside.name}")  # "fried chicken (1 thigh)"
    if together is None or together.sure < SURE or together.entry == (head.match.entry if head.match else ""):
        return False
    if not is_measured(head):
        head.amount = inside.amount or head.amount
    head.match = together
    return True


def _without_bread(foods: list[Said], left_out: frozenset[str], table: FoodTable) -> list[Said]:
    settled: list[Said] = []
    for n, food in enumerate(foods):
        bread = _WITH_BREAD.get(food.match.entry if food.match else "")
        following = foods[n + 1] if n + 1 < len(foods) else None
        apart = bread is not None and following is not None and "with" in following.leads
        said_apart = apart and following is not None and bread is not None and bread[0] & set(following.words)
        if bread is not None and (said_apart or bread[0] & left_out):
            food = known_as(food, bread[1].split(), table, food.amount)
        settled.append(food)
    return settled


def _join_repeats(foods: list[Said], table: FoodTable) -> list[Said]:
    """Take "10 chips, british chips" for one food: the second only says which."""
    settled: list[Said] = []
    for food in foods:
        if _counts_earlier(food, settled):
            continue
        last = settled[-1] if settled else None
        if last is not None and _names_its_sort(food, last):
            last.words, last.match = [*food.words, *last.words], food.match
            last.amount, last.end = food.amount, max(last.end, food.end)
            continue
        more = last is not None and len(food.words) > 1 == len(last.words) and food.words[-1:] == last.words
        if last is None or not more or food.amount is not None or last.amount is None:
            settled.append(food)
        else:
            last.match = table.match(food.name) or last.match
    return settled


def _names_its_sort(food: Said, last: Said) -> bool:
    """Tell whether a food with a count only says which the one right before it was: "dates 3 medjool"."""
    same = (
        food.match is not None
        and last.match is not None
        and food.match.food.description == last.match.food.description
    )
    beside = food.leads == last.leads and food.start - last.end <= 1 and food.words != last.words
    return same and beside and last.amount is None and is_measured(food)


def _counts_earlier(food: Said, earlier: Sequence[Said]) -> bool:
    """Give "30 chips" to the "tortilla chips" said before without an amount; tell whether it was done."""
    if not is_measured(food) or "with" in food.leads:
        return False
    for said in earlier:
        if food.amount is not None and food.amount.share and said.words[-1:] == food.words and said.amount:
            said.amount = joined(food.amount, said.amount, set()) or scale(said.amount, food.amount.value)
            return True  # "a large sweet tea, about half of the tea"
        plain = [plain_word(word) for word in food.words]
        named = plain == [plain_word(word) for word in said.words]
        named = named or (len(food.words) == 1 and said.words[-1:] == food.words)
        named = named or (_is_sort_of(food, said) and (bool(food.inside) or said is earlier[-1]))
        if named and (said.amount is None or _weighs_one(food, said.amount)):
            said.amount = food.amount
            return True
    return False


def _is_sort_of(food: Said, said: Said) -> bool:
    """Tell whether a food is the one said before by a fuller name: "toast, 2 slices wholemeal toast"."""
    if said.words != food.words[1:] or food.match is None or said.match is None:
        return False
    return food.match.food.category == said.match.food.category and food.leads <= {"(", ":", ","}


def _weighs_one(food: Said, before: Amount) -> bool:
    """Tell whether a weight in parentheses is that of the one said before: "a muesli (60 g muesli)"."""
    exact = food.amount is not None and food.amount.unit in TAGS.exact_units
    return bool(food.inside) and exact and before.article and not (before.unit or before.size)
