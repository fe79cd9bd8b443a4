"""Log entries in words: what was noted, what I guessed, what changed."""

import re
from datetime import datetime, tzinfo

from bot.language.texts import later, say, write_number
from bot.model.entries import (
    Activity,
    Feeling,
    Item,
    Meal,
    Nutrients,
    Reading,
    Sensor,
    Skipped,
    Sleep,
    Stored,
    Sync,
)
from bot.model.naming import join
from bot.model.units import GlucoseUnit
from bot.reply import numbers
from bot.reply.numbers import HOURS_FROM_MIN

PLACE = re.compile(
    r"\b(left|right)?\s*(upper |lower )?(arm|thigh|leg|belly|stomach|hip|buttock|chest|calf|side)\b"
    r"|\b(my|upper|lower) back\b"
)


MATTERS_G = 15.0
"""Grams of carbohydrate within which a guess needs no words."""
SURE = 0.95
"""Of a word that is spelt almost as a food one is less sure."""
_BY_THE_MINUTE = frozenset(
    [later("walk"), later("run"), later("ride"), later("swim"), later("hike"), "jog", "workout", "climb"]
)
"""Movements that one says a number of minutes before: a 10-minute walk."""
SLOTS = (later("breakfast"), later("lunch"), later("dinner"), later("snack"), later("drink"))
"""What a meal is called."""
_ONE_IS = re.compile(r"1 (?P<what>.+) = (?P<grams>.+)")


def noted(entry: Stored, *, zone: tzinfo, unit: GlucoseUnit, now: datetime) -> str:
    """Say that an entry was stored, as it was understood."""
    if isinstance(entry, Meal):
        return _noted_meal(entry, zone, now)
    if isinstance(entry, Sensor) and entry.what == "started":
        return say(
            "Noted: {what}. Its readings can be off in the first 24 hours.",
            what=described(entry, zone=zone, unit=unit, now=now),
        )
    if isinstance(entry, Skipped):
        return say(
            "Noted: {what}; on other days I count it as before.",
            what=described(entry, zone=zone, unit=unit, now=now),
        )
    return say("Noted: {what}.", what=described(entry, zone=zone, unit=unit, now=now))


def described(entry: Stored, *, zone: tzinfo, unit: GlucoseUnit, now: datetime) -> str:
    """Put an entry that is no meal in a few words, with its time: a 10-minute walk from 12:40."""
    if isinstance(entry, Sleep):
        return _sleep(entry, zone)
    assert not isinstance(entry, Meal)
    match entry:
        case Activity():
            return _moved(entry, zone, now)
        case Reading():
            what = numbers.glucose_with_unit(entry.mmol, unit)
        case Sync():
            what = say("synced")
        case Sensor(what="started"):
            place = place_of(entry)
            what = say("sensor on your {place}", place=place) if place else say("sensor on")
        case Sensor():
            what = say("sensor off")
        case Skipped():
            what = say("no {what}", what=entry.what)
        case _:
            what = entry.what
    return what if entry.at is None else f"{what} {at(entry.at, zone, now)}"


def _moved(entry: Activity, zone: tzinfo, now: datetime) -> str:
    what = say(entry.what)
    if entry.minutes is not None and entry.what in _BY_THE_MINUTE and entry.minutes < HOURS_FROM_MIN:
        minutes = f"{entry.minutes:.0f}"
        article = "an" if minutes.startswith("8") or minutes in ("11", "18") else "a"
        what = say("{article} {minutes}-minute {what}", article=article, minutes=minutes, what=what)
    elif entry.minutes is not None:
        what = say("{what}, {length}", what=what, length=numbers.minutes(entry.minutes))
    if entry.at is None:
        return what
    when = numbers.day_and_clock(entry.at, zone, now)
    if entry.timed == "slot":
        return say("{what} from {when} (my guess)", what=what, when=when)
    return say("{what} from {when}", what=what, when=when)


