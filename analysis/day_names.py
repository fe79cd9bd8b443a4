"""Days as they are named; those of a record whose dates are not to be told have numbers.

Such a record is laid into one of the years before `NUMBERED_BEFORE`, where nobody wore a sensor, and begins
on New Year's Day: the day of the year is then its number. Which of these years tells only on which day of
the week it began (`begin_numbered`), so that weekends stay weekends.
"""

from datetime import date

NUMBERED_BEFORE = 1800
_YEARS = range(1700, 1712)
"""New Year's Day falls on every day of the week in these."""


def is_numbered(day: date) -> bool:
    """Tell whether a day belongs to a record whose days have numbers."""
    return day.year < NUMBERED_BEFORE


def begin_numbered(first: date) -> date:
    """Return the day that stands for the first one of a record whose dates are not to be told.

    >>> begin_numbered(date(2026, 3, 2)).weekday() == date(2026, 3, 2).weekday()
    True
    """
    starts = (date(year, 1, 1) for year in _YEARS)
    return next(start for start in starts if start.weekday() == first.weekday())


def name_day(day: date, month: str = "%b", *, weekday: bool = False) -> str:
    """Name a day; month: how it is written ("%b" short, "%B" long).

    >>> name_day(date(2026, 3, 2)), name_day(date(2026, 3, 2), "%B", weekday=True)
    ('2 Mar', 'Mon 2 March')
    >>> name_day(begin_numbered(date(2026, 3, 2)).replace(day=12), weekday=True)
    'Day 12'
    """
    if is_numbered(day):
        return f"Day {day.timetuple().tm_yday}"
    return f"{f'{day:%a} ' if weekday else ''}{day.day} {day:{month}}"


def name_span(first: date, last: date) -> str:
    """Name the days of a record whose days have numbers.

    >>> start = begin_numbered(date(2026, 3, 2))
    >>> name_span(start, start.replace(day=28)), name_span(start, start)
    ('days 1 to 28', 'day 1')
    """
    numbers = [day.timetuple().tm_yday for day in (first, last)]
    return f"day {numbers[0]}" if first == last else f"days {numbers[0]} to {numbers[1]}"
