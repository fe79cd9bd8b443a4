"""What a correction makes of an entry. Pure: the entry as it was goes in, the entry as it is comes out."""

from dataclasses import replace

from bot.model.entries import Activity, Correction, Feeling, Item, Meal, Sensor, Skipped, Stored, Sync


class CannotAmend(Exception):
    """The correction does not fit the entry; its text says why and how to say it."""


def amend(entry: Stored, correction: Correction) -> Stored:
    """Return `entry` with `correction` applied; raises CannotAmend with a sentence for the person."""
    if correction.what == "time":
        return _at(entry, correction)
    if correction.minutes is not None:
        if not isinstance(entry, Activity):
            raise CannotAmend("That would change how long you moved, but no movement was noted before it.")
        return replace(entry, minutes=correction.minutes)
    if not isinstance(entry, Meal):
        raise CannotAmend("That would change a meal, but no meal was noted before it.")
    if correction.what == "name":
        return replace(entry, called=correction.name)
    if correction.what == "slot":
        return entry if correction.slot is None else replace(entry, slot=correction.slot)
    if correction.what == "add":
        return replace(entry, items=entry.items + correction.items)
    items = list(entry.items)
    for wanted in correction.items:
        place = _find(items, wanted)
        if place is None:
            raise CannotAmend(_not_there(entry, correction, wanted))
        if correction.what == "remove":
            del items[place]
        else:
            items[place] = _with_amount(items[place], wanted)
    if not items and not entry.extras:
        raise CannotAmend("That would leave nothing on the plate: say “undo” to take the meal back.")
    return replace(entry, items=tuple(items))


def _at(entry: Stored, correction: Correction) -> Stored:
    if correction.at is None:
        raise CannotAmend("I did not get the time: say it like “it was at 8:15”.")
    if isinstance(entry, Meal):
        return replace(entry, at=correction.at, timed="stated", slot=correction.slot or entry.slot)
    if isinstance(entry, Activity):
        return replace(entry, at=correction.at, timed="stated")
    if isinstance(entry, Sync | Sensor | Feeling | Skipped):
        return replace(entry, at=correction.at)
    raise CannotAmend("I cannot move that: say “undo”, then say it again with its time.")


def _find(items: list[Item], wanted: Item) -> int | None:
    """Find the item that `wanted` names: the same food, or one that shares its last word ("rice")."""
    words = set(wanted.name.lower().split())
    same = [i for i, item in enumerate(items) if item.name.lower() == wanted.name.lower()]
    shared = [i for i, item in enumerate(items) if words & set(item.name.lower().split())]
    return next(iter(same + shared), None)


def _with_amount(old: Item, new: Item) -> Item:
    if not new.stated:
        # Another food in the same amount ("it was brown rice"): what was said about the amount still holds.
        factor = old.grams / new.grams if new.grams else 1.0
        scaled = None if new.nutrients is None else new.nutrients.scaled(factor)
        kept = replace(new, grams=old.grams, grams_low=old.grams_low, grams_high=old.grams_high)
        return replace(kept, nutrients=scaled, stated=old.stated, assumed=_assumed(old, new))
    if old.nutrients is None or not old.grams or new.name == old.name or not _is_vaguer(new, old):
        return new
    return replace(
        old,
        said=new.said,
        grams=new.grams,
        grams_low=new.grams_low,
        grams_high=new.grams_high,
        stated=True,
        assumed=new.assumed,
        nutrients=old.nutrients.scaled(new.grams / old.grams),
    )


def _is_vaguer(new: Item, old: Item) -> bool:
    """Tell whether a name says nothing that the old one leaves out: "rice" after "brown rice"."""
    return set(new.name.lower().split()) - {"cooked"} <= set(old.name.lower().split())


def _assumed(old: Item, new: Item) -> str:
    """Return what is assumed of the new food ("cooked") and of the old amount ("1 slice = 32 g")."""
    of_food = [part for part in new.assumed.split("; ") if part and "=" not in part]
    of_amount = [part for part in old.assumed.split("; ") if "=" in part or "usual" in part]
    return "; ".join(of_food + of_amount)


def _not_there(meal: Meal, correction: Correction, wanted: Item) -> str:
    plate = ", ".join(item.name for item in meal.items)
    remedy = "" if correction.what == "remove" else f" Say “add {wanted.said or wanted.name}” to add it."
    return f"There is no {wanted.name} in that {meal.slot} ({plate}).{remedy}"
