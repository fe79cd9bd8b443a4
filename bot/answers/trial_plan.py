"""From what is to be tested, and what was eaten so far, to a protocol that can be agreed to. Pure."""

import re
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from itertools import product
from statistics import median

from analysis.trials.protocol import Arm, Portion, Protocol, plan_pairs
from bot.answers.sides import holds, names
from bot.answers.trial_wish import TESTED, Wish
from bot.model.entries import Fact, Item, Meal
from bot.model.naming import join
from bot.reply import numbers
from bot.reply.results_trials import BASELINE

CARBS_G = 5.0
"""Foods of a plate with at least so much carbohydrate have to be there in the agreed amount."""
MOST_TIMES = 1.5
"""An amount may be changed to so many times the usual one (judgement)."""
USUAL_CARBS_G, MORE_CARBS_G = 15.0, 10.0
OFTEN = 2
_NO = r"(?:no|not|without|instead of|rather than|0 ?g(?: of)?)"
MORNING = ("oats", "oatmeal", "porridge", "muesli", "granola", "cereal", "toast", "egg", "yogurt")
"""What was never eaten is tested at breakfast where it is one of these, else at lunch; it can be changed."""
NOT_BY_LOT = (
    "That can't be drawn by lot from one serving to the next, so I can't test it. I can test a walk, "
    "vegetables first, vinegar, or one food against another, like “test white rice against lentils”."
)
WHAT_TO_TEST = (
    "What shall I test? Say it like “test porridge with and without a walk” or “test white rice against "
    "lentils”; “start a test” lets me choose."
)
NOTHING_OFTEN = (
    "For a test I need a meal that you eat again and again: note a few more, or name one, like “test "
    "porridge with and without a walk”."
)
NOTHING_OPEN = (
    "What I would test of your usual meals I can tell already. Name what you wonder about, like “test white "
    "rice against lentils”."
)
NO_TEST_OF_EATING = (
    "You told me of an eating disorder, so I'd rather not set you a test of food. If you would like one, "
    "talk it over with the people who care for you."
)
ADDS = (
    "I set no test that adds carbohydrate you don't usually eat. I can test leaving out something that you "
    "do eat, or one food against another."
)


@dataclass(frozen=True, slots=True)
class Version:
    """A meal or food as it is usually eaten: (name, food of the table, grams), its meal and how often."""

    foods: tuple[tuple[str, str, float], ...]
    slot: str
    times: int
    title: str
    carbs_g: float
    eaten: bool = True


@dataclass(frozen=True, slots=True)
class Design:
    """What can be agreed to; foods: what each name stands for in the table; lever: "" for foods."""

    protocol: Protocol
    foods: dict[str, str]
    lever: str = ""


def design(
    wish: Wish,
    meals: Sequence[Meal],
    facts: Sequence[Fact],
    *,
    noise_cv: float,
    seed: str,
    look_up: Callable[[str], Meal | None],
) -> Design | str:
    """Return the trial that a wish asks for, or in one sentence why there is none.

    meals: of the last weeks, oldest first; noise_cv: how much like servings vary; seed: what the lot is
    drawn from; look_up: words -> a usual portion of what the food table knows, None for nothing
    """
    refused = _refuse((wish.base, wish.what, wish.against), facts)
    if refused:
        return refused
    if wish.lever and wish.lever not in TESTED:
        return NOT_BY_LOT
    found = _arms(wish, meals, look_up)
    if isinstance(found, str):
        return found
    arms, versions, slot = found
    question = f"{arms[0].name} or {arms[1].name}"
    if wish.lever or wish.what:
        question = f"{_label(wish, versions)} with and without {wish.what}"
    number = int.from_bytes(sha256(seed.encode()).digest()[:4], "big")
    pairs = plan_pairs(noise_cv).pairs
    protocol = Protocol(question, arms, slot, BASELINE, pairs, number, noise_cv)
    foods = {name: food for version in versions for name, food, _ in version.foods}
    return refuse_protocol(protocol, facts) or Design(protocol, foods, wish.lever)


