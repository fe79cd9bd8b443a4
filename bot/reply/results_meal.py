"""What made one meal climb, and what another portion would do, in words."""

from collections.abc import Mapping
from datetime import datetime, tzinfo

from analysis.foods.contrasts import Changed
from analysis.foods.explained import Explained, Part
from analysis.units import write_glucose
from bot.model.naming import join
from bot.model.units import GlucoseUnit
from bot.reply import numbers
from bot.reply.results_foods import LITTLE, figure, span
from bot.reply.results_habits import CONTROLS, title_of

Names = Mapping[str, str]
MOST_FOODS, MOST_PARTS = 3, 2
FEW = 6
"""With fewer other meals, what is expected is mostly what nutrients say."""
LEVEL_APART = 0.5
"""A level before the bite so far from the usual one (mmol/L) is told."""
UNSEEN = "I can't see what wasn't noted, stress, illness or how fast it was eaten."
_SLOTS = {"snack": "between meals", "drink": "between meals"}


def explained(
    found: Explained,
    title: str,
    at: datetime,
    names: Names,
    *,
    zone: tzinfo,
    unit: GlucoseUnit,
    now: datetime,
) -> str:
    """Say what made a meal climb: what was expected and came, the parts, what is left, what tells more."""
    low, high = span(found.low, found.high, unit)
    came, side = figure(abs(found.area), unit), "above" if found.area >= 0 else "below"
    expected = figure(found.expected, unit)
    head = (
        f"Over two hours {title} ({numbers.day_and_clock(at, zone, now)}) ran {came} {unit} {side} its start "
        f"on average; your {numbers.count(found.others, 'other meal')} led me to expect {expected} "
        f"(likely {low} to {high})."
    )
    lines = [head, _say_foods(found, names, unit), *_say_parts(found, names, unit), _say_level(found, unit)]
    return " ".join(line for line in [*lines, _say_left(found, unit), _say_more(found, names)] if line)


def _say_foods(found: Explained, names: Names, unit: GlucoseUnit) -> str:
    """Say which foods of the plate count for most of what was expected."""
    most = [part for part in found.foods if abs(part.area) >= LITTLE][:MOST_FOODS]
    if not most:
        return "None of its foods counts for much of that."
    said = [f"{names[part.name]} ({figure(part.area, unit)})" for part in most]
    few = ", by what is in it rather than by its own meals" if found.others < FEW else ""
    counts = "counts" if len(said) == 1 else "count"
    return f"Of its foods, {join(said)} {counts} for most of that{few}."


def _say_parts(found: Explained, names: Names, unit: GlucoseUnit) -> list[str]:
    """Say what else made it more or less: portions, what went with it or did not, the hour."""
    return [
        f"{_name_part(part, names)}: {figure(abs(part.area), unit)} {'more' if part.area > 0 else 'less'}."
        for part in found.parts
        if abs(part.area) >= LITTLE and part.name not in CONTROLS
    ][:MOST_PARTS]


def _name_part(part: Part, names: Names) -> str:
    if part.kind == "portion":
        usual = numbers.grams(part.usual_g)
        return f"{numbers.grams(part.grams)} of {names[part.name]}, where {usual} is usual"
    if part.kind == "slot":
        return f"The hour ({_SLOTS.get(part.name, part.name)})"
    if part.kind == "no lever":
        title = title_of(part.name)
        return (
            f"No {title[2:] if title.startswith('A ') else title[:1].lower() + title[1:]}, as you mostly have"
        )
    return title_of(part.name)


def _say_level(found: Explained, unit: GlucoseUnit) -> str:
    """Say where it began, which shifts what is to be expected and explains nothing."""
    if found.level_mmol is None or found.usual_mmol is None:
        return ""
    apart = found.level_mmol - found.usual_mmol
    if abs(apart) < LEVEL_APART or abs(found.by_level) < LITTLE:
        return ""
    side = "above" if apart > 0 else "below"
    sized = f"{figure(abs(found.by_level), unit)} {'more' if found.by_level > 0 else 'less'}"
    return (
        f"It began at {write_glucose(found.level_mmol, unit)}, {side} your usual "
        f"{write_glucose(found.usual_mmol, unit)}; from there a curve gets {sized}, whatever was eaten."
    )


