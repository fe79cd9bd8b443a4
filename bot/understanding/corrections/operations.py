"""What a change makes of an entry. Pure: the entry as it was goes in, the entry as it becomes comes out.

Each operation returns a `Correction` (with `target` and `after`), a sentence where it cannot be done as said,
or None where it makes no sense of this entry. `after` None means that the entry goes.
"""

from collections.abc import Callable
from dataclasses import dataclass

from bot.model.entries import (
    Activity,
    Correction,
    Meal,
    Reading,
    Stored,
)
from bot.understanding.corrections.amounts_changed import amount, rescale
from bot.understanding.corrections.change import Change
from bot.understanding.corrections.moving import change_kind, rename_slot, retime, set_value
from bot.understanding.corrections.plates import add, remove, swap
from bot.understanding.corrections.whole_plates import fewer, keep, order, renew, undo


def of_meal(entry: Stored) -> bool:
    """Tell whether an entry is a meal."""
    return isinstance(entry, Meal)


def _any(entry: Stored) -> bool:
    return True


@dataclass(frozen=True, slots=True)
class Operation:
    """How a frame's operation is done, which part names the foods it works on, and which entries it fits."""

    do: Callable[[Change], Correction | str | None]
    items: tuple[str, ...]
    fits: Callable[[Stored], bool]


def _has_length(entry: Stored) -> bool:
    return isinstance(entry, Meal | Activity)


OPERATIONS: dict[str, Operation] = {
    "undo": Operation(undo, (), _any),
    "remove": Operation(remove, ("gone",), of_meal),
    "keep": Operation(keep, ("kept",), of_meal),
    "renew": Operation(renew, (), of_meal),
    "swap": Operation(swap, ("gone",), of_meal),
    "amount": Operation(amount, ("item", "of"), _has_length),
    "scale": Operation(rescale, ("item",), _has_length),
    "less": Operation(fewer, ("item",), of_meal),
    "add": Operation(add, ("to", "more"), of_meal),
    "move": Operation(retime, ("obj",), _any),
    "order": Operation(order, ("first", "then", "last"), of_meal),
    "slot": Operation(rename_slot, ("obj",), of_meal),
    "value": Operation(set_value, (), lambda entry: isinstance(entry, Reading)),
    "kind": Operation(change_kind, (), lambda entry: isinstance(entry, Activity)),
}
