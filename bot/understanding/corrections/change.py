"""One change at work: the frame, the entry it is tried on, and the foods in its words."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bot.model.entries import Activity, Correction, Extra, Item, Meal, Reading, Slot, Stored
from bot.understanding.context import Context
from bot.understanding.corrections.element import Element
from bot.understanding.corrections.shapes import Frame
from bot.understanding.corrections.targets import Target
from bot.understanding.notes.notes import read_notes

_NTH = re.compile(r"\b(first|second|third|middle|last|latest|newest)\b(?! (?:time|night|week|thing))")


@dataclass(frozen=True, slots=True)
class Change:
    """What an operation works on: the frame, the target, the message's text and what surrounds it."""

    frame: Frame
    target: Target
    text: str
    context: Context

    @property
    def entry(self) -> Stored:
        """The entry as it was."""
        return self.target.noted.entry

    def done(self, what: str, after: Stored | None, items: Sequence[Item] = (), **more: object) -> Correction:
        """Return the correction that puts `after` in the place of the entry, its words without what went."""
        if isinstance(after, Meal) and isinstance(self.entry, Meal):
            left = {item.name for item in after.items}
            for item in self.entry.items:
                words = after.said.replace(item.said, "", 1) if item.said else after.said
                after = after if item.name in left else replace(after, said=words)
        said = " ".join(self.text.split())
        fields = {"target": self.target.noted.id, "after": after, "items": tuple(items), "said": said} | more
        return Correction(what, **fields)  # type: ignore[arg-type]


def fits_order(change: Change) -> bool:
    """Tell whether an entry is the one of its day that is meant by its order: "the second walk"."""
    nth = _NTH.search(change.text.lower())
    entry, zone = change.entry, change.context.zone
    if nth is None or not isinstance(entry, Activity | Reading) or entry.at is None:
        return True
    noted = (n.entry for n in change.context.noted)
    alike = [e for e in noted if isinstance(e, Activity | Reading) and type(e) is type(entry)]
    day = entry.at.astimezone(zone).date()
    times = sorted(e.at for e in alike if e.at is not None and e.at.astimezone(zone).date() == day)
    place = {"middle": len(times) // 2, "first": 0, "second": 1, "third": 2}.get(nth[1], len(times) - 1)
    return len(times) < 2 or (place < len(times) and times[place] == entry.at)


def words_of(elements: Sequence[Element], text: str) -> str:
    """Return the words from the first element to the last."""
    return text[elements[0].start : elements[-1].end] if elements else ""


def items_of(text: str, context: Context) -> list[Item]:
    """Return the foods in some words, as a note would have them."""
    return [item for meal in _meals_of(text, context) for item in meal.items]


def extras_of(text: str, context: Context) -> list[Extra]:
    """Return what is taken beside food in some words: a spoon of vinegar."""
    return [extra for meal in _meals_of(text, context) for extra in meal.extras]


def slot_beside(text: str, context: Context) -> Slot:
    """Return what a drink is called once the foods in some words are had with it."""
    return next((meal.slot for meal in _meals_of(text, context)), "drink")


def _meals_of(text: str, context: Context) -> list[Meal]:
    if text not in context.meals_read:
        found = read_notes(text, context).entries
        context.meals_read[text] = [entry for entry in found if isinstance(entry, Meal)]
    return context.meals_read[text]
