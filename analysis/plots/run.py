"""The run as a calendar: one row a day with what was read, the meals, new sensors and the nights lost."""

from collections.abc import Sequence

from matplotlib.figure import Figure

from analysis.plots.labels import Box
from analysis.plots.rows import SMALL, Rows, latest, write_short
from analysis.plots.style import (
    EDGE,
    HAIRLINE,
    HIGH,
    INK,
    MARGIN_PX,
    PAPER,
    SECOND,
    SOFT_INK,
    WIDTH_PX,
    Sheet,
)
from analysis.plots.text import write_days
from analysis.run import RunDay

SHARE_PX = 116.0
BAR_PX, TRACK_PX, DOT_PX = 20.0, 4.0, 20.0
Days = Sequence[RunDay]


def draw_run(days: Days) -> Figure:
    """Draw a run of days, 1080 px wide, to be read on a phone.

    Parameters
    ----------
    days: one or more, as `analysis.run.describe_run` gives them.

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    drawn = latest(days)
    titles = (name_run(days), tell_run(days))
    keys = _keys(drawn)
    rows = Rows(
        titles,
        [day.day_on for day in drawn],
        (0.0, 1440.0),
        right=SHARE_PX,
        keys=len(keys),
        notes=notes_of(days),
    )
    for k, day in enumerate(drawn):
        _draw_day(rows, k, day)
    for row, parts in enumerate(keys):
        for x, y, mark in rows.write_key(row, parts):
            _draw_mark(rows.sheet, x, y, mark)
    return rows.sheet.figure


def alt_run(days: Days) -> str:
    """Say in words what `draw_run` shows, for those who cannot see it; same parameters."""
    scored, meals = _count_meals(days)
    parts = [f"{tell_run(days)}.", f"{name_run(days)}: {meals} meal{_s(meals)}, {scored} scored."]
    least = min(days, key=lambda day: day.share)
    if least.share < 0.995:
        parts.append(f"Least was read on {write_short(least.day_on)}, {_percent(least.share)}.")
    lost = [write_short(day.day_on) for day in days if day.night_lost]
    if lost:
        parts.append(f"Nights lost: before the morning of {', '.join(lost)}.")
    new = [write_short(day.day_on) for day in days for _ in day.sensors]
    if new:
        parts.append(f"New sensor: {', '.join(new)}.")
    return " ".join([*parts, *(f"{note}" for note in notes_of(days))])


def name_run(days: Days) -> str:
    """Name the run: "Your run, 2 to 15 March"."""
    return f"Your run, {write_days(days[0].day_on, days[-1].day_on)}"


def tell_run(days: Days) -> str:
    """Say how complete a run is: "83 % of it was read, 2 nights are lost"."""
    share = sum(day.share for day in days) / len(days)
    lost = sum(day.night_lost for day in days)
    nights = "no night is lost" if not lost else f"{lost} night{_s(lost)} {'is' if lost == 1 else 'are'} lost"
    return f"{_percent(share)} of {len(days)} day{_s(len(days))} was read, {nights}"


def notes_of(days: Days) -> list[str]:
    """Say which days are drawn where not all are."""
    more = len(days) - len(latest(days))
    return [f"The latest {len(latest(days))} of {len(days)} days."] if more else []


def _percent(share: float) -> str:
    """Write a share; what is not all is not called all.

    >>> _percent(0.996), _percent(1.0), _percent(0.0)
    ('99 %', '100 %', '0 %')
    """
    return f"{min(round(100 * share), 99) if share < 1 else 100} %"


def _s(n: int) -> str:
    return "" if n == 1 else "s"


def _count_meals(days: Days) -> tuple[int, int]:
    every = [scored for day in days for _, scored in day.meals]
    return sum(every), len(every)


def _keys(days: Days) -> list[list[tuple[str, str]]]:
    """Return what is explained, two lines at most, of the marks that are there."""
    first, second = [("read", "read")], []
    if any(scored for day in days for _, scored in day.meals):
        first.append(("scored", "meal scored"))
    if any(not scored for day in days for _, scored in day.meals):
        first.append(("unscored", "meal without a score"))
    if any(day.sensors for day in days):
        second.append(("sensor", "new sensor"))
    if any(day.night_lost for day in days):
        second.append(("lost", "night lost"))
    return [first, second] if second else [first]


def _draw_day(rows: Rows, k: int, day: RunDay) -> None:
    y = rows.middle(k)
    rows.sheet.line((rows.left, y), (rows.right, y), HAIRLINE, TRACK_PX).set_zorder(0.6)
    for start, end in day.covered:
        rows.bar(k, start, end, EDGE, BAR_PX)
    if day.night_lost:
        left, right = rows.across(day.night[0]), rows.across(day.night[1])
        _draw_lost(rows.sheet, left, right, y)
    for minute in day.sensors:
        _draw_mark(rows.sheet, rows.across(minute), y, "sensor")
    for minute, scored in day.meals:
        _draw_mark(rows.sheet, rows.across(minute), y, "scored" if scored else "unscored")
    x = WIDTH_PX - MARGIN_PX
    rows.sheet.write(x, y + SMALL * 0.33, _percent(day.share), SMALL, SOFT_INK, side="right")


def _draw_lost(sheet: Sheet, left: float, right: float, y: float) -> None:
    line = sheet.line((left, y), (right, y), HIGH, 8)
    line.set_linestyle((0, (1.2, 0.8)))
    line.set_zorder(2)


def _draw_mark(sheet: Sheet, x: float, y: float, mark: str) -> None:
    """Draw a mark of the calendar or of its key, around a point (px)."""
    if mark == "read":
        sheet.bar(Box(x - 24, y - BAR_PX / 2, 44, BAR_PX), EDGE)
    elif mark == "lost":
        _draw_lost(sheet, x - 24, x + 20, y)
    elif mark == "sensor":
        sheet.line((x, y - 22), (x, y + 22), PAPER, 14).set_zorder(3)
        sheet.line((x, y - 22), (x, y + 22), SECOND, 8).set_zorder(4)
    else:
        sheet.dot(x, y, DOT_PX, INK, hollow=mark == "unscored")