def _arms(
    wish: Wish, meals: Sequence[Meal], look_up: Callable[[str], Meal | None]
) -> tuple[tuple[Arm, Arm], tuple[Version, ...], str] | str:
    if wish.against:
        first, second = (find_food(words, meals, wish.slot, look_up) for words in (wish.base, wish.against))
        for version, words in ((first, wish.base), (second, wish.against)):
            if version is None:
                return _unknown(words)
        assert first is not None
        assert second is not None
        if first.foods == second.foods:
            return "Those are the same food to me, so there is nothing to test."
        if _adds(first, second) or _adds(second, first):
            return ADDS
        slot = wish.slot or max((first, second), key=lambda version: version.times).slot
        arms = _arm(wish.base, first), _arm(wish.against, second)
        return arms, (first, second), slot
    base = find_plate(wish.base, meals, wish.slot, look_up)
    if base is None:
        return _unknown(wish.base) if wish.base else NOTHING_OFTEN
    label, slot = _label(wish, (base,)), wish.slot or base.slot
    if wish.lever:
        without = _arm(f"{label} without {wish.what}", base)
        moved = replace(without, name=f"{label} with {wish.what}", levers=(wish.lever,))
        return (without, moved), (base,), slot
    added = find_food(wish.what, meals, wish.slot, look_up)
    if added is None:
        return _unknown(wish.what)
    if not added.eaten and _carbs(look_up(wish.what)) >= CARBS_G:
        return ADDS
    held = {food for _, food, _ in added.foods}
    bare = replace(base, foods=tuple(food for food in base.foods if food[1] not in held))
    if not bare.foods:
        return f"Without {wish.what} nothing is left of {label}, so there is nothing to test."
    full = replace(base, foods=bare.foods + added.foods)
    arms = _arm(f"{label} with {wish.what}", full), _arm(f"{label} without {wish.what}", bare)
    usual_first = arms if any(food[1] in held for food in base.foods) else arms[::-1]
    return usual_first, (full,), slot


def _adds(one: Version, other: Version) -> bool:
    """Tell whether a side is carbohydrate that the person does not eat anyway, beside hardly any or less."""
    if one.eaten or one.carbs_g < CARBS_G:
        return False
    return other.carbs_g < CARBS_G or (other.eaten and one.carbs_g > other.carbs_g + MORE_CARBS_G)


def _label(wish: Wish, versions: Sequence[Version]) -> str:
    return wish.base or versions[0].title


def _unknown(words: str) -> str:
    return f"I know no {words} yet. Note it once with its amount, then ask for the test again."


def _arm(name: str, version: Version) -> Arm:
    return Arm(name, tuple(Portion(food, grams) for food, _, grams in version.foods))


def find_plate(
    words: str, meals: Sequence[Meal], slot: str, look_up: Callable[[str], Meal | None]
) -> Version | None:
    """Return the plate that words name as it is eaten most often; without words the one eaten most often."""
    meals = [meal for meal in meals if not _denies(words, meal)]
    held = [meal for meal in meals if (_calls(words, meal) if words else _carbs(meal) >= USUAL_CARBS_G)]
    held = held or [meal for meal in meals if words and names(words, meal)]
    held = [meal for meal in held if meal.slot == slot] or held
    kinds = Counter(_key(meal) for meal in held if _key(meal))
    if kinds and (words or kinds.most_common(1)[0][1] >= OFTEN):
        usual = kinds.most_common(1)[0][0]
        return _version([(meal, _bearing(meal)) for meal in held if _key(meal) == usual])
    known = look_up(words) if words else None
    if known is None or not _bearing(known):
        return None
    found = _version([(known, _bearing(known))])
    of_mornings = any(holds(name, word) for name, _, _ in found.foods for word in MORNING)
    return replace(found, slot=slot or ("breakfast" if of_mornings else "lunch"), eaten=False)