def at(instant: datetime, zone: tzinfo, now: datetime) -> str:
    """Word when something was: at 12:40, yesterday 19:00 (“at yesterday” is no English)."""
    said = numbers.day_and_clock(instant, zone, now)
    return say("at {clock}", clock=said) if said[0].isdigit() else said


def place_of(entry: Sensor) -> str:
    """Return where on the body a sensor was put, in the words it was said in; "" when it was not said."""
    found = PLACE.search(entry.said.lower())
    return "" if found is None else " ".join(found[0].removeprefix("my ").split())


def _noted_meal(meal: Meal, zone: tzinfo, now: datetime) -> str:
    lines = [_meal_head(meal, zone, now)]
    if meal.eaten_in_order:
        lines.append(say("Eaten in that order."))
    if any(item.nutrients is not None for item in meal.items):
        lines.append(nutrients(meal.nutrients))
    lines += _guessed(meal.items)
    lines += _say_unknown(meal)
    return "\n".join(line for line in lines if line)


def _meal_head(meal: Meal, zone: tzinfo, now: datetime) -> str:
    slot, foods = say(meal.slot), contents(meal)
    if meal.at is None:
        return say("Noted {meal}: {foods}.", meal=slot, foods=foods)
    when = numbers.day_and_clock(meal.at, zone, now)
    if meal.timed == "slot":
        when = say("{when} (my guess)", when=when)
    return say("Noted {meal}, {when}: {foods}.", meal=slot, when=when, foods=foods)


def _say_unknown(meal: Meal) -> list[str]:
    unknown = [item.name for item in meal.items if item.food is None]
    if not unknown:
        return []
    names = join([f"“{name}”" for name in unknown])
    return [
        say(
            "I don't know {names} yet, so I keep the name without nutrients. Teach me {how}; if it was "
            "no food, press Undo.",
            names=names,
            how=teach_like(unknown[0]),
        )
    ]


def teach_like(name: str) -> str:
    """Say how to teach a food: like “my bar: 60 g, …”."""
    return say("like “my {name}: 60 g, 21 g carbs, 15 g protein, 9 g fat”", name=name)


def _guessed(items: tuple[Item, ...]) -> list[str]:
    """Own up to what was taken for granted of foods."""
    said = [_name_guess(item) for item in items if item.assumed]
    return [say("My guess: {guesses}.", guesses="; ".join(said))] if said else []


def _name_guess(item: Item) -> str:
    """Word the guesses of one food, with its name unless they hold it: “rye bread, 25 g a slice”."""
    parts = [_word_guess(part, item) for part in item.assumed.split("; ")]
    said = ", ".join(parts)
    if item.name.lower().split()[-1] in said.lower():
        return said
    if len(parts[0].split()) == 1 and not parts[0][0].isdigit():
        return f"{parts[0]} {item.name}" + "".join(f", {part}" for part in parts[1:])
    return f"{item.name}, {said}"


def _word_guess(part: str, item: Item) -> str:
    """Word one guess; what one piece weighs as people say it: 25 g a slice, an apple is 182 g."""
    one = _ONE_IS.fullmatch(part)
    if one is None:
        return part
    weight, piece = write_number(one["grams"]), one["what"]
    article = "an" if piece[0] in "aeiou" else "a"
    if item.name.lower().split()[-1] in piece.lower():
        return say("{article} {piece} is {weight}", article=article, piece=piece, weight=weight)
    return say("{weight} {article} {piece}", weight=weight, article=article, piece=piece)


def contents(meal: Meal) -> str:
    """List a meal's foods with their amounts: oats 60 g, milk 206 g."""
    extras = [e.name if e.grams is None else f"{e.name} {numbers.grams(e.grams)}" for e in meal.extras]
    return ", ".join([_amount(item) for item in meal.items] + extras)


def _amount(item: Item) -> str:
    return f"{item.name} {numbers.grams(item.grams)}" if item.grams > 0 else item.name


