"""Fasting glucose, eating times and the wear of sensors in words."""

from collections import Counter
from collections.abc import Sequence
from datetime import date, tzinfo

from analysis.day_names import name_day
from analysis.eating import Eating
from analysis.errors import InsufficientData
from analysis.fasting import NEED_DAYS, TREND_DAYS, Fasting
from analysis.trend import Level
from bot.frames.days import SensorWear
from bot.language.times import write_minute
from bot.model.naming import join
from bot.model.units import GlucoseUnit
from bot.reply import numbers

WHAT_COUNTS = (
    "It counts the half hour before a day's first meal, after 8 h without food, so note when you eat first."
)


def fasting(found: Fasting, unit: GlucoseUnit) -> str:
    """Say the fasting level, each sensor's mean and the trend, with what stands behind them."""
    mean, sd = numbers.glucose_with_unit(found.mean_mmol, unit), numbers.glucose(found.sd_mmol, unit)
    span = f"{_day(found.values[0].day_on)} to {_day(found.values[-1].day_on)}"
    lines = [
        f"Fasting: mean {mean} over {numbers.count(found.days, 'day')} ({span}), give or take "
        f"{sd} from day to day."
    ]
    if len(found.slope.levels) > 1:
        lines.append(f"By sensor: {', then '.join(_level(level, unit) for level in found.slope.levels)}.")
    lines.append(_trend(found, unit))
    return "\n".join([*lines, *fasting_notes(found), *_left_out(found.left_out)])


def _level(level: Level, unit: GlucoseUnit) -> str:
    mean, low, high = (numbers.glucose(v, unit) for v in (level.mean, level.low, level.high))
    return f"{mean} (likely {low} to {high}; {numbers.count(level.days, 'day')})"


def _trend(found: Fasting, unit: GlucoseUnit) -> str:
    trend = found.trend
    if trend is None:
        return f"For a trend I need {TREND_DAYS} days; I have {found.days}."
    estimate, low, high = (
        numbers.signed(v, unit, finer=True) for v in (trend.estimate, trend.low, trend.high)
    )
    end = "" if trend.moves else ", so it may as well stand still"
    return f"Trend: {estimate} {unit} a week (likely {low} to {high}){end}."


def fasting_notes(found: Fasting) -> list[str]:
    """Say what else could look like a trend: a sensor that drifts, or one changed without a note."""
    notes = []
    if found.trend is not None and found.trend.moves and found.trend.one_sensor:
        notes.append("With one sensor, a drift of the sensor would look the same.")
    if found.stepped_on is not None:
        day = _day(found.stepped_on)
        notes.append(f"From {day} on it is on another level: if a new sensor began then, note it.")
    return notes


def _left_out(left_out: dict[date, str]) -> list[str]:
    if not left_out:
        return []
    reasons = Counter(left_out.values()).most_common(3)
    said = "; ".join(f"{why} ({numbers.count(n, 'day')})" for why, n in reasons)
    return [f"Without a value: {numbers.count(len(left_out), 'day')}. {said[:1].upper()}{said[1:]}."]


def few_fasting(few: InsufficientData, unit: GlucoseUnit) -> str:
    """Say how many days there are of those it takes."""
    so_far = "" if few.estimate is None else f" (so far {numbers.glucose_with_unit(few.estimate, unit)})"
    return f"To tell your fasting level I need {NEED_DAYS} days; I have {few.have:.0f}{so_far}. {WHAT_COUNTS}"


def say_older(told: Sequence[tuple[float, str, str]], unit: GlucoseUnit) -> list[str]:
    """Say figures of earlier years beside the present ones; of each mmol/L, the year and by what."""
    if not told:
        return []
    parts = [
        f"{numbers.glucose_with_unit(mmol, unit)} in {year}{f' by {by}' if by else ''}"
        for mmol, year, by in told
    ]
    few = "a few tenths of a mmol/L" if unit == "mmol/L" else "5 to 15 mg/dL"
    return [
        f"You told me of earlier: {join(parts)}. Take the comparison as rough: on one and the "
        "same day a meter, a "
        f"laboratory and a sensor can be {few} apart."
    ]


def eating(found: Eating) -> str:
    """Say when and how often one eats, as medians over the days with a noted meal."""
    if not found.days:
        return "I can't tell yet: no meal is noted in these days."
    assert found.occasions is not None
    assert found.first_min is not None
    assert found.last_min is not None
    assert found.window_h is not None
    times = "once" if found.occasions == 1 else f"{found.occasions:g} times"
    lines = [
        f"Over {numbers.count(len(found.days), 'day')} with noted meals you usually eat {times} a day: first "
        f"at {_clock(found.first_min)}, last at {_clock(found.last_min)}, {_hours(found.window_h)} apart."
    ]
    if found.between_h is not None:
        lines.append(f"Between two meals of a day there are usually {_hours(found.between_h)}.")
    if found.longest_gap_h is not None:
        lines.append(
            f"Your longest time without food, as a rule the night, is {_hours(found.longest_gap_h)}."
        )
    if len(found.days) < NEED_DAYS:
        lines.append("That is few days yet.")
    lines.append(
        "These are middle values of what you noted, without water and black coffee; they are no "
        "advice to eat less often."
    )
    return "\n".join(lines)


def wear(sensors: Sequence[SensorWear], zone: tzinfo, unit: GlucoseUnit) -> str:
    """Say for each sensor how long it was worn, what was read of it, and what is missing why."""
    if not sensors:
        return "I can't tell yet: no sensor and no readings in these days."
    return "\n".join(_sensor(sensor, zone, unit) for sensor in sensors)


def _sensor(sensor: SensorWear, zone: tzinfo, unit: GlucoseUnit) -> str:
    worn = sensor.wear
    start = numbers.day(worn.started_at, zone)
    end = "" if worn.ended_at is None else f" to {numbers.day(worn.ended_at, zone)}"
    missing: Counter[str] = Counter()
    for gap in worn.gaps:
        missing[gap.reason] += round(gap.minutes)
    parts = [f"{numbers.minutes(minutes)} {reason}" for reason, minutes in missing.most_common() if minutes]
    said = f"Sensor from {start}{end}: {worn.days:.1f} days, {numbers.percent(worn.coverage)} read"
    said += f"; missing {join(parts)}." if parts else "."
    if sensor.offset is not None:
        low, high = (numbers.signed(v, unit) for v in (sensor.offset.low, sensor.offset.high))
        mean = numbers.signed(sensor.offset.mmol, unit)
        said += f" Against finger-pricks {mean} {unit} (likely {low} to {high})."
    return said


def _day(day: date) -> str:
    return name_day(day, weekday=True)


def _clock(minute: float) -> str:
    hour, rest = divmod(round(minute), 60)
    return write_minute(60 * (hour % 24) + rest)


def _hours(hours: float) -> str:
    return numbers.minutes(60 * hours)
