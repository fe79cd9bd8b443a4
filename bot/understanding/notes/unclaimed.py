"""Words of a note that are no entry: what nothing claimed, and what no one would eat."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import islice
from zoneinfo import ZoneInfo

from bot.foodtable.spelling import is_english
from bot.foodtable.words import plain_word
from bot.understanding.foods.meals import FoodClause, Mark, MealDraft
from bot.understanding.foods.said import EATING, Said, names_product
from bot.understanding.pieces.drafts import Draft
from bot.understanding.pieces.instants import clocks_of, is_ahead, place
from bot.understanding.pieces.pieces import Amount, Clause, Moment, SlotWord
from bot.understanding.pieces.units import OTHER_UNITS
from bot.understanding.states.feelings import FEELINGS
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.plain_words import holds_name
from bot.understanding.words.tokens import Token

MOST_LETTERS_LITTLE = 2
LATELY, SOON = timedelta(hours=3), timedelta(hours=8)
"""An hour within these of now is rather that which was, or that which will be; no source."""
MOST_WORDS_UNKNOWN, MOST_WORDS_ALONE = 4, 6
MOST_PIECES_UNKNOWN = 20


@dataclass(slots=True)
class Lost:
    """Words that nothing claimed; aside: they only say where it was, or name what follows."""

    clause: Clause
    aside: bool = False


Part = Draft | MealDraft | Lost


def without_strange(part: Part, before: Part | None) -> list[Part]:
    """Take out of a meal the words that are no known food and that nothing shows to be one."""
    if not isinstance(part, MealDraft):
        return [part]
    strange: list[Part] = []
    shown = False
    named = part.slot is not None
    for k, piece in enumerate(part.parts):
        if k == 0 or piece.clause.leads & TAGS.ends_unclaimed:
            follows = (
                k == 0 and isinstance(before, MealDraft) and not piece.clause.leads & TAGS.ends_unclaimed
            )
            told = isinstance(before, MealDraft) and follows and _shows_food(before.parts)
            shown = named or _shows_food(islice(part.parts, k, None)) or told
        tells = bool(TAGS.subjects & set(piece.clause.words)) and not EATING & set(piece.clause.words)
        if _is_label(piece, part.parts[k + 1] if k + 1 < len(part.parts) else None):
            strange.append(Lost(_clause_of(piece.foods), aside=True))
            piece.foods = []
        unknown = [f for f in piece.foods if f.match is None and not f.is_extra]
        remark = (
            isinstance(before, Draft) and k == 0 and not piece.clause.leads & (TAGS.ends_unclaimed | {"\n"})
        )
        lasted = any(
            (isinstance(p, Moment) and p.until is not None)
            or (isinstance(p, Amount) and p.minutes is not None)
            for p in piece.clause.pieces
        )
        known = any(f.match is not None or f.is_extra for f in part.foods)
        certain = not known and (named or bool(EATING & set(piece.clause.words)))
        single = before is None and part.foods == unknown and len(unknown) == 1
        alone = single and names_product(unknown[0].words)
        lost = [
            f
            for f in unknown
            if (lasted and (f.amount is None or f.amount.minutes))
            or not _may_be_food(f, shown and not tells, remark=remark, alone=alone)
            or not (certain or alone or _is_rare(f))
        ]
        if lost:
            gone = set(map(id, lost))
            piece.foods = [f for f in piece.foods if id(f) not in gone]
            # "canteen: schnitzel", "lunch on the night shift at 1: rice"
            aside = _says_where(piece, lost)
            whole = not piece.foods and not aside
            strange.append(Lost(piece.clause if whole else _clause_of(lost), aside=aside))
    return [part, *strange] if part.foods else strange


def drop_appointments(meal: MealDraft, now: datetime, zone: ZoneInfo) -> None:
    """Take the hour of what is still to come out of a meal: "soup and bread, meeting at 3"."""
    for part in meal.parts:
        words = set(part.clause.words)
        if part.foods or words & TAGS.past or not any(is_english(plain_word(word)) for word in words):
            continue
        part.lead = [m for m in part.lead if not _is_to_come(m, now, zone)]
        part.tail = [m for m in part.tail if not _is_to_come(m, now, zone)]


def _is_to_come(mark: Mark, now: datetime, zone: ZoneInfo) -> bool:
    if not isinstance(mark, Moment) or mark.hour is None or mark.has_day:
        return False
    today = [place(now.astimezone(zone).date(), clock, zone) for clock in clocks_of(mark)]
    lately = any(timedelta(0) <= now - at <= LATELY for at in today)
    return not lately and any(is_ahead(at, now) and at - now <= SOON for at in today)


def _says_where(part: FoodClause, lost: Sequence[Said]) -> bool:
    """Tell whether words only say where or on which shift a meal was, so that there is no need to ask."""
    if any(isinstance(p, SlotWord) for p in part.clause.pieces):
        return not any(holds_name(food.words) for food in lost)
    return all(word in TAGS.place_words for food in lost for word in food.words)


def _is_label(part: FoodClause, following: FoodClause | None) -> bool:
    """Tell whether words only name the meal that follows: "handover snack - pasty", "work lunch: soup"."""
    if following is None or not following.clause.leads & {":", "-", "="}:
        return False
    if any(food.match is not None or food.amount is not None for food in part.foods):
        return False
    return any(isinstance(p, SlotWord) for p in part.clause.pieces)


def _shows_food(parts: Iterable[FoodClause]) -> bool:
    """Tell whether something in the sentence that begins these parts is surely eaten."""
    for k, part in enumerate(parts):
        if k and part.clause.leads & TAGS.ends_unclaimed:
            return False
        if EATING & set(
            part.clause.words[:-1] if part.clause.words[-1:] == ["finished"] else part.clause.words
        ) or any(food.match is not None for food in part.foods):
            return True
    return False


def _may_be_food(food: Said, shown: bool, *, remark: bool, alone: bool) -> bool:
    """Tell whether unknown words may be food; alone: they are the whole note, and a word for what is sold."""
    if (
        FEELINGS.keys() >= set(food.words)
        or len(food.words) > (MOST_WORDS_ALONE if alone else MOST_WORDS_UNKNOWN)
        or not any(len(word) > 1 for word in food.words)
    ):
        return False
    amount = food.amount
    if remark and not shown and (amount is None or not amount.unit):
        return False  # "ripped it off on a door frame"
    if food.words[0] in TAGS.no_food_first or (TAGS.telling & set(food.words) and not _is_weighed(amount)):
        return False
    named = holds_name(food.words) or (_is_weighed(amount) and amount is not None and amount.unit != "whole")
    if not named:
        return False
    acts = any(word.endswith(("ed", "ing")) for word in food.words)
    return ((shown or alone) and not acts) or (
        amount is not None and (_is_weighed(amount) or 0 < amount.value <= MOST_PIECES_UNKNOWN)
    )


def _is_rare(food: Said) -> bool:
    """Tell whether unknown words are no everyday English, as dishes are not: "kolo", but not "office"."""
    if names_product(food.words):
        return True
    words = [word.removesuffix("'s") for word in food.words]  # "plumber's here till 12"
    return any(len(word) > MOST_LETTERS_LITTLE and not is_english(plain_word(word)) for word in words)


def _is_weighed(amount: Amount | None) -> bool:
    return amount is not None and bool(amount.unit) and amount.unit not in OTHER_UNITS.values()


def _clause_of(foods: Sequence[Said]) -> Clause:
    return Clause(tuple(Token("word", food.name, food.start, food.end) for food in foods))