def find_food(
    words: str, meals: Sequence[Meal], slot: str, look_up: Callable[[str], Meal | None]
) -> Version | None:
    """Return the foods that words name, in their usual amounts; of words that name a plate, the plate."""
    held = []
    meals = [meal for meal in meals if not _denies(words, meal)]
    for meal in meals:
        items = [
            i for i in meal.items if i.food and i.grams > 0 and holds(f"{i.name} {i.said} {i.food}", words)
        ]
        if items:
            held.append((meal, items))
    if not held and not any(_calls(words, meal) for meal in meals) and (known := look_up(words)) is not None:
        return find_plate(words, [], slot, lambda _: known)
    if not held:
        return find_plate(words, meals, slot, look_up)
    held = [each for each in held if each[0].slot == slot] or held
    kinds = Counter(frozenset(_food(item) for item in items) for _, items in held)
    usual = kinds.most_common(1)[0][0]
    return _version([each for each in held if frozenset(map(_food, each[1])) == usual])


def _version(held: Sequence[tuple[Meal, Sequence[Item]]]) -> Version:
    """Return foods as they were eaten in some meals: their last names, the median of their grams."""
    grams: dict[str, list[float]] = {}
    called: dict[str, str] = {}
    for _, items in held:
        for item in items:
            grams.setdefault(_food(item), []).append(item.grams)
            called[_food(item)] = item.name
    carbs = [sum(i.nutrients.carbs_g or 0.0 for i in items if i.nutrients) for _, items in held]
    last = held[-1][0]
    slot = Counter(meal.slot for meal, _ in held).most_common(1)[0][0]
    title = last.called or join([called[food] for food in grams])
    foods = tuple((called[food], food, float(median(amounts))) for food, amounts in grams.items())
    return Version(foods, "breakfast" if slot == "drink" else slot, len(held), title, float(median(carbs)))


def _calls(words: str, meal: Meal) -> bool:
    """Tell whether words are what a meal is called, its slot, or stand together in how it was noted."""
    said = rf"\b{re.escape(words.lower())}s?\b"
    return words.lower() in (meal.slot, meal.called.lower()) or re.search(said, meal.said.lower()) is not None


def _food(item: Item) -> str:
    return item.food or item.name


def _bearing(meal: Meal) -> list[Item]:
    """Return the foods of a plate that have to be there in the agreed amount."""
    known = [item for item in meal.items if item.food and item.grams > 0]
    heavy = [i for i in known if i.nutrients is not None and (i.nutrients.carbs_g or 0.0) >= CARBS_G]
    return heavy or known


def _key(meal: Meal) -> frozenset[str]:
    return frozenset(_food(item) for item in _bearing(meal))


def _carbs(meal: Meal | None) -> float:
    return 0.0 if meal is None else meal.nutrients.carbs_g or 0.0


def refuse_protocol(protocol: Protocol, facts: Sequence[Fact]) -> str:
    """Return why a trial is none for whoever told such facts, "" where nothing forbids it."""
    held = [food.food for arm in protocol.arms for food in arm.foods]
    return _refuse([*held, *(lever for arm in protocol.arms for lever in arm.levers)], facts)


def refuse_more(protocol: Protocol, first: Protocol) -> str:
    """Return why the amounts of a changed trial are too large beside those first proposed, "" where not."""
    usual = {food.food: food.grams for arm in first.arms for food in arm.foods}
    for food in (food for arm in protocol.arms for food in arm.foods):
        if food.grams > MOST_TIMES * usual[food.food]:
            most = numbers.grams(MOST_TIMES * usual[food.food])
            return f"I set no test with more than half as much again as usual: at most {most} {food.food}."
    return ""


def _refuse(named: Iterable[str], facts: Sequence[Fact]) -> str:
    if any(fact.what == "eating disorder" for fact in facts):
        return NO_TEST_OF_EATING
    avoided = [part.strip() for fact in facts if fact.what == "avoids" for part in fact.value.split(",")]
    for words, one in product(named, avoided):
        if one and words and (holds(words, one) or holds(one, words)):
            return f"You told me that you avoid {one}, so I set no test with it."
    return ""


def _denies(words: str, meal: Meal) -> bool:
    """Tell whether a meal was noted as one without what words name: “no rice, 100 g lentils”."""
    said = rf"\b{_NO} (?:the |my |any )?{re.escape(words.lower())}\b"
    held = any(holds(f"{item.name} {item.said}", words) for item in meal.items)
    return bool(words) and not held and re.search(said, meal.said.lower()) is not None
