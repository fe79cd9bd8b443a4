"""What surrounds a message: when, where, whose, and what was said before."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from bot.foodtable import FoodTable
from bot.model.entries import Entry, Meal, Stored
from bot.model.units import GlucoseUnit
from bot.understanding.personal import Personal


@dataclass(frozen=True, slots=True)
class Noted:
    """A live entry of the diary that a message may change.

    id: how the diary knows it; touched_at: when it was noted or changed last
    """

    id: int
    entry: Stored
    touched_at: datetime


@dataclass(frozen=True)  # no slots: what is derived is kept
class Context:
    """What a message is understood against.

    now: what "now" means for this message (aware); zone: the person's zone
    table: the foods that are known; unit: the person's unit for bare glucose numbers
    log: the live entries of the last days, the one touched last at the end
    pointed: the id of the entry that was answered to or asked about, None where there is none
    last: an entry that stands for the whole log where only one is known
    answering: "" or what the bot asked last, "amounts", "time" or "portion rice" (how much rice); a bare
    answer is then a correction
    personal: the words and habits of the person
    edited: the words are a note said anew, so they change no other one
    """

    now: datetime
    zone: ZoneInfo
    table: FoodTable
    unit: GlucoseUnit = "mmol/L"
    last: Entry | None = None
    answering: str = ""
    personal: Personal = field(default_factory=Personal)
    log: tuple[Noted, ...] = ()
    pointed: int | None = None
    edited: bool = False

    @property
    def local_now(self) -> datetime:
        """Now on the person's own clock."""
        return self.now.astimezone(self.zone)

    @cached_property
    def noted(self) -> tuple[Noted, ...]:
        """The entries that a message may change, newest last."""
        if self.edited:
            return ()
        if self.log or self.last is None or not isinstance(self.last, Stored):
            return self.log
        return (Noted(0, self.last, self.now - timedelta(minutes=5)),)

    def fitting(self, fits: Callable[[Stored], bool]) -> tuple[Noted, ...]:
        """Return the entries that a kind of change fits, newest first."""
        if fits not in self._fitting:
            self._fitting[fits] = tuple(n for n in reversed(self.noted) if fits(n.entry))
        return self._fitting[fits]

    @cached_property
    def _fitting(self) -> dict[Callable[[Stored], bool], tuple[Noted, ...]]:
        return {}

    @cached_property
    def meals_read(self) -> dict[str, list[Meal]]:
        """The meals in the words that were tried on the plates: each is tried on several of them."""
        return {}

    def with_log(self, log: tuple[Noted, ...]) -> "Context":
        """Return the context with another diary; what foods words stand for does not hang on that."""
        changed = replace(self, log=log, last=None)
        vars(changed)["meals_read"] = self.meals_read
        return changed

    @cached_property
    def newest(self) -> Entry | None:
        """The entry that "it" means: the one pointed at, or the meal (else the entry) touched last."""
        if not self.log:
            return self.last
        pointed = next((n.entry for n in self.log if n.id == self.pointed), None)
        meals = [n.entry for n in self.log if isinstance(n.entry, Meal)]
        return pointed or (meals[-1] if meals else self.log[-1].entry)
