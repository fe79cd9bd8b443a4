"""What remains over a run, in words: whether days became steadier, and what good ones have."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import expm1

from analysis.errors import InsufficientData
from analysis.good_days import NEED_DAYS, GoodDays, Separates
from analysis.intakes import Intakes, Nutrient
from analysis.phases import Change
from bot.frames.whole_days import FOOD, SHIFT
from bot.model.naming import join
from bot.model.units import GlucoseUnit
from bot.reply import numbers

MOST_TOLD = 4
NEED_NOTED = 2
"""Days noted whole in each span, for what was eaten to stand beside a change."""
EATEN: tuple[Nutrient, ...] = ("energy", "carbohydrate", "fibre")
NOT_ALONE = "A flatter line from eating less is no gain by itself."


@dataclass(frozen=True, slots=True)
class Spans:
    """The earlier and the later span of a comparison in words (“your first 10 days”), and what was eaten."""

    first: str
    last: str
    eaten: tuple[Intakes, Intakes]


def progress(changes: Sequence[Change], spans: Spans, unit: GlucoseUnit) -> str:
    """Say whether later days are steadier than earlier ones, how sure that is, and what was eaten."""
    spread = next(one for one in changes if one.measure == "spread")
    mean = next(one for one in changes if one.measure == "mean")
    before, after = spread.days
    days = f"{before} and {numbers.count(after, 'whole day')}"
    low, high = (100 * expm1(end) for end in (spread.low, spread.high))
    apart = "which read unlike each other, and I can't tell a change of sensor from one of yours"
    if spread.differs:
        less = spread.estimate < 0
        much = abs(100 * expm1(spread.estimate))
        lines = [
            f"{_capital(spans.last)} were {'steadier' if less else 'less steady'} than {spans.first}: "
            f"glucose swung about {much:.0f} % {'less' if less else 'more'} within the day (likely "
            f"{_percents(low, high)}; {days}).",
            "That is more than days vary by themselves; what brought it I can't know from this.",
        ]
        lines += [] if spread.parted else [f"The two were read by different sensors, {apart} for sure."]
    else:
        lines = [
            f"Not clear yet whether {spans.last} were steadier than {spans.first}: swings within the day are "
            f"anything from {_percents(low, high)} ({days}).",
            "Days vary by themselves, and one is like the next, so that may be chance"
            + ("; more whole days tell more." if spread.parted else "."),
        ]
        lines += [] if spread.parted else [f"Besides, they were read by different sensors, {apart}."]
    if mean.differs:
        levels = " to ".join(numbers.glucose(level, unit) for level in mean.level)
        change = f"likely {numbers.signed(mean.low, unit)} to {numbers.signed(mean.high, unit)}"
        lines.append(f"The mean went from {levels} {unit} ({change}).")
    lines += _say_eaten(spans.eaten, claimed=spread.differs or mean.differs)
    return " ".join(lines)


def _say_eaten(eaten: tuple[Intakes, Intakes], *, claimed: bool) -> list[str]:
    """Say what was eaten in both spans, so that a flat line is never praised alone."""
    parts = []
    for nutrient in EATEN:
        before, after = (one.usual.get(nutrient) for one in eaten)
        if before is not None and after is not None and min(before.days, after.days) >= NEED_NOTED:
            unit = "kcal" if nutrient == "energy" else f"g of {nutrient}"
            parts.append(f"{before.amount:.0f} and {after.amount:.0f} {unit}")
    if parts:
        return [f"A day held, then and now, {join(parts)}.", *([NOT_ALONE] if claimed else [])]
    return [f"{NOT_ALONE} Too few days are noted whole to set what you ate beside it."] if claimed else []


def few_for_progress(few: InsufficientData) -> str:
    """Say that there are too few whole days to compare two spans."""
    return (
        f"Too early to judge: comparing two spans takes {few.need:.0f} whole days in each, and the shorter "
        f"one has {few.have:.0f}. A day is whole when readings cover 70 % of it."
    )


def good_days(found: GoodDays, names: Mapping[str, str], unit: GlucoseUnit) -> str:
    """Say what separates good days from bad, or that nothing does beyond chance."""
    if found.days < NEED_DAYS:
        return (
            f"Too early to judge: what separates good days from bad takes {NEED_DAYS} whole days, and I have "
            f"{found.days}. A day is whole when readings cover 70 % of it."
        )
    looked = numbers.count(len(found.things), "thing")
    if not found.things:
        return (
            f"Over {found.days} whole days nothing that I know of was on some and not on others, so nothing "
            "can part them yet. Notes of meals, walks, nights and shifts would."
        )
    if not found.found:
        return (
            f"Nothing separates them beyond chance: over {found.days} whole days I looked at {looked} "
            "(foods, movement after meals, late meals, sleep, shifts, weekends), and none goes with steadier "
            "or lower days more than luck would. With so many things only a strong one shows in a few weeks; "
            "doing one of them every other day tells more."
        )
    lines = [_separates(one, names, unit) for one in found.found[:MOST_TOLD]]
    lines.append(
        f"That is beyond chance over all {looked} I looked at ({found.days} whole days); what else was on "
        f"those days I can't part from it. {NOT_ALONE}"
    )
    return "\n".join(lines)


def _separates(one: Separates, names: Mapping[str, str], unit: GlucoseUnit) -> str:
    on, off = one.means
    days = f"{numbers.count(one.days[0], 'day')} against {one.days[1]}"
    what = name_things(one.things, names)
    if one.value == "mean":
        return (
            f"{_capital(what)} were {'lower' if one.r < 0 else 'higher'} than others: a mean of "
            f"{numbers.glucose(on, unit)} against {numbers.glucose_with_unit(off, unit)} ({days})."
        )
    return (
        f"{_capital(what)} were {'steadier' if one.r < 0 else 'less steady'} than others: swings within the "
        f"day {abs(100 * expm1(on - off)):.0f} % {'smaller' if on < off else 'larger'} ({days})."
    )


def name_things(things: Sequence[str], names: Mapping[str, str]) -> str:
    """Return the days that have some things, in words.

    >>> name_things(["shift: late"], {}), name_things(["food: rye", "food: oats"], {"rye": "rye bread"})
    ('late shift days', 'days with rye bread and oats')
    """
    if things[0].startswith(SHIFT):
        name = things[0].removeprefix(SHIFT)
        return f"{name} days" if "shift" in name or name.endswith("off") else f"{name} shift days"
    foods = [thing.removeprefix(FOOD) for thing in things]
    return "weekend days" if things[0] == "weekend" else f"days with {join([names.get(f, f) for f in foods])}"


def _percents(low: float, high: float) -> str:
    if low < 0 < high:
        return f"{abs(low):.0f} % smaller to {high:.0f} % larger"
    ends = sorted((abs(low), abs(high)))
    return f"{ends[0]:.0f} to {ends[1]:.0f} %"


def _capital(said: str) -> str:
    return said[:1].upper() + said[1:]
