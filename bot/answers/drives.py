"""Answers to “what drives it?”, “what does rice do to me?” and “should the muesli go?”."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from statistics import median
from typing import TYPE_CHECKING

from bot.answers.compare import answer_compare
from bot.answers.days import end_of
from bot.answers.foods_meant import Dish, find_meant, foods_meant
from bot.answers.not_yet import say_whole
from bot.model.entries import Meal, Nutrients, Question
from bot.model.messages import Outgoing, PictureKind, PictureSpec
from bot.model.naming import join
from bot.store import Person, Transaction

if TYPE_CHECKING:  # loading numpy can wait for the first such question
    from analysis.foods.contrasts import DishEffect, TwoFoods
    from analysis.foods.effects import FoodEffect
    from analysis.foods.model import Fit
    from bot.frames.rows import Occasions

LOOK_BACK = timedelta(days=120)
LEAST_SPAN = timedelta(days=3)
MOST_FOODS = 3


@dataclass(frozen=True, slots=True)
class Judged:
    """A person's occasions in [since, until), the model fitted to them, and what each food adds."""

    since: datetime
    until: datetime
    occasions: "Occasions"
    fit: "Fit"
    found: "list[FoodEffect]"

    def of(self, foods: Sequence[str]) -> "list[FoodEffect]":
        """Return what some foods add, the most often eaten first."""
        chosen = [one for one in self.found if one.food in foods]
        return sorted(chosen, key=lambda one: -one.occasions)

    def picture(self, kind: PictureKind, *words: str) -> PictureSpec:
        """Name a picture of foods that some words mean."""
        name = "-".join([kind, *words]).replace(" ", "-").replace("/", "-")
        groups = tuple((each, ()) for each in words)
        return PictureSpec(kind, name, since=self.since, until=self.until, groups=groups)


def judge_between(tx: Transaction, person: Person, since: datetime, until: datetime) -> Judged | None:
    """Judge the foods of [since, until); None where no occasion has a curve of its own."""
    from analysis.foods.effects import judge_fit
    from analysis.foods.model import fit_foods
    from bot.frames.rows import rows_between

    occasions = rows_between(tx, person, since, until)
    if not occasions.rows:
        return None
    fit = fit_foods(occasions.rows)
    return Judged(since, until, occasions, fit, judge_fit(fit))


def judge_asked(tx: Transaction, person: Person, question: Question, now: datetime) -> Judged | None:
    """Judge the foods of the days that a question means; “tonight” is no span to judge foods by."""
    until = end_of(question, now)
    if question.since is None or until - question.since < LEAST_SPAN:
        return judge_between(tx, person, now - LOOK_BACK, now)
    return judge_between(tx, person, question.since, until)


