"""What each food does, in words: how much higher the two hours after a meal are with it than without.

A signed two-hour area divided by its two hours is the mean rise, which is what is said.
"""

from collections.abc import Mapping, Sequence

from analysis.foods.effects import NEED, FoodEffect
from bot.model.naming import join
from bot.model.units import GlucoseUnit
from bot.reply import numbers

TWO_HOURS_MIN = 120.0
SURE = 0.975
"""So probable it must be that a food departs from its nutrients before that is said."""
SURELY = "beyond chance if portions are noted right"
"""Said so, it is wrong in hardly any case, but in one of five where portions are off by 30 % (simulated)."""
WIDE = 0.8
"""An interval wider than this share of the estimate asks for more servings."""
ENOUGH_CARBS_G = 15.0
MOST_FOODS, MOST_NAMED, MOST_DEPARTING, MOST_DRIVERS = 12, 5, 3, 3
LITTLE = 12.0
"""An effect of less (mmol/L·min; 0.1 mmol/L over two hours) cannot be felt or seen."""
Names = Mapping[str, str]


def next_step(one: FoodEffect, names: Names) -> str:
    """Name the serving that would tell more of a food; "" where none is needed."""
    name, usual = names[one.food], f"at your usual {numbers.grams(one.grams)}"
    if one.occasions < NEED:
        return f"One more serving of {name}, {usual}: I saw it once so far."
    if one.together_with:
        other = names[one.together_with[0]]
        return f"{capital(name)} without {other}, or {other} without {name}, would part them."
    if is_wide(one):
        return f"More servings of {name}, {usual}, would narrow this down."
    if one.carbs_g >= ENOUGH_CARBS_G:
        return f"Half a portion of {name} would show what less of it does."
    return ""


def is_wide(one: FoodEffect) -> bool:
    """Tell whether an interval is so wide that more servings are asked for."""
    return one.high - one.low > max(2 * LITTLE, WIDE * abs(one.estimate))


def one_food(one: FoodEffect, names: Names, unit: GlucoseUnit) -> str:
    """Say what one food does, how sure that is, and what would tell more."""
    name = names[one.food]
    if one.occasions < NEED:
        return (
            f"I saw {name} once with a curve of its own: too early to judge. By its nutrients I'd expect "
            f"your {numbers.grams(one.grams)} to add {lift(one.nutrients_say, unit)}; a second serving "
            "tells more."
        )
    if one.group is not None:
        return " ".join([_one_group(one, names, unit), next_step(one, names)])
    low, high = span(one.low, one.high, unit)
    said = (
        f"Your usual {numbers.grams(one.grams)} of {name} adds {_about(one, unit)} "
        f"(likely {low} to {high}), from {numbers.count(one.occasions, 'meal')}, the rest of the plate "
        "counted out."
    )
    lines = [said, against_nutrients(one, unit)]
    if one.together_with:
        others = join([names[food] for food in one.together_with[:MOST_NAMED]])
        lines.append(f"What of it is {others} I can't tell for sure: you mostly had them together.")
    elif one.carbs_g >= ENOUGH_CARBS_G:
        lines.append(f"I'd expect {lift(one.half, unit, over=False)} of half of it.")
    return " ".join(line for line in [*lines, next_step(one, names)] if line)


def _about(one: FoodEffect, unit: GlucoseUnit) -> str:
    return "next to nothing" if does_little(one) else f"about {lift(one.estimate, unit)}"


def does_little(one: FoodEffect) -> bool:
    """Tell whether a food adds and takes off next to nothing, wherever in its interval the truth lies."""
    return max(one.high, -one.low) < 2 * LITTLE


def _one_group(one: FoodEffect, names: Names, unit: GlucoseUnit) -> str:
    """Say what foods that were only ever eaten together do."""
    assert one.group is not None
    estimate = one.group[0]
    low, high = span(one.group[1], one.group[2], unit)
    both = join([names[food] for food in (one.food, *one.always_with)])
    return (
        f"Your usual {both} together add about {lift(estimate, unit)} (likely {low} to {high}), from "
        f"{numbers.count(one.occasions, 'meal')}. You only had them together: what of it is "
        f"{names[one.food]} I can't tell; by its nutrients I'd expect "
        f"{lift(one.nutrients_say, unit, over=False)}."
    )


def against_nutrients(one: FoodEffect, unit: GlucoseUnit) -> str:
    """Say whether a food does other than its nutrients say, as far as that is known."""
    say = lift(one.nutrients_say, unit, over=False)
    if not one.learnt:
        return "That is mostly what its nutrients say: its own meals tell little so far."
    if max(one.above, 1 - one.above) < SURE:
        return f"By its nutrients I'd expect {say}: whether it differs is not known yet."
    more = "more" if one.above > 0.5 else "less"
    return f"That is {more} than the {say} its nutrients say, {SURELY}."


