"""What surrounds a message: when, where, whose, and what was said before."""

from dataclasses import dataclass, field
from datetime import datetime
from zoneinfo import ZoneInfo

from bot.foodtable import FoodTable
from bot.model.entries import Entry
from bot.model.units import GlucoseUnit
from bot.understanding.personal import Personal


@dataclass(frozen=True, slots=True)
class Context:
    """What a message is understood against.

    now: what "now" means for this message (aware); zone: the person's zone
    table: the foods that are known; unit: the person's unit for bare glucose numbers
    last: the entry that a correction would amend (the one logged last, or the one replied to)
    answering: "" or what the bot asked last, "amounts", "time" or "portion rice" (how much rice); a bare
    answer is then a correction
    personal: the words and habits of the person
    """

    now: datetime
    zone: ZoneInfo
    table: FoodTable
    unit: GlucoseUnit = "mmol/L"
    last: Entry | None = None
    answering: str = ""
    personal: Personal = field(default_factory=Personal)

    @property
    def local_now(self) -> datetime:
        """Now on the person's own clock."""
        return self.now.astimezone(self.zone)
