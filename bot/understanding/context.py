"""What surrounds a message: when, where, whose, and what was said before."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from bot.entries import Entry
from bot.foodtable import FoodTable
from bot.units import GlucoseUnit


@dataclass(frozen=True, slots=True)
class Context:
    """What a message is understood against.

    now: what "now" means for this message (aware); zone: the person's zone
    table: the foods that are known; unit: the person's unit for bare glucose numbers
    last: the entry that a correction would amend (the one logged last, or the one replied to)
    answering: "" or what the bot asked last, "amounts" or "time"; a bare answer is then a correction
    """

    now: datetime
    zone: ZoneInfo
    table: FoodTable
    unit: GlucoseUnit = "mmol/L"
    last: Entry | None = None
    answering: str = ""

    @property
    def local_now(self) -> datetime:
        """Now on the person's own clock."""
        return self.now.astimezone(self.zone)
