"""Days in words: one day, the average day, weekdays against weekends, and a summary of many days."""

from datetime import date, datetime, timedelta, tzinfo

from analysis.contrast import Contrast
from analysis.day import QUARTILE_DAYS, AverageDay, DayBin
from analysis.day_names import is_numbered, name_day, name_span
from analysis.parting import NEED_DAYS, join_hours
from analysis.results import Serving
from analysis.summaries import CAVEATS, EDGES, Summary
from bot.frames.days import OneDay
from bot.language.times import write_minute
from bot.model.entries import Meal, Nutrients
from bot.model.naming import join, title
from bot.model.units import GlucoseUnit
from bot.reply import numbers
from bot.reply.words import nutrients
from bot.store import Logged
from bot.understanding.questions.sorts import USUAL_DAYS

MOST_MEALS, MOST_HOURS = 12, 4
REACH = timedelta(days=300)
NO_READINGS = "no readings of these days; please sync and send them"
AROUND = (
    "These ranges come from studies of other people, and a sensor is no blood test: nothing "
    "here is a diagnosis."
)


def no_readings(newest: datetime | None, since: datetime, zone: tzinfo) -> str:
    """Say that there are no readings from an instant on, and how to reach the newest there are before it.

    A day so long ago that it would need its year is not offered.
    """
    said = f"I can't tell yet: {NO_READINGS}."
    if newest is None or not since - REACH <= newest < since:
        return said
    from_on = (newest - timedelta(days=USUAL_DAYS - 1)).astimezone(zone)
    say_since = f"since {from_on.day} {from_on:%B}"
    return f"{said}\nThe newest I have is of {numbers.day(newest, zone)}: add “{say_since}” to your question."


def one_day(look: OneDay, summary: Summary | None, *, zone: tzinfo, unit: GlucoseUnit) -> str:
    """Say what one day's readings did and what each meal scored."""
    lines = [f"{numbers.day(look.since, zone)}: {_readings_of(look, summary, zone, unit)}"]
    servings = {one: serving for serving in look.servings for one in serving.entry_ids}
    if look.dips:
        spans = [f"{numbers.clock(d.from_at, zone)} to {numbers.clock(d.to_at, zone)}" for d in look.dips]
        like = "a dip like that" if len(spans) == 1 else "dips like those"
        lines.append(f"Left out: {join(spans)}, {like} of lying on the sensor.")
    lines += [meal_line(meal, servings.get(meal.id), zone) for meal in look.meals[:MOST_MEALS]]
    if len(look.meals) > MOST_MEALS:
        lines.append(f"and {numbers.count(len(look.meals) - MOST_MEALS, 'more', 'more')}.")
    if not look.meals:
        lines.append("No meal noted.")
        return "\n".join(lines)
    eaten = [meal.entry.nutrients for meal in look.meals if isinstance(meal.entry, Meal)]
    held = nutrients(sum(eaten, Nutrients()))
    lines += [f"All that day: a{held[1:]}"] if held else []
    return "\n".join(lines)


def one_night(
    look: OneDay, summary: Summary | None, what: str, until: datetime, *, zone: tzinfo, unit: GlucoseUnit
) -> str:
    """Say what the readings of a night did; what: whether it is a sleep that was noted."""
    span = f"{numbers.clock(look.since, zone)} to {numbers.clock(until, zone)}"
    return f"{what}, {span}: {_readings_of(look, summary, zone, unit)}"


def _readings_of(look: OneDay, summary: Summary | None, zone: tzinfo, unit: GlucoseUnit) -> str:
    extremes = look.extremes
    if extremes is None:
        return f"{NO_READINGS}."
    (low_at, low), (high_at, high) = extremes
    span = (
        f"lowest {numbers.glucose_with_unit(low, unit)} at {numbers.clock(low_at, zone)}, "
        f"highest {numbers.glucose_with_unit(high, unit)} at {numbers.clock(high_at, zone)}."
    )
    if len(look.readings) == 1:
        return f"1 reading, {numbers.glucose_with_unit(low, unit)} at {numbers.clock(low_at, zone)}."
    if summary is None or look.worn is None:
        return f"{numbers.count(len(look.readings), 'typed reading')}, {span}"
    covered = round(100 * look.worn.share)
    mean = numbers.glucose_with_unit(summary.mean_mmol, unit)
    return f"mean {mean}, {span} {_ranges(summary, unit)} Readings cover {covered} %."