def list_foods(found: Sequence[FoodEffect], names: Names, unit: GlucoseUnit) -> str:
    """List what each food does, the most first."""
    judged = [one for one in found if one.occasions >= NEED]
    few = [names[one.food] for one in found if one.occasions < NEED]
    lines = []
    if judged:
        lines.append(
            f"What your usual portions add to the two hours after a meal, on average in {unit} "
            "(in brackets where it likely lies; the rest of the plate counted out):"
        )
    for one in judged[:MOST_FOODS]:
        low, high = span(one.low, one.high, unit)
        with_it = (
            f"; not told apart from {join([names[f] for f in one.together_with])}"
            if one.together_with
            else ""
        )
        lines.append(
            f"{names[one.food]}, {numbers.grams(one.grams)}: {figure(one.estimate, unit)} ({low} to "
            f"{high}), {numbers.count(one.occasions, 'meal')}{with_it}"
        )
    if len(judged) > MOST_FOODS:
        lines.append(f"and {len(judged) - MOST_FOODS} more, each less as far as I can tell.")
    if few:
        more = f" and {len(few) - MOST_NAMED} more" if len(few) > MOST_NAMED else ""
        named = join(few[:MOST_NAMED]) if not more else ", ".join(few[:MOST_NAMED])
        lines.append(f"Seen once only, too early to judge: {named}{more}.")
    return "\n".join(lines)


def drivers(found: Sequence[FoodEffect], names: Names, unit: GlucoseUnit) -> str:
    """Say in short which foods add most, which depart from their nutrients, and what would tell more."""
    judged = [one for one in found if one.occasions >= NEED]
    most = [one for one in add_up(judged) if ends(one)[0] > LITTLE][:MOST_DRIVERS]
    if not most:
        return "No food stands out yet: with what I have, each may add next to nothing."
    parts = []
    for one in most:
        low, high = span(*ends(one), unit)
        what = f"{names[one.food]}, {numbers.grams(one.grams)}"
        if one.group is not None:
            what = f"{join([names[food] for food in (one.food, *one.always_with)])} together"
        parts.append(f"{what} ({low} to {high})")
    lines = [
        "Your usual portions that add most to the two hours after a meal, with where it likely lies in "
        f"{unit}: {'; '.join(parts)}."
    ]
    if not _leads(most[0], judged):
        lines.append("Which food comes first I can't tell for sure.")
    lines += _departing(judged, names)
    little = [names[one.food] for one in judged if does_little(one) and not one.together_with]
    if little:
        lines.append(f"Next to nothing: {join(little[:MOST_NAMED])}.")
    step = next((next_step(one, names) for one in most if next_step(one, names)), "")
    return " ".join([*lines, step]).strip()


def headline(found: Sequence[FoodEffect], names: Names) -> str:
    """Say in one short sentence which foods add most, for the picture of all."""
    judged = add_up([one for one in found if one.occasions >= NEED])
    most = [one for one in judged if ends(one)[0] > LITTLE][:2]
    if not most:
        return "No food stands out yet"
    said = [" + ".join(names[food] for food in (one.food, *one.always_with)) for one in most]
    if _leads(most[0], judged):
        return f"{capital(said[0])} adds most"
    if len(most) == 1:
        return f"{capital(said[0])} adds something; whether most I can't tell"
    return f"{capital(said[0])} and {said[1]} add most; which comes first I can't tell"


def add_up(judged: Sequence[FoodEffect]) -> list[FoodEffect]:
    """Return the foods, of those that were only eaten together the first alone, the most first."""
    kept: list[FoodEffect] = []
    for one in judged:
        if not any(one.food in other.always_with for other in kept):
            kept.append(one)
    return sorted(kept, key=lambda one: -(one.estimate if one.group is None else one.group[0]))


def _leads(first: FoodEffect, judged: Sequence[FoodEffect]) -> bool:
    """Tell whether a food adds more than all others, as far as their intervals say."""
    others = [one for one in add_up(judged) if one is not first]
    return all(ends(first)[0] > ends(other)[1] for other in others)


def ends(one: FoodEffect) -> tuple[float, float]:
    """Return where the effect of a food lies, or that of all it was only eaten together with."""
    return (one.low, one.high) if one.group is None else (one.group[1], one.group[2])


def _departing(judged: Sequence[FoodEffect], names: Names) -> list[str]:
    """Say which foods do more or less than their nutrients say, where that is beyond chance."""
    said = []
    for word, sign in (("More", 1), ("Less", -1)):
        sure = [one for one in judged if one.learnt and sign * (one.above - 0.5) >= SURE - 0.5]
        kind = [names[one.food] for one in sure][:MOST_DEPARTING]
        if kind:
            said.append(f"{word} than what is in it says, {SURELY}: {join(kind)}.")
    return said


def no_rows(left_out: int) -> str:
    """Say that no meal has a curve of its own, and what is needed."""
    if left_out:
        return (
            f"I can't tell yet: {numbers.count(left_out, 'meal')} noted, none with a whole curve of its own. "
            "Please sync and send me the readings."
        )
    return "I can't tell yet: I have no meals with a curve. Note what you eat, sync and send me the readings."


def lift(area: float, unit: GlucoseUnit, *, over: bool = True) -> str:
    """Word a signed two-hour area (mmol/L·min) as the mean rise that it is, with its unit."""
    said = f"{figure(area, unit)} {unit}"
    return f"{said} to the two hours after a meal" if over else said


def figure(area: float, unit: GlucoseUnit) -> str:
    """Word a signed two-hour area as the mean rise without its unit."""
    return numbers.difference_with_unit(area / TWO_HOURS_MIN, unit).split()[0].replace("-0.0", "0.0")


def span(low: float, high: float, unit: GlucoseUnit) -> tuple[str, str]:
    """Word the ends of an interval of such areas."""
    return figure(low, unit), figure(high, unit)


def capital(said: str) -> str:
    """Begin a sentence."""
    return said[:1].upper() + said[1:]
