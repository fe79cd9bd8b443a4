"""Meals named by an earlier one: "same as yesterday's breakfast", "same porridge as yesterday", "the usual".

Each such phrase is looked up and then stands, for this message only, like a word of the person's own for what
was on that plate; an amount before it ("half of") and all around it is read as in any note.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from itertools import islice

from bot.foodtable.words import make_key
from bot.model.entries import Item, Meal, Slot
from bot.understanding.context import Context
from bot.understanding.foods.own_table import OwnTable
from bot.understanding.personal import Own
from bot.understanding.pieces.instants import day_of, resolve
from bot.understanding.pieces.pieces import Moment, SlotWord
from bot.understanding.pieces.slots import SLOT_WORDS, fold_slots, slot_of_hour
from bot.understanding.pieces.times import fold_times
from bot.understanding.words.tokens import read_tokens

_WEEKDAY = r"(?:mon|tues|wednes|thurs|fri|satur|sun)day"
_DAY = (
    rf"(?P<day>the day before yesterday|yesterday|last night|this morning|today|tonight"
    rf"|(?:on )?(?:last )?{_WEEKDAY}|\d{{1,2}} days ago)"
)
_SLOT = rf"(?P<slot>{'|'.join(sorted(SLOT_WORDS, key=len, reverse=True))})"
_SLOT_TOO = _SLOT.replace("?P<slot>", "?:")
_SAME = (
    r"(?:(?:exactly )?(?:the )?same(?: (?:thing|meal|food|again))? (?:as|like)(?: (?:for|at|my|the|on|had))*)"
)
_REST = r"(?:(?:the )?(?:rest|remainder|remains|leftovers?)(?: (?:of|from))+(?: (?:the|my))?)"
_PART = (
    r"(?P<part>(?:(?:a |the other )?half|(?:a |one )?(?:third|quarter)|two thirds|three quarters|[½⅓¼¾]"
    r"|some|all)(?: of| from)?(?: the| my)? )"
)
_END = (
    r"(?= *(?:$|[,.;:!&+\n(]|(?:at|with|and|plus|but|without|minus|for|please|again|today|just|then|\d)\b))"
)
_NAMED = r"(?P<named>(?!thing|meal|again|(?:and|but|with|plus|without|minus) )[a-z][a-z -]{2,30}?)"
_MORE = r"(?P<more>,? (?:and|but|with|plus|without|minus)\b[^.,;!?\n]*)"
_THEN = r"^\W*(?:(?:and|then|i|just|had|ate|finished|drank|having) )*"
_LEFT = r"(?:the )?(?:other|second|remaining) half|the (?:rest|remainder)"
_S = r"['’`]?s"

_PHRASES: tuple[re.Pattern[str], ...] = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        rf"\b(?P<ref>(?P<same>{_SAME}) {_DAY}{_S} (?:{_SLOT}|meal)){_END}",
        rf"\b(?P<ref>(?P<rest>{_REST}) {_DAY}{_S} (?:{_SLOT}|meal)){_END}",
        rf"(?<!\w){_PART}(?P<ref>{_DAY}{_S} (?:{_SLOT}|meal)){_END}",
        rf"(?<!\w){_PART}?(?P<ref>{_DAY}{_S} (?P<rest>leftovers)){_END}",
        rf"\b(?P<ref>(?P<same>(?:the )?same {_SLOT} (?:as|like)) {_DAY}){_END}",
        rf"\b(?P<ref>(?P<rest>{_REST}) (?:{_SLOT} )?(?:from )?{_DAY}){_END}",
        rf"\b(?P<ref>(?P<same>{_SAME}) {_DAY}){_END}",
        rf"\b(?P<ref>(?P<same>{_SAME}) {_SLOT}){_END}",
        rf"\b(?P<ref>(?P<usual>(?:the|my) usual|usual(?= {_SLOT_TOO}))(?: {_SLOT})?){_END}",
        rf"\b(?P<ref>{_SLOT} as (?P<usual>usual|always)){_END}",
        rf"\b(?P<ref>(?P<same>(?:the )?same {_NAMED} (?:as|like)) (?:on )?{_DAY}){_END}",
        rf"\b(?P<ref>(?P<same>the same {_NAMED} again)){_END}",
        rf"^\W*(?:had |having )?(?:the )?(?P<alone>(?P<ref>(?P<same>same {_NAMED}))){_END}",
        rf"^\W*(?P<ref>(?P<usual>(?:the )?(?:same )?as (?:usual|always))){_END}",
        rf"{_THEN}(?P<ref>(?P<rest>{_LEFT}) of (?:the|my|that) {_NAMED}){_END}",
        rf"{_THEN}(?P<ref>(?P<rest>{_LEFT})(?: of (?:it|that))?)(?=\W*$| (?:at|now|just|around)\b)",
        r"^\W*(?:had )?(?P<ref>(?P<again>(?:the )?same(?: (?:thing|meal))?(?: again)?|again"
        r"|(?P<one>another one|one more)|(?:another|one more) (?:one )?of (?:those|these|them|that)"
        r"|same as (?:before|last time)))(?=\W*$| (?:at|now|just|please)\b)",
        rf"^\W*(?:had )?(?P<ref>(?P<again>(?:the )?same(?: (?:thing|meal)| again)+|the same))(?={_MORE})",
    )
)
_CUE = re.compile(
    r"\b(?:same|usual|always|rest|half|again|remain\w*|leftovers?|another|more|yesterday|night|\w+day)\b",
    re.IGNORECASE,
)
_BUT = re.compile(r"\W*(?:but|except|only|without|minus)\b([^.;!?\n]*)", re.IGNORECASE)
LEAST_OF_REST = 0.5
MOST_NAMED = 14
"""So many earlier meals are looked up for one message: two for each day of a week."""
_WITHIN_WORDS = 5
"""So soon behind "the same" a food is named that was had with it: "but with a little honey"."""
_NEAR_WORDS = 20


@dataclass(frozen=True, slots=True)
class _Phrase:
    """A meal as it was named: the words, what stands before them as an amount, the day and the meal."""

    ref: str
    start: int
    end: int
    day: str
    slot: Slot | None
    named: str
    how: str  # "same", "rest", "usual", "again", or "part"
    alone: bool = False  # "same porridge", which may as well be no meal: "same place"
    more: str = ""  # what was had with it, if that is food: not "the same with my husband"


def recall_meals(text: str, context: Context) -> tuple[str, Context, list[str]]:
    """Look up the meals that a message names by an earlier one.

    Return the text without those that are not known, the context in which the others are words, and the
    questions about the former.
    """
    asks: list[str] = []
    words = dict(context.personal.words)
    slots = {name: slot for name, own in words.items() if (slot := _slot_of_name(name, own)) is not None}
    for phrase in islice(_find(text), MOST_NAMED):
        if phrase.more and not _names_food(phrase.more, context):
            continue
        day = _day(phrase, context)
        slot = _slot(phrase, text, context)
        if phrase.named:
            meal = context.personal.recall_named(phrase.named, day if phrase.day else None)
        else:
            meal = context.personal.recall(slot, day)
        several = meal is not None and len(meal.items) > 1 and phrase.how == "again"
        if phrase.alone and (meal is None or not meal.items or several):
            continue  # "same place" is no meal, and "another one" is of one food
        if meal is None or not (meal.items or meal.extras):
            asks.append(_unknown(phrase, slot))
            text = text[: phrase.start] + " " * (phrase.end - phrase.start) + text[phrase.end :]
            continue
        if phrase.how == "rest":
            words_named = set(phrase.named.lower().split())
            of = [i for i in meal.items if words_named & set(i.name.lower().split())] or meal.items
            meal = replace(meal, items=tuple(_as_rest(item) for item in of))
        else:
            whole_name = phrase.how == "usual" or (phrase.how == "same" and not _names_only_which(phrase.ref))
            if whole_name or meal.slot == "drink":
                slots[phrase.ref] = meal.slot
            meal = _but_for(meal, text[phrase.end :])
        words[phrase.ref] = Own("meal", meal)
    if not words:
        return text, context, asks
    return text, replace(context, table=OwnTable(context.table, words, slots)), asks


def _names_food(said: str, context: Context) -> bool:
    """Tell whether one of the first words is that of a food."""
    words = [token.text for token in read_tokens(said) if token.kind != "mark"]
    return any(context.table.starts(words[k:]) for k in range(1, min(len(words), _WITHIN_WORDS + 1)))


def _names_only_which(ref: str) -> bool:
    """Tell whether a meal's name only says which one it is like: "same as breakfast", said at one."""
    return ref.lower().split()[-1] in SLOT_WORDS


