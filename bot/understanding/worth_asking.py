"""Which one question about a meal is worth asking: where two readings of it differ enough to matter."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from bot.language.times import write_clock
from bot.model.entries import Correction, Item, Meal, Slot
from bot.understanding.context import Context
from bot.understanding.corrections.portions import ASKED
from bot.understanding.foods.own_table import scale
from bot.understanding.foods.settling import asks_for_kind
from bot.understanding.notes.notes import fold
from bot.understanding.pieces.drafts import join_moments
from bot.understanding.pieces.pieces import Moment, SlotWord
from bot.understanding.pieces.slots import slot_of_hour
from bot.understanding.words.lexicon import TAGS

MATTERS_G = 15.0
"""Grams of carbohydrate between two readings of a note from which on a question is worth it."""
KIND = "kind "
_SPREAD = 0.15
_NOTED_AT_ONCE = timedelta(hours=2)
_NIGHT_ENDS = 4


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer: what its button says, and the correction it makes."""

    label: str
    correction: Correction


@dataclass(frozen=True, slots=True)
class Ask:
    """A question with two to four answers about one of the meals.

    about: what makes it the same question another time ("portion Rice, white, cooked"), so that it is asked
    once; typed: what a bare answer in words may be ("portion rice", "time"), "" for none
    meal: which of the meals, by its place
    """

    about: str
    typed: str
    text: str
    meal: int
    choices: tuple[Choice, ...]


def choose_question(meals: Sequence[Meal], context: Context, was_asked: Callable[[str], bool]) -> Ask | None:
    """Return the question that matters most and was not asked before, None when nothing needs one."""
    for find in (_ask_time, _ask_kind, _ask_portion):
        for n, meal in enumerate(meals):
            for ask in find(meal, n, context):
                if not was_asked(ask.about):
                    return ask
    return None


def _ask_portion(meal: Meal, n: int, context: Context) -> list[Ask]:
    """Ask for amounts that were not said, the one that matters most first."""
    spans = [(_span(item), item) for item in meal.items if _is_open(item)]
    open_ones = sorted((pair for pair in spans if pair[0] > MATTERS_G), key=lambda pair: -pair[0])
    return [_portion(item, n) for _, item in open_ones]


def _is_open(item: Item) -> bool:
    return not item.stated and item.food is not None and "your usual" not in item.assumed


def _span(item: Item) -> float:
    """Return how many grams of carbohydrate lie between the least and the most it may have been."""
    carbs = None if item.nutrients is None else item.nutrients.carbs_g
    return 0.0 if not carbs or not item.grams else carbs * (item.grams_high - item.grams_low) / item.grams


def _portion(item: Item, n: int) -> Ask:
    sizes = dict.fromkeys(_round(g) for g in (item.grams_low, item.grams, item.grams_high))
    choices = tuple(Choice(f"{g:g} g", _amount(item, g)) for g in sizes)
    return Ask(f"{ASKED}{item.food}", ASKED + item.name, f"Roughly how much {item.name}?", n, choices)


def _round(grams: float) -> float:
    step = 10.0 if grams >= 50 else 5.0
    return max(step, round(grams / step) * step)


def _amount(item: Item, grams: float) -> Correction:
    """Return the correction that makes a food weigh so much."""
    weighed = scale(item, grams / item.grams)
    spread = replace(weighed, grams_low=grams * (1 - _SPREAD), grams_high=grams * (1 + _SPREAD))
    return Correction("amount", (replace(spread, stated=True),))


def _ask_kind(meal: Meal, n: int, context: Context) -> list[Ask]:
    """Ask whether a weight is that of the dry food, where it may be and that matters."""
    asks = []
    for item in meal.items:
        dry = asks_for_kind(item, context.table)
        if dry is None or item.nutrients is None or dry.nutrients is None:
            continue
        match = context.table.match(dry.name)
        differ = abs((dry.nutrients.carbs_g or 0.0) - (item.nutrients.carbs_g or 0.0)) > MATTERS_G
        if differ and match is not None and item.grams <= context.table.portion(match).high:
            text = f"Were the {item.grams:.0f} g of {item.name} weighed cooked or dry?"
            cooked = Choice("Cooked", Correction("amount", (replace(item, stated=False),)))
            as_dry = Choice("Dry", Correction("amount", (replace(dry, stated=False),)))
            asks.append(Ask(f"{KIND}{item.food}", "", text, n, (cooked, as_dry)))
    return asks


def _ask_time(meal: Meal, n: int, context: Context) -> list[Ask]:
    """Ask for the half of the day, or for the day, where the words leave it open."""
    if meal.at is None or meal.timed != "stated":
        return []
    pieces = fold(meal.said, context.table)
    moment = join_moments([p for p in pieces if isinstance(p, Moment)])
    if moment is None or any(isinstance(p, SlotWord) for p in pieces):
        return []
    other = _other_half(moment, meal.at, context) or _other_day(moment, meal.at, context)
    if other is None:
        return []
    at = (meal.at, other)
    labels = [_name(one, context, with_day=one.date() != meal.at.date()) for one in at]
    if labels[0][-5:] == labels[1][-5:]:
        labels = [_name(one, context, with_day=True) for one in at]
    choices = tuple(
        Choice(label, Correction("time", at=one, slot=_slot(meal, one, context)))
        for label, one in zip(labels, at, strict=True)
    )
    text = f"Was that {labels[0]} or {labels[1]}?"
    return [Ask(f"time {meal.at.isoformat()}", "time", text, n, choices)]


def _slot(meal: Meal, at: datetime, context: Context) -> Slot:
    """Name the meal by another hour, as it was not named itself; a drink or a snack is one at any hour."""
    return meal.slot if meal.slot in ("drink", "snack") else slot_of_hour(at.astimezone(context.zone).hour)


def _other_half(moment: Moment, at: datetime, context: Context) -> datetime | None:
    """Return twelve hours earlier for a bare hour that is some time ago; soon after, it is this half."""
    if not moment.loose or moment.half or moment.part or moment.has_day or moment.until is not None:
        return None
    local = at.astimezone(context.zone)
    if context.now - at < _NOTED_AT_ONCE or local.hour < 12:
        return None
    return local.replace(hour=local.hour - 12)


def _other_day(moment: Moment, at: datetime, context: Context) -> datetime | None:
    """Return the other day that may be meant: "yesterday" said after midnight, a weekday said on that day."""
    now, local = context.local_now, at.astimezone(context.zone)
    if moment.days == -1 and now.hour < _NIGHT_ENDS and moment.part not in TAGS.evening:
        return local - timedelta(days=1)
    if moment.weekday == now.weekday() and local.date() == now.date() and not moment.back:
        return local - timedelta(days=7)
    return None


def _name(at: datetime, context: Context, *, with_day: bool) -> str:
    local = at.astimezone(context.zone)
    return f"{local:%a} {local.day} {local:%b} {write_clock(local)}" if with_day else write_clock(local)
