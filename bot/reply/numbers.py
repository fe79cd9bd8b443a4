"""Numbers as people read them: the only place where results are rounded."""

from datetime import date, datetime, tzinfo

from analysis.day_names import is_numbered, name_day
from analysis.units import write_glucose
from bot.language.texts import later, say, write_number
from bot.language.times import write_clock
from bot.model.units import GlucoseUnit, from_mmol

HOURS_FROM_MIN = 120
"""From so many minutes on a duration is worded in hours."""
_DAYS = (later("Mon"), later("Tue"), later("Wed"), later("Thu"), later("Fri"), later("Sat"), later("Sun"))
_MONTHS = (
    *(later("Jan"), later("Feb"), later("Mar"), later("Apr"), later("May"), later("Jun")),
    *(later("Jul"), later("Aug"), later("Sep"), later("Oct"), later("Nov"), later("Dec")),
)


def glucose(mmol: float, unit: GlucoseUnit) -> str:
    """Word a concentration whose unit is clear from the context: 5.4."""
    return write_number(write_glucose(mmol, unit))


def percent(share: float) -> str:
    """Word a share of 0 to 1: 96 %; what is there but rounds to nothing is said to be less than 1 %."""
    if 0 < share < 0.005:
        return say("less than 1 %")
    return say("more than 99 %") if 0.995 <= share < 1 else f"{100 * share:.0f} %"


def glucose_with_unit(mmol: float, unit: GlucoseUnit) -> str:
    """Word a concentration with its unit: 5.4 mmol/L."""
    return f"{glucose(mmol, unit)} {unit}"


def difference(mmol: float, unit: GlucoseUnit) -> str:
    """Word a difference of concentrations whose unit is clear: 0.3."""
    return write_number(f"{from_mmol(mmol, unit):.{1 if unit == 'mmol/L' else 0}f}")


def difference_with_unit(mmol: float, unit: GlucoseUnit) -> str:
    """Word a difference of concentrations with its unit: 0.3 mmol/L."""
    return f"{difference(mmol, unit)} {unit}"


def signed(mmol: float, unit: GlucoseUnit, *, finer: bool = False) -> str:
    """Word a difference with its sign and without its unit: +0.3, -0.1, 0.0; one digit more when `finer`."""
    digits = (1 if unit == "mmol/L" else 0) + finer
    value = round(from_mmol(mmol, unit), digits)
    return write_number(f"{value:+.{digits}f}" if value else f"{0:.{digits}f}")


def points(value: float) -> str:
    """Word a difference of scores with its sign: +14, -3, 0."""
    return f"{round(value):+d}" if round(value) else "0"


def points_apart(low: float, high: float) -> str:
    """Word where a difference of scores likely lies: 4 to 24; where it has no sign, 4 lower to 10 higher."""
    low, high = round(low), round(high)
    if low < 0 < high:
        return say("{lower} lower to {higher} higher", lower=-low, higher=high)
    least, most = sorted((abs(low), abs(high)))
    return say("{start} to {end}", start=least, end=most)


def area(mmol_min: float, unit: GlucoseUnit) -> str:
    """Word an incremental area with its unit."""
    return f"{from_mmol(mmol_min, unit):.0f} {unit}·min"


def grams(value: float) -> str:
    """Word a weight: 60 g, 2.5 g."""
    whole = value >= 10 or value == round(value)
    return f"{value:.0f} g" if whole else f"{write_number(f'{value:.1f}')} g"


def minutes(value: float) -> str:
    """Word a duration: 45 min, 2 h, 3 h 10 min."""
    whole = round(value)
    if whole < HOURS_FROM_MIN:
        return f"{whole} min"
    hours, rest = divmod(whole, 60)
    return f"{hours} h" if rest == 0 else f"{hours} h {rest} min"


def clock(at: datetime, zone: tzinfo) -> str:
    """Word an instant of a day that is clear from the context: 07:10."""
    return write_clock(at.astimezone(zone))


def day_and_clock(at: datetime, zone: tzinfo, now: datetime) -> str:
    """Word an instant, with its day unless that is today: 07:10, yesterday 20:00, Mon 2 Mar 07:10."""
    local, today = at.astimezone(zone), now.astimezone(zone).date()
    days = (today - local.date()).days
    if days == 0:
        return write_clock(local)
    if days == 1:
        return say("yesterday {clock}", clock=write_clock(local))
    return f"{day(at, zone)} {write_clock(local)}"


def span(start: datetime, end: datetime, zone: tzinfo, now: datetime) -> str:
    """Word a span: 07:10 to 08:00, yesterday 22:40 to 23:00; the day of the end where it is another."""
    one_day = start.astimezone(zone).date() == end.astimezone(zone).date()
    till = clock(end, zone) if one_day else day_and_clock(end, zone, now)
    return say("{start} to {end}", start=day_and_clock(start, zone, now), end=till)


def day(at: datetime, zone: tzinfo) -> str:
    """Word a day: Mon 2 Mar."""
    return date_of(at.astimezone(zone))


def date_of(day: date) -> str:
    """Word a date: Mon 2 Mar; of a record whose days have numbers, its number."""
    if is_numbered(day):
        return name_day(day)
    weekday, month = say(_DAYS[day.weekday()]), say(_MONTHS[day.month - 1])
    return say("{weekday} {day} {month}", weekday=weekday, day=day.day, month=month)


def count(n: int, one: str, many: str | None = None) -> str:
    """Word a number of things: 1 reading, 3 readings."""
    return f"{write_number(f'{n:,}')} {one if n == 1 else many or one + 's'}"
