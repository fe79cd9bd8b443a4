"""When one eats: a dot for each occasion by the clock, one row a day, from the first bite to the last."""

from matplotlib.figure import Figure

from analysis.day_names import name_day
from analysis.eating import DAY_STARTS_MIN, Eating
from analysis.plots.rows import Rows, latest
from analysis.plots.style import FAINT, INK, RISE, Sheet
from analysis.plots.text import write_days, write_minute

DOT_PX, LINE_PX = 22.0, 6.0
NEED_DAYS = 3
"""From so many days on the usual first and last bite are drawn."""


def draw_eating(eating: Eating) -> Figure:
    """Draw the times of eating, 1080 px wide, to be read on a phone.

    Parameters
    ----------
    eating: as `analysis.eating.describe_eating` gives it, one day or more.

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    drawn = latest(eating.days)
    usual = _usual(eating)
    rows = Rows(
        (name_eating(eating), tell_eating(eating)),
        [day.day_on for day in drawn],
        (DAY_STARTS_MIN, DAY_STARTS_MIN + 1440.0),
        keys=2 if usual else 1,
        notes=notes_of(eating),
    )
    for minute in usual:
        x = rows.across(minute)
        line = rows.sheet.line((x, rows.top), (x, rows.bottom), RISE, 4)
        line.set_linestyle((0, (2, 1.5)))
        line.set_zorder(1)
    for k, day in enumerate(drawn):
        y = rows.middle(k)
        if day.occasions > 1:
            first, last = rows.across(day.first_min), rows.across(day.last_min)
            rows.sheet.line((first, y), (last, y), FAINT, LINE_PX).set_zorder(2)
        for minute in day.bites_min:
            rows.sheet.dot(rows.across(minute), y, DOT_PX, INK)
    for x, y, mark in rows.write_key(0, [("eaten", "eaten"), ("window", "first to last bite")]):
        _draw_mark(rows.sheet, x, y, mark)
    for x, y, mark in rows.write_key(1, [("usual", "usual first and last bite (medians)")] if usual else []):
        _draw_mark(rows.sheet, x, y, mark)
    return rows.sheet.figure


def alt_eating(eating: Eating) -> str:
    """Say in words what `draw_eating` shows, for those who cannot see it; same parameters."""
    first = min(eating.days, key=lambda day: day.first_min)
    last = max(eating.days, key=lambda day: day.last_min)
    n = sum(day.occasions for day in eating.days)
    return " ".join(
        [
            f"{tell_eating(eating)}.",
            f"{name_eating(eating)}: {n} time{'' if n == 1 else 's'} of eating; the earliest first bite at "
            f"{_clock(first.first_min)} on {name_day(first.day_on, '%B')}, the latest last one at "
            f"{_clock(last.last_min)} on {name_day(last.day_on, '%B')}.",
            *notes_of(eating),
        ]
    )


def name_eating(eating: Eating) -> str:
    """Name the picture: "When you eat, 2 to 15 March"."""
    return f"When you eat, {write_days(eating.days[0].day_on, eating.days[-1].day_on)}"


def tell_eating(eating: Eating) -> str:
    """Say how long there is between meals, and the usual first and last bite."""
    usual = _usual(eating)
    if not usual:
        n = len(eating.days)
        return f"{n} day{'' if n == 1 else 's'} so far; what is usual takes {NEED_DAYS}"
    between = "" if eating.between_h is None else f", {_hours(eating.between_h)} between meals"
    return f"Usually {_clock(usual[0])} to {_clock(usual[1])}{between}"


def notes_of(eating: Eating) -> list[str]:
    """Say which days are drawn where not all are."""
    more = len(eating.days) - len(latest(eating.days))
    return [f"The latest {len(latest(eating.days))} of {len(eating.days)} days with meals."] if more else []


def _usual(eating: Eating) -> tuple[float, ...]:
    if len(eating.days) < NEED_DAYS or eating.first_min is None or eating.last_min is None:
        return ()
    return eating.first_min, eating.last_min


def _clock(minute: float) -> str:
    return write_minute(round(minute) % (24 * 60))


def _hours(hours: float) -> str:
    """Write a length of time.

    >>> _hours(4.5), _hours(0.75), _hours(5.0)
    ('4 h 30 min', '45 min', '5 h')
    """
    whole = round(60 * hours)
    parts = [
        f"{whole // 60} h" if whole >= 60 else "",
        f"{whole % 60} min" if whole % 60 or not whole else "",
    ]
    return " ".join(part for part in parts if part)


def _draw_mark(sheet: Sheet, x: float, y: float, mark: str) -> None:
    if mark == "eaten":
        sheet.dot(x, y, DOT_PX, INK)
    elif mark == "window":
        sheet.line((x - 20, y), (x + 18, y), FAINT, LINE_PX)
    else:
        sheet.line((x, y - 22), (x, y + 22), RISE, 4).set_linestyle((0, (2, 1.5)))