def nutrients(total: Nutrients) -> str:
    """Word a meal's nutrients in one sentence; what is not known is left out."""
    held = held_in(total)
    return say("About {nutrients}.", nutrients=held) if held else ""


def held_in(total: Nutrients) -> str:
    """List a meal's nutrients: 59 g carbohydrate, 3 g fibre."""
    parts = [
        (total.carbs_g, say("g carbohydrate")),
        (total.fibre_g, say("g fibre")),
        (total.protein_g, say("g protein")),
        (total.fat_g, say("g fat")),
        (total.energy_kcal, "kcal"),
    ]
    return ", ".join(f"{value:.0f} {name}" for value, name in parts if value is not None)


def changed(before: Stored, after: Stored, *, zone: tzinfo, unit: GlucoseUnit, now: datetime) -> str:
    """Say what an amendment changed, as it is now and as it was."""
    if not (isinstance(before, Meal) and isinstance(after, Meal)):
        old, new = (
            e.slot if isinstance(e, Meal) else described(e, zone=zone, unit=unit, now=now)
            for e in (before, after)
        )
        if old == new:
            return say("That changes nothing: it stands as {what}.", what=new)
        return say("Changed to {new}; it was {old}.", new=new, old=old)
    parts = _item_changes(before.items, after.items) + _extra_changes(before, after)
    if after.eaten_in_order and not parts and before != after:
        parts = [say("{food} first", food=after.items[0].name)]
    moved = _moved_in_time(before, after, zone, now)
    slot = say(after.slot)
    if before.slot != after.slot and not parts:
        old, new = (_slot_and_time(meal, zone, now) for meal in (before, after))
        return capital(say("{old} is now {new}.", old=old, new=new))
    if before.slot != after.slot:
        parts.append(say("{meal} now, not {other}", meal=slot, other=say(before.slot)))
    if not parts and not moved:
        return say("That changes nothing. {noted}", noted=noted(after, zone=zone, unit=unit, now=now))
    if not parts:
        return capital(say("{meal} moved {times}.", meal=slot, times=moved))
    if moved:
        parts.append(say("moved {times}", times=moved))
    lines = [capital(f"{_slot_and_time(after, zone, now)}: {'; '.join(parts)}.")]
    if after.items and set(before.items) != set(after.items):  # not where they only stand in another order
        held = held_in(after.nutrients)
        lines += [say("Now {nutrients}.", nutrients=held)] if held else []
        lines += _guessed(tuple(item for item in after.items if item not in before.items))
    return "\n".join(lines)


def _slot_and_time(meal: Meal, zone: tzinfo, now: datetime) -> str:
    slot = say(meal.slot)
    return slot if meal.at is None else f"{slot} {numbers.day_and_clock(meal.at, zone, now)}"


def capital(text: str) -> str:
    """Begin a sentence with a capital."""
    return text[:1].upper() + text[1:]


def _moved_in_time(before: Meal, after: Meal, zone: tzinfo, now: datetime) -> str:
    """Word from when to when a meal moved: from 04:20 to 04:15; "" where it did not."""
    if before.at == after.at or before.at is None or after.at is None:
        return ""
    old, new = (numbers.day_and_clock(e, zone, now) for e in (before.at, after.at))
    return say("from {old} to {new}", old=old, new=new)


def _item_changes(before: tuple[Item, ...], after: tuple[Item, ...]) -> list[str]:
    replaced = [(b, a) for b, a in zip(before, after, strict=False) if b.name != a.name]
    if len(before) == len(after) and len(replaced) == 1:
        old_one, new_one = (_amount(item) for item in replaced[0])
        return [say("{new} instead of {old}", new=new_one, old=old_one)]
    come, gone = list(after), list[Item]()
    for item in before:  # a food may stand twice: milk in the cereal, milk in the coffee
        if item in come:
            come.remove(item)
        else:
            gone.append(item)
    old, new = {item.name: item for item in gone}, {item.name for item in come}
    parts = [say("{food} removed", food=name) for name in old if name not in new]
    for item in come:
        was, name = old.pop(item.name, None), item.name
        if was is None:
            parts.append(say("{food} added", food=_amount(item)))
        elif item.grams != was.grams:
            amounts = (_weight(item), _weight(was))
            parts.append(say("{food} {new} instead of {old}", food=name, new=amounts[0], old=amounts[1]))
        elif (item.food is None) != (was.food is None):
            known = say("{food} with its nutrients", food=name)
            parts.append(say("{food} without nutrients", food=name) if item.food is None else known)
    return parts


