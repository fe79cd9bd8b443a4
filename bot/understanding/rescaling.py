"""Corrections by measure: so much of it, so much earlier, so many minutes."""

import re
from dataclasses import replace
from datetime import datetime, timedelta

from bot.model.entries import Activity, Correction, Item, Meal, Reading, Understood
from bot.understanding.context import Context
from bot.understanding.instants import is_ahead
from bot.understanding.lengths import read_length
from bot.understanding.movements import find_movement
from bot.understanding.tokens import read_tokens

_OPENING = (
    r"(?:no|nope|nah|sorry|oops|wait|ah|oh|never mind|actually|only|just|it was|that was|it'?s|make (?:it"
    r"|that)|"
    r"(?:the |my )?(?:portion|amount|plate|helping|serving) was|(?:i )?(?:only )?(?:had|ate|managed"
    r"|drank)|rather|"
    r"meant|i meant|more like|closer to|nearer(?: to)?|about)[ ,:]+"
)
_SHARES = {
    "half": 0.5,
    "a half": 0.5,
    "one half": 0.5,
    "a third": 1 / 3,
    "one third": 1 / 3,
    "a quarter": 0.25,
    "two thirds": 2 / 3,
    "three quarters": 0.75,
    "double": 2.0,
    "twice": 2.0,
    "twice as much": 2.0,
    "triple": 3.0,
}
_SCALE = re.compile(
    rf"(?:{_OPENING})*(?:only |just )?({'|'.join(sorted(_SHARES, key=len, reverse=True))})"
    r"(?: (?:of )?(?:it|that|this|them|the (?:lot|portion|plate|amount|whole thing)|all of it|everything))?"
    r"(?:(?: of)? (?:the|that|my) (.+?))?(?: actually| sorry| in the end)?"
)
_SHIFT = re.compile(
    rf"(?:{_OPENING})*(.+?) (earlier|later|before that|after that)"
    r"(?: than (?:i said|i put|i thought|that|noted|i noted|i wrote|i told you))?(?: actually| sorry)?"
)
_MINUTES = re.compile(
    rf"(?:{_OPENING})*(?:(?:the|my) )?(?:(.+?) (?:was|took|lasted|were) )?"
    r"(?:actually |only |just |about |more like |for |really )*(.+?)(?:,? not (.+))?(?: actually| sorry)?"
)
READING_AGAIN = "Say the reading again with its time, like “5.8 at 9:10”: the last one said counts."
_READING = re.compile(rf"(?:{_OPENING})+(\d{{1,3}}(?:[.,]\d)?)(?: mmol/l| mg/dl| mmol)?(?:,? not .+)?")


def read_rescaling(plain: str, said: str, context: Context) -> Understood | None:
    """Read "only half of it", "an hour earlier", "the walk was 30 min"; None when it is something else."""
    return (
        _read_left(plain, said, context)
        or _read_scale(plain, said, context)
        or _read_shift(plain, said, context)
        or _read_minutes(plain, said, context)
        or _read_value(plain, context)
    )


def _read_scale(plain: str, said: str, context: Context) -> Understood | None:
    match = _SCALE.fullmatch(plain)
    if match is None or not isinstance(context.last, Meal):
        return None
    items = context.last.items
    if match[2]:
        words = set(match[2].split())
        items = tuple(i for i in items if words & set(f"{i.name} {i.said}".lower().split()))
    if not items:
        return None
    return Understood((Correction("amount", tuple(_scaled(i, _SHARES[match[1]]) for i in items), said=said),))


_LEFT = re.compile(
    r"(?:i )?(?:didn'?t|did not|couldn'?t) (?:finish|eat all(?: of)?|manage)(?: all)? (?:the |my "
    r")?(?P<food>[^,]+?),?"
    rf" (?:i )?(?:only )?(?P<did>left|ate|had|managed) (?:about |maybe |roughly |around "
    rf")?(?P<share>{'|'.join(sorted(_SHARES, key=len, reverse=True))})"
    r"(?: of it)?"
)


