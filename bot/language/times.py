"""How times of day are written: 17:30, or 5:30 pm for who wants a clock of twelve hours.

Which it is, is set once for a turn, with the language (`bot.language.texts.speaking`).
"""

import re
from contextvars import ContextVar
from datetime import datetime, time
from typing import Literal

ClockStyle = Literal["24", "12"]

style: ContextVar[ClockStyle] = ContextVar("style", default="24")
_WRITTEN = re.compile(r"\b(\d\d):(\d\d)\b")


def write_clock(at: datetime | time) -> str:
    """Write the time of day of a local instant."""
    return write_minute(60 * at.hour + at.minute)


def write_minute(minute: float) -> str:
    """Write a minute of the day; 1440 is the day's end.

    >>> write_minute(430), write_minute(1440)
    ('07:10', '24:00')
    """
    hour, rest = divmod(int(minute), 60)
    if style.get() == "24":
        return f"{hour:02d}:{rest:02d}"
    return f"{(hour - 1) % 12 + 1}:{rest:02d} {'am' if hour % 24 < 12 else 'pm'}"


def write_hour(minute: float) -> str:
    """Write a whole hour under an axis: 16:00, 4 pm."""
    return write_minute(minute).replace(":00 ", " ")


def write_span(start: time, end: time) -> str:
    """Write from when to when: 23:00-06:30, 11:00 pm-6:30 am."""
    return f"{write_clock(start)}-{write_clock(end)}"


def rewrite(text: str) -> str:
    """Return a text that holds times of 24 hours with each of them as it is to be written."""
    return _WRITTEN.sub(lambda found: write_minute(60 * int(found[1]) + int(found[2])), text)