def _slot_of_name(name: str, own: Own) -> Slot | None:
    """Return which meal a taught name says it is: by a word in it; a drink is one at any hour."""
    said = (SLOT_WORDS[word] for word in name.split() if word in SLOT_WORDS)
    return next(said, "drink" if own.kind == "meal" and own.meal.slot == "drink" else None)


def _find(text: str) -> Iterator[_Phrase]:
    """Yield the phrases that name an earlier meal, each stretch of text once."""
    taken: list[tuple[int, int]] = []
    if _CUE.search(text) is None:
        return
    for pattern in _PHRASES:
        for match in pattern.finditer(text):
            start, end = match.span()
            if any(start < until and end > since for since, until in taken):
                continue
            taken.append((start, end))
            said = match.groupdict()
            how = next((how for how in ("same", "rest", "usual", "again") if said.get(how)), "part")
            slot = SLOT_WORDS[said["slot"].lower()] if said.get("slot") else None
            named, alone = said.get("named") or "", bool(said.get("alone") or said.get("one"))
            more = said.get("more") or ""
            yield _Phrase(match["ref"], start, end, said.get("day") or "", slot, named, how, alone, more)


def _day(phrase: _Phrase, context: Context) -> date | None:
    """Return the local day that a phrase names; today for "same as lunch"."""
    today = context.local_now.date()
    if not phrase.day:
        return today if phrase.how == "same" else None
    moments = [p for p in fold_times(read_tokens(phrase.day)) if isinstance(p, Moment)]
    return next((day for m in moments if (day := day_of(m, today)) is not None), today)