def _extra_changes(before: Meal, after: Meal) -> list[str]:
    old, new = ({e.name for e in meal.extras} for meal in (before, after))
    gone = [say("{food} removed", food=name) for name in sorted(old - new)]
    come = [say("{food} added", food=name) for name in sorted(new - old)]
    if before.extras != after.extras and not gone and not come:
        return [say("another amount of {food}", food=join(sorted(new)))]
    return gone + come


def _weight(item: Item) -> str:
    return numbers.grams(item.grams) if item.grams > 0 else say("no amount")


def _sleep(entry: Sleep, zone: tzinfo) -> str:
    if entry.from_at is not None and entry.to_at is not None:
        start, end = numbers.clock(entry.from_at, zone), numbers.clock(entry.to_at, zone)
        return say("slept {start} to {end}", start=start, end=end)
    if entry.from_at is not None:
        return say("to bed at {clock}", clock=numbers.clock(entry.from_at, zone))
    if entry.to_at is not None:
        return say("woke at {clock}", clock=numbers.clock(entry.to_at, zone))
    return say("slept")


def noted_briefly(entry: Stored, *, zone: tzinfo, unit: GlucoseUnit, now: datetime) -> str:
    """Say that an entry was stored in one line; of what was guessed only what is uncertain and matters."""
    if not isinstance(entry, Meal):
        return noted(entry, zone=zone, unit=unit, now=now)
    when = "" if entry.at is None else numbers.day_and_clock(entry.at, zone, now)
    if entry.timed == "slot":
        when = say("{when} (my guess)", when=when)
    values = {"meal": say(entry.slot).capitalize(), "when": when, "foods": contents(entry)}
    carbs = entry.nutrients.carbs_g
    if carbs is None:
        lines = [say("{meal}, {when}: {foods}.", **values)]
    else:
        held = f"{carbs:.0f}"
        lines = [say("{meal}, {when}: {foods}; {carbs} g carbohydrate.", carbs=held, **values)]
    if entry.eaten_in_order:
        lines.append(say("Eaten in that order."))
    lines += _guessed(tuple(item for item in entry.items if not _is_sure(item)))
    return "\n".join([*lines, *_say_unknown(entry)])


def is_exact(entry: Stored) -> bool:
    """Tell whether an entry says all that is stored of it, so that nothing needs saying back."""
    match entry:
        case Meal():
            known = all(item.stated and item.food is not None and _is_sure(item) for item in entry.items)
            return known and entry.timed != "slot" and not entry.eaten_in_order and bool(entry.items)
        case Activity():
            return entry.minutes is not None and entry.timed != "slot"
        case Reading() | Feeling() | Sync():
            return True
        case _:
            return False


def names_all(text: str, meal: Meal) -> bool:
    """Tell whether a message names all foods of a note itself, rather than an earlier meal."""
    said = text.lower()
    return all(item.said.lower() in said for item in meal.items)


def _is_sure(item: Item) -> bool:
    """Tell whether a food is the one that was said, in an amount that cannot be far off."""
    carbs = None if item.nutrients is None else item.nutrients.carbs_g
    spread = (item.grams_high - item.grams_low) / item.grams if item.grams else 0.0
    return item.sure >= SURE and "counted as" not in item.assumed and (carbs or 0.0) * spread <= MATTERS_G