_SOME_LEFT = re.compile(
    r"(?:i )?(?:didn'?t|did not|couldn'?t) finish (?:all )?(?:the |my )(?P<food>[a-z ]{3,30})"
)
_LEFT_OF = re.compile(
    r"(?:i )?(?P<did>left|ate|managed) (?:about |maybe |roughly )?"
    rf"(?P<share>{'|'.join(sorted(_SHARES, key=len, reverse=True))})"
    r"(?: of)? (?:the |my )(?P<food>[^,]+)"
)


def _read_left(plain: str, said: str, context: Context) -> Understood | None:
    """Read "didn't finish the rice, left about half"."""
    some = _SOME_LEFT.fullmatch(plain)
    if some is not None and isinstance(context.last, Meal):
        return Understood((), (f"How much of it did you eat? Say it like “half of the {some['food']}”.",))
    match = _LEFT.fullmatch(plain) or _LEFT_OF.fullmatch(plain)
    if match is None or not isinstance(context.last, Meal):
        return None
    share = _SHARES[match["share"]]
    eaten = 1 - share if match["did"] == "left" else share
    words = set(match["food"].split())
    items = [i for i in context.last.items if words & set(f"{i.name} {i.said}".lower().split())]
    return (
        Understood((Correction("amount", tuple(_scaled(i, eaten) for i in items), said=said),))
        if items
        else None
    )


def _scaled(item: Item, factor: float) -> Item:
    return replace(
        item,
        grams=item.grams * factor,
        grams_low=item.grams_low * factor,
        grams_high=item.grams_high * factor,
        stated=True,
        nutrients=None if item.nutrients is None else item.nutrients.scaled(factor),
    )


def _read_shift(plain: str, said: str, context: Context) -> Understood | None:
    match = _SHIFT.fullmatch(plain)
    at = getattr(context.last, "at", None)
    if match is None or not isinstance(at, datetime):
        return None
    minutes = _length(match[1])
    if minutes is None:
        return None
    sign = -1 if match[2] in ("earlier", "before that") else 1
    moved = at + sign * timedelta(minutes=minutes)
    if is_ahead(moved, context.now):
        local = moved.astimezone(context.zone)
        return Understood(
            (), (f"{local:%H:%M} is still to come: when was it? Say it like “it was at 8:15”.",)
        )
    return Understood((Correction("time", at=moved, said=said),))


def _read_minutes(plain: str, said: str, context: Context) -> Understood | None:
    """Read how long a movement lasted: named ("the walk was 30 min"), or the entry that is corrected."""
    match = _MINUTES.fullmatch(plain)
    if match is None:
        return None
    opened = plain != match[2] and re.match(_OPENING, plain) is not None
    words = (match[1] or "").split()
    named = match[1] == "movement" or (len(words) <= 3 and find_movement(words) is not None)
    moving = isinstance(context.last, Activity)
    if not named and not (moving and match[1] in (None, "it", "that") and (opened or match[3] or match[1])):
        return None
    was = context.last.minutes if isinstance(context.last, Activity) else None
    if match[3] and was is not None and re.fullmatch(r"\d+", match[3]) and float(match[3]) != was:
        return None  # "6 not 5": hours
    # "the walk was 30 min" speaks of one that was noted; without any it is itself the note.
    told = match[1] == "movement" or moving or (context.last is not None and plain.startswith("the "))
    minutes = _length(match[2])
    if minutes is None and moving and re.fullmatch(r"\d{1,3}", match[2]):
        minutes = float(match[2])  # "the walk was 40 not 30"
    if minutes is None or not told or not 0 < minutes <= 24 * 60:
        return None
    return Understood((Correction("amount", minutes=minutes, said=said),))


def _read_value(plain: str, context: Context) -> Understood | None:
    if isinstance(context.last, Reading) and _READING.fullmatch(plain):
        return Understood((), (READING_AGAIN,))
    return None


def _length(text: str) -> float | None:
    tokens = read_tokens(text)
    found = read_length(tokens, 0) if tokens else None
    return found[0] if found is not None and found[1] == len(tokens) else None