def _slot(phrase: _Phrase, text: str, context: Context) -> Slot | None:
    """Return which meal a phrase means: as it says, as the day says, or as the time of this one says."""
    if phrase.slot is not None or phrase.how == "again":
        return phrase.slot
    if "night" in phrase.day:
        return "dinner"
    if phrase.how not in ("usual", "same"):
        return None
    before, after = text[: phrase.start].split(" "), text[phrase.end :].split(" ")
    rest = " ".join([*before[-_NEAR_WORDS:], "", *after[:_NEAR_WORDS]])
    pieces = fold_slots(fold_times(read_tokens(rest)), context.table)
    named = next((p.slot for p in pieces if isinstance(p, SlotWord)), None)
    moment = next((p for p in pieces if isinstance(p, Moment) and p.has_clock), None)
    at = None if moment is None else resolve(moment, context.now, context.zone).at
    return named or slot_of_hour((at or context.now).astimezone(context.zone).hour)


def _but_for(meal: Meal, behind: str) -> Meal:
    """Leave out what is told anew behind "but": the banana of "same as yesterday but two bananas"."""
    anew = _BUT.match(behind)
    if anew is None:
        return meal
    said = set(make_key(anew[1]).split())
    return replace(meal, items=tuple(i for i in meal.items if not set(make_key(i.name).split()) <= said))


def _as_rest(item: Item) -> Item:
    """Take what was left for as much as was eaten then: nobody said how much that was."""
    low = item.grams_low * LEAST_OF_REST
    return replace(item, stated=False, grams_low=low, assumed="as much as was noted then")


def _unknown(phrase: _Phrase, slot: Slot | None) -> str:
    example = f"say what it was, like “{slot or 'lunch'}: soup and 2 slices rye bread”"
    if phrase.how == "usual":
        return f"I do not know your usual {slot} yet (the same one twice makes it one): {example}."
    if phrase.how == "again":
        return f"There is no meal noted yet to have again: {example}."
    when = f" {phrase.day}" if phrase.day else " today"
    if phrase.named:
        when = f" for{when}" if phrase.day else " yet"
        return f"I have no {phrase.named} noted{when}: {example}."
    return f"I have no {slot or 'meal'} noted for{when}: {example}."
