"""Days under each other by the clock: the sheet that the run and the times of eating are drawn on."""

from collections.abc import Sequence
from datetime import date
from typing import TypeVar

from analysis.day_names import name_day
from analysis.plots.style import HAIRLINE, INK, MARGIN_PX, NOTE_PX, SOFT_INK, WIDTH_PX, Sheet
from analysis.plots.text import write_hour

TITLE, HEAD, BODY, SMALL = 62.0, 48.0, 42.0, 38.0
ROW, LEFT = 54.0, 280.0
DAYS_MOST = 31
"""Of more days than this the latest are drawn."""
WEEK_GAP = 14.0
INNER = WIDTH_PX - 2 * MARGIN_PX

Day = TypeVar("Day")


def latest(days: Sequence[Day]) -> Sequence[Day]:
    """Return the days to draw: the latest `DAYS_MOST`."""
    return days[-DAYS_MOST:]


class Rows:
    """A sheet with a title, a line that says the answer, and one row for each day, weeks set apart.

    days: which, in order; x: the minutes of the day shown; right: room kept at the right (px)
    keys: how many lines of explanation `write_key` will write under the rows
    """

    def __init__(
        self,
        titles: tuple[str, str],
        days: Sequence[date],
        x: tuple[float, float],
        *,
        right: float = 0.0,
        keys: int = 1,
        notes: Sequence[str] = (),
    ) -> None:
        ruler = Sheet(1)
        title, said = ruler.wrap(titles[0], INNER, TITLE, 2), ruler.wrap(titles[1], INNER, HEAD, 2)
        said_top = 92 + 70.0 * (len(title) - 1) + 76
        self.top = said_top + 60.0 * (len(said) - 1) + 50
        self.x, self.days = x, days
        self._tops: list[float] = []
        y = self.top
        for k, day in enumerate(days):
            y += WEEK_GAP if k and day.weekday() == 0 else 0.0
            self._tops.append(y)
            y += ROW
        self.bottom = y
        self.key_top = self.bottom + 124
        self.sheet = Sheet(round(self.key_top + 58 * (keys - 1) + 40 + NOTE_PX * len(notes)))
        self.left, self.right = LEFT, WIDTH_PX - MARGIN_PX - right
        for i, row in enumerate(title):
            self.sheet.write(MARGIN_PX, 92 + 70 * i, row, TITLE)
        for i, row in enumerate(said):
            self.sheet.write(MARGIN_PX, said_top + 60 * i, row, HEAD)
        for k, day in enumerate(days):
            self.sheet.write(MARGIN_PX, self.middle(k) + SMALL * 0.33, write_short(day), SMALL, SOFT_INK)
        self._draw_clock()
        self.sheet.write_notes(list(notes), SMALL)

    def middle(self, k: int) -> float:
        """Return the middle of a day's row (px from the top)."""
        return self._tops[k] + ROW / 2

    def across(self, minute: float) -> float:
        """Return where a minute of the day lies (px from the left)."""
        low, high = self.x
        return self.left + (min(max(minute, low), high) - low) / (high - low) * (self.right - self.left)

    def bar(self, k: int, start: float, end: float, color: str, height: float) -> None:
        """Fill a stretch of a day's row, at least 4 px wide."""
        left, right, y = self.across(start), self.across(end), self.middle(k)
        line = self.sheet.line((left, y), (max(right, left + 4.0), y), color, height)
        line.set_solid_capstyle("butt")

    def write_key(self, row: int, parts: Sequence[tuple[str, str]]) -> list[tuple[float, float, str]]:
        """Write what marks mean, side by side; return where each mark belongs (x, y in px) and its name.

        parts: (name of the mark, words)
        """
        places, x, y = [], float(MARGIN_PX), self.key_top + 58 * row
        for mark, words in parts:
            places.append((x + 22, y - SMALL * 0.33, mark))
            self.sheet.write(x + 56, y, words, SMALL, SOFT_INK)
            x += 56 + self.sheet.size_of(words, SMALL)[0] + 44
        return places

    def _draw_clock(self) -> None:
        low, high = self.x
        for minute in range(round(low), round(high) + 1, 360):
            x = self.across(minute)
            self.sheet.line((x, self.top), (x, self.bottom), HAIRLINE, 1.5).set_zorder(0.5)
            words = write_hour(minute if minute == 24 * 60 else minute % (24 * 60))
            half = self.sheet.size_of(words, SMALL)[0] / 2
            at = min(x, WIDTH_PX - 12 - half)
            self.sheet.write(at, self.bottom + SMALL + 8, words, SMALL, SOFT_INK, side="center")
        self.sheet.line((self.left, self.bottom), (self.right, self.bottom), INK, 4)


def write_short(day: date) -> str:
    """Write a day with its weekday.

    >>> write_short(date(2026, 3, 2))
    'Mon 2 Mar'
    """
    return name_day(day, weekday=True)