def _say_left(found: Explained, unit: GlucoseUnit) -> str:
    """Say what is left, and whether that is more than meals vary by."""
    left = f"{figure(abs(found.left), unit)} {unit}"
    if abs(found.left) < LITTLE:
        return f"So it went as was to be expected. {UNSEEN}"
    if not found.beyond:
        return f"It ran {left} {_over(found)}, no more than such meals vary by. {UNSEEN}"
    more = "more than such meals mostly vary by: nothing noted explains it"
    return f"It ran {left} {_over(found)}, {more}. {UNSEEN}"


def _over(found: Explained) -> str:
    return "over what I expected" if found.left > 0 else "under what I expected"


def _say_more(found: Explained, names: Names) -> str:
    """Name the serving that would tell most; never one with more on the plate, or without a good habit."""
    told = [part for part in found.parts if part.area >= LITTLE and part.kind in ("portion", "no lever")]
    if not told:
        return "The same plate once more would tell how much of this was chance."
    part = told[0]
    if part.kind == "portion":
        usual = numbers.grams(part.usual_g)
        return f"The same plate with your usual {usual} of {names[part.name]} would tell what the amount did."
    title = title_of(part.name)
    return f"The same plate with {title[:1].lower() + title[1:]} would tell what that does."


def portion(found: Changed, names: Names, unit: GlucoseUnit) -> str:
    """Say what another portion would do, how sure that is, and what would tell more."""
    name = names[found.food]
    low, high = found.change.low, found.change.high
    less = found.grams < found.usual_g
    head = (
        f"{numbers.grams(found.grams)} of {name} instead of your usual {numbers.grams(found.usual_g)}: I'd "
        f"expect {figure(found.adds, unit)} {unit} from it over two hours rather than "
        f"{figure(found.usual_adds, unit)}, all else on the plate the same."
    )
    if max(abs(low), abs(high)) < LITTLE:
        return (
            f"{numbers.grams(found.grams)} of {name} instead of your usual {numbers.grams(found.usual_g)} "
            f"would hardly change the two hours after it: by {figure(low, unit)} to {figure(high, unit)} "
            f"{unit} on average, from {numbers.count(found.occasions, 'meal')}."
        )
    if low < 0 < high:
        sure = (
            f"Whether that is {'lower' if less else 'higher'} at all I can't tell yet: the difference is "
            f"likely between {figure(low, unit)} and {figure(high, unit)}."
        )
    else:
        least, most = (figure(end, unit) for end in sorted((abs(low), abs(high))))
        side = "lower" if high <= 0 else "higher"
        sure = f"That is likely {least} to {most} {side}, from {numbers.count(found.occasions, 'meal')}."
    if found.tried:
        said = "You had portions on both sides of that, so it lies between what I saw."
        return f"{head} {sure} {said} One such serving, eaten as you always do, would tell more."
    edge = found.lightest_g if less else found.heaviest_g
    seen = f"never had {'less' if less else 'more'} than {numbers.grams(edge)} with a curve"
    return f"{head} {sure} You {seen}: that is my model's line, not seen yet. One such serving would tell."


def usual_portion(name: str, grams: float) -> str:
    """Say that the portion asked for is the usual one."""
    return f"{numbers.grams(grams)} of {name} is about your usual portion: I'd expect what it usually does."


def seen_once(name: str) -> str:
    """Say that a food was seen too seldom to tell what another portion does."""
    return (
        f"I saw {name} once with a curve of its own: too early to say what another portion does. The portion "
        "you have in mind, eaten once, tells more than I could guess."
    )