def meal_line(meal: Logged, serving: Serving | None, zone: tzinfo) -> str:
    """Put one meal in a line: its time, what was eaten and its score, or why it has none."""
    assert isinstance(meal.entry, Meal)
    head = f"{numbers.clock(meal.at, zone)} {meal.entry.slot}: {title(meal.entry)}"
    if serving is None:
        return head
    if meal.id != serving.entry_id:
        return f"{head} (one curve with {numbers.clock(serving.at, zone)})"
    if serving.evenness is None:
        return f"{head} (no score: {serving.why_not})"
    return f"{head}, evenness {serving.evenness.score:.0f}"


def average(found: AverageDay, *, unit: GlucoseUnit, days: tuple[date, date]) -> str:
    """Say how the usual day goes and where days differ most."""
    bins, n = found.bins["all"], found.days["all"]
    low, high = (min(bins, key=lambda b: b.median), max(bins, key=lambda b: b.median))
    head = f"Your average day, over {numbers.count(n, 'day')} with readings ({day_span(*days)}): "
    if len(bins) == 1:
        alone = numbers.glucose_with_unit(low.median, unit)
        return f"{head}so far only around {_clock(low)} ({alone}). Some days with readings make it a picture."
    lines = [
        f"{head}it is lowest around {_clock(low)} ({numbers.glucose_with_unit(low.median, unit)}) "
        f"and highest around {_clock(high)} ({numbers.glucose_with_unit(high.median, unit)})."
    ]
    lines.append(_say_widest(found, unit))
    if n < 7:
        lines.append("From 7 days on it says more.")
    return "\n".join(lines)


def _say_widest(found: AverageDay, unit: GlucoseUnit) -> str:
    hour = found.widest["all"]
    if not any(b.p25 is not None for b in found.bins["all"]):
        return f"How much your days differ takes {QUARTILE_DAYS} days at the same clock time."
    if hour is None:
        return "No hour stands out as the one in which your days differ most."
    inside = [b for b in found.bins["all"] if hour <= b.minute < hour + 60]
    lows, highs = ([v for b in inside if (v := getattr(b, name)) is not None] for name in ("p25", "p75"))
    low, high = sum(lows) / len(lows), sum(highs) / len(highs)
    return (
        f"Your days differ most from {write_minute(hour)} to {write_minute(hour + 60)}: half lie between "
        f"{numbers.glucose(low, unit)} and {numbers.glucose_with_unit(high, unit)}."
    )


def weekends(found: AverageDay, means: Contrast | None, *, unit: GlucoseUnit) -> str:
    """Say how weekdays and weekends differ, or how many days are missing for that."""
    n = {tag: found.days.get(tag, 0) for tag in ("weekday", "weekend")}
    counted = (
        f"{numbers.count(n['weekday'], 'weekday')} and {numbers.count(n['weekend'], 'day')} of weekends "
        "with readings"
    )
    if not all(n.values()):
        return f"I can't tell yet: I have {counted}, and it takes both."
    lines = [f"Weekdays against weekends: {counted}."]
    lines.append(_say_apart(found, unit))
    if means is None:
        lines.append("I can't tell yet whether their averages differ: that takes 2 whole days of each.")
    else:
        lines.append(
            f"Mean {numbers.glucose(means.mean[0], unit)} on weekdays, "
            f"{numbers.glucose_with_unit(means.mean[1], unit)} at weekends, a difference of "
            f"{numbers.signed(means.difference, unit)} (likely {numbers.signed(means.low, unit)} to "
            f"{numbers.signed(means.high, unit)}; whole days only, {means.n[0]} against {means.n[1]})"
            + ("." if means.clear and means.enough else ": too early to judge.")
        )
    return "\n".join(lines)


def _say_apart(found: AverageDay, unit: GlucoseUnit) -> str:
    return _say_parting(found, ("weekdays", "weekends"), ("weekday", "weekend"), unit)


def kinds_of_day(found: AverageDay, kinds: tuple[str, str], *, unit: GlucoseUnit) -> str:
    """Say how two kinds of day differ; their names are their tags."""
    n = [numbers.count(found.days.get(kind, 0), "day") for kind in kinds]
    if any(found.days.get(kind, 0) < NEED_DAYS for kind in kinds):
        told = f"Too early to tell them apart: that takes {NEED_DAYS} days of each."
    else:
        told = _say_parting(found, kinds, kinds, unit)
    first, second = kinds
    return f"{first.capitalize()} ({n[0]}) against {second} ({n[1]}).\n{told}"