def say_food(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say what a food does, or a dish as its parts; whether it should go, where that is asked."""
    from bot.reply.results_choices import dish, should_go
    from bot.reply.results_foods import one_food

    words = question.subject or _last_plate(tx, person)
    if question.sort != "compare" and question.against:
        words = f"{words} and {question.against}"
    question, judged = replace(question, subject=words), judge_asked(tx, person, question, now)
    if judged is None:
        return say_whole(tx, person, question, now)
    meant = find_meant(tx, person, words, judged.occasions)
    if meant is None:
        return say_whole(tx, person, question, now)
    leaving, unit = question.sort == "leave out", person.unit
    names, held = judged.occasions.names, usual_nutrients(judged.occasions)
    found = judged.of(meant.parts if isinstance(meant, Dish) else meant)
    if isinstance(meant, Dish) and len(found) > 1:
        text = dish(meant.name, judge_parts(judged, meant), found, names, unit, held)
        return Outgoing(person.id, text, picture=judged.picture("foods", words))
    lines = [
        should_go(one, names, unit, held) if leaving else one_food(one, names, unit)
        for one in found[:MOST_FOODS]
    ]
    return Outgoing(person.id, "\n".join(lines), picture=_picture_of(judged, found[0], words))


def _last_plate(tx: Transaction, person: Person) -> str:
    """Return the foods of the meal noted last: what “it” is in “what does it do to me?”."""
    last = next((one.entry for one in tx.log.last(person.id) if isinstance(one.entry, Meal)), None)
    return "meal" if last is None else " and ".join(item.name for item in last.items)


def judge_parts(judged: Judged, meant: Dish) -> "DishEffect":
    """Return what the parts of a dish add together, over the rows that it was eaten in."""
    from analysis.foods.contrasts import judge_dish

    rows = [k for k, row in enumerate(judged.occasions.rows) if row.entry_id in meant.entry_ids]
    return judge_dish(judged.fit, meant.parts, rows)


def _picture_of(judged: Judged, one: "FoodEffect", words: str) -> PictureSpec | None:
    """Show a food by its portion; one that was never eaten alone beside what it was eaten with."""
    from analysis.foods.effects import NEED

    if one.occasions < NEED:
        return None
    return judged.picture("foods" if one.always_with else "portion", words)


def say_foods(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say which foods add most; which are kind, or what could be left out, where that is asked."""
    from bot.frames.rows import rows_between
    from bot.reply.results_choices import kind_foods, leave_out
    from bot.reply.results_foods import drivers, no_rows

    judged = judge_asked(tx, person, question, now)
    if judged is None:
        left_out = rows_between(tx, person, question.since or now - LOOK_BACK, end_of(question, now)).left_out
        return Outgoing(person.id, no_rows(len(left_out)))
    about = judged.found, judged.occasions.names, person.unit
    if question.sort == "leave out":
        text = leave_out(*about, usual_nutrients(judged.occasions))
    else:
        text = kind_foods(*about) if question.sort == "kind foods" else drivers(*about)
    return Outgoing(person.id, text, picture=judged.picture("foods"))


def answer_two(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing | None:
    """Set two sides against each other: two foods on like plates, whole meals where that is asked for.

    None where it names no two sides and does not ask to compare.
    """
    from bot.reply.results_choices import two_foods, two_found

    sides = (question.subject, question.against)
    judged = judge_asked(tx, person, question, now) if all(sides) else None
    two = None if judged is None else compare_meant(judged, sides)
    if judged is None or two is None:
        return answer_compare(tx, person, question, now)
    compared = answer_compare(tx, person, question, now) if "compar" in question.said.lower() else None
    if compared is None or compared.picture is None:
        beside = [_never_without(judged, side) for side in sides]
        text = two_foods(two, sides, beside, person.unit)
        return Outgoing(person.id, text, picture=judged.picture("foods", *sides))
    found = two_found(two, sides, person.unit)
    return replace(compared, text=f"{compared.text}\nThe foods alone, the rest counted out: {found}")


def _never_without(judged: Judged, words: str) -> str:
    """Return what the foods that words mean were never eaten without, in words; "" where nothing is such."""
    foods = foods_meant(words, judged.occasions)
    others = {other for one in judged.of(foods) for other in one.always_with}
    return join([judged.occasions.names[other] for other in sorted(others.difference(foods))])


def compare_meant(judged: Judged, sides: tuple[str, str]) -> "TwoFoods | None":
    """Return how the foods that two words mean compare; None where one is none, or eaten only once."""
    from analysis.foods.contrasts import compare_foods
    from analysis.foods.effects import NEED

    first, second = (foods_meant(side, judged.occasions) for side in sides)
    two = compare_foods(judged.fit, first, second) if first and second else None
    return two if two is not None and min(two.occasions) >= NEED else None


def usual_nutrients(occasions: "Occasions") -> dict[str, Nutrients]:
    """Return what the usual portion of each food holds of fibre and protein: medians over its servings."""
    from bot.frames.rows import food_of

    held: dict[str, list[Nutrients]] = {}
    for meal in occasions.meals.values():
        for item in meal.items:
            if item.nutrients is not None:
                held.setdefault(food_of(item), []).append(item.nutrients)
    return {
        food: Nutrients(
            fibre_g=median(one.fibre_g or 0.0 for one in each),
            protein_g=median(one.protein_g or 0.0 for one in each),
        )
        for food, each in held.items()
    }