def _say_parting(found: AverageDay, names: tuple[str, str], tags: tuple[str, str], unit: GlucoseUnit) -> str:
    """Say in which hours two kinds of day part beyond chance, and where most."""
    if not found.apart:
        return "At no hour do they part by more than chance does."
    most = max(found.apart, key=lambda hour: abs(found.apart[hour]))
    first = sorted(tags)[0]
    higher = names[tags.index(first)] if found.apart[most] > 0 else names[1 - tags.index(first)]
    ranges = join_hours(found.apart)
    said = join([f"from {_hour(start)} to {_hour(end)}" for start, end in ranges[:MOST_HOURS]])
    return (
        f"They part beyond chance {said}; most from {_hour(most)}, by "
        f"{numbers.glucose_with_unit(abs(found.apart[most]), unit)}, higher on {higher}."
    )


def _hour(minute: int) -> str:
    return write_minute(minute)


def summary(found: Summary, *, unit: GlucoseUnit, days: tuple[date, date]) -> str:
    """Say the mean, the spread and the shares of time, with how much they stand on."""
    spread = ""
    if found.sd_mmol is not None and found.cv is not None:
        spread = f", give or take {numbers.glucose(found.sd_mmol, unit)} ({found.cv:.0f} %)"
    lines = [
        f"{day_span(*days)}, {numbers.count(found.days, 'day')} with {numbers.count(found.n, 'reading')}:",
        f"Mean {numbers.glucose_with_unit(found.mean_mmol, unit)}{spread}.",
        _ranges(found, unit),
    ]
    if found.dips:
        like = "a dip like that" if found.dips == 1 else f"{found.dips} dips like those"
        lines.append(f"Left out: {like} of lying on the sensor.")
    if found.modd_mmol is not None:
        apart = numbers.difference_with_unit(found.modd_mmol, unit)
        lines.append(f"At the same clock time, two days in a row differ by {apart} on average.")
    lines.append(_sufficiency(found))
    return "\n".join([*lines, AROUND])


def _sufficiency(found: Summary) -> str:
    share = round(100 * found.sufficiency.share)
    if found.sufficiency.enough:
        return (
            f"Readings fill {share} % of two weeks: enough for averages, which count as "
            "reliable from 70 % on."
        )
    return f"Readings fill {share} % of two weeks; averages count as reliable from 70 % on."


def _ranges(found: Summary, unit: GlucoseUnit) -> str:
    low, high = EDGES[unit][1], EDGES[unit][2]
    inside = found.ranges[f"{low:g} to {high:g}"]
    below = sum(share for name, share in list(found.ranges.items())[:2])
    above = sum(share for name, share in list(found.ranges.items())[3:])
    parts = [f"{numbers.percent(s)} {where}" for s, where in ((below, "below"), (above, "above")) if s]
    beside = f", {' and '.join(parts)}" if parts else ""
    return f"From {low:g} to {high:g} {unit}: {numbers.percent(inside)} of the time{beside}."


def a1c(found: Summary, *, unit: GlucoseUnit, days: tuple[date, date]) -> str:
    """Say the published estimates of A1c, with their caveat; only for who asks for them."""
    estimates = " and ".join(f"{e.percent:.1f} % ({e.formula})" for e in found.a1c)
    mean = numbers.glucose_with_unit(found.mean_mmol, unit)
    caveats = dict.fromkeys(CAVEATS[e.caveat] for e in found.a1c)
    return "\n".join(
        [
            f"Mean {mean} over {numbers.count(found.days, 'day')} ({day_span(*days)}). Two published "
            f"formulas make {estimates} of it.",
            *caveats,
            _sufficiency(found),
        ]
    )


def day_span(first: date, last: date) -> str:
    """Word a span of days, both included."""
    if is_numbered(first):
        return name_span(first, last)
    first_said = name_day(first, weekday=True)
    return first_said if first == last else f"{first_said} to {name_day(last, weekday=True)}"


def _clock(b: DayBin) -> str:
    return write_minute(b.minute)
