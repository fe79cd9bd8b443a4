"""What to make of a food, in words: should it go, which are kind, two side by side, a dish as its parts.

Nothing is told to go: what very likely adds much is said to, with what it gives besides, and half of it as
the milder step; what is not sure is no ground for anything.
"""

from collections.abc import Mapping, Sequence

from analysis.foods.contrasts import DishEffect, TwoFoods
from analysis.foods.effects import NEED, FoodEffect
from bot.model.entries import Nutrients
from bot.model.naming import join
from bot.model.units import GlucoseUnit
from bot.reply import numbers
from bot.reply.results_foods import (
    ENOUGH_CARBS_G,
    LITTLE,
    MOST_NAMED,
    SURE,
    SURELY,
    Names,
    add_up,
    against_nutrients,
    capital,
    ends,
    figure,
    is_wide,
    lift,
    next_step,
    span,
)

FIBRE_G, PROTEIN_G = 2.0, 5.0
"""From so much in a portion on it is worth a word; common practice, no source."""
KIND = 36.0
"""What surely adds less (mmol/L·min; a mean rise of 0.3 mmol/L) is kind for food with carbohydrate."""
NO_CARBS_G = 5.0
MOST_KIND = 4
Gives = Mapping[str, Nutrients]
"""What the usual portion of each food holds."""


def should_go(one: FoodEffect, names: Names, unit: GlucoseUnit, gives: Gives) -> str:
    """Say whether there is ground to leave a food out, what it gives, and what half of it would do."""
    name, usual = names[one.food], f"your usual {numbers.grams(one.grams)} of {names[one.food]}"
    low, high = span(one.low, one.high, unit)
    meals = numbers.count(one.occasions, "meal")
    besides = say_besides([one.food], names, gives)
    if one.occasions < NEED:
        said = [f"Too early to say: I saw {name} once with a curve of its own.", next_step(one, names)]
    elif one.group is not None:
        both = join([names[food] for food in (one.food, *one.always_with)])
        low, high = span(one.group[1], one.group[2], unit)
        said = [
            f"I can't say of {name} alone: you only had {both} together, which add {low} to {high} {unit} to "
            f"the two hours after a meal ({meals}).",
            next_step(one, names),
        ]
    elif one.high < 2 * LITTLE:
        said = [
            f"Nothing here speaks against it: {usual} adds little if anything (likely {low} to {high} "
            f"{unit}, from {meals})."
        ]
    elif one.low <= LITTLE or one.together_with or is_wide(one):
        said = [
            f"I wouldn't drop it on what I know: {usual} adds anywhere from {low} to {high} {unit} to the "
            f"two hours after a meal ({meals}).",
            next_step(one, names),
        ]
    else:
        said = [
            f"That is yours to weigh: {usual} adds {low} to {high} {unit} to the two hours after a meal, "
            f"from {meals}.",
            against_nutrients(one, unit),
            "A smaller portion is the milder step: half of it adds about "
            f"{lift(one.half, unit, over=False)}.",
        ]
    return " ".join(line for line in [*said, besides] if line)


def say_besides(foods: Sequence[str], names: Names, gives: Gives) -> str:
    """Say what usual portions give besides, where that is worth a word; "" where it is not."""
    held = sum((gives[food] for food in foods if food in gives), Nutrients())
    parts = [
        f"{numbers.grams(round(amount))} of {what}"
        for amount, what, least in ((held.fibre_g, "fibre", FIBRE_G), (held.protein_g, "protein", PROTEIN_G))
        if amount is not None and amount >= least
    ]
    if not parts:
        return ""
    who = f"your usual {names[foods[0]]}" if len(foods) == 1 else "it"
    return f"{capital(who)} also gives you {join(parts)}: a flat line is not the only aim."


def leave_out(found: Sequence[FoodEffect], names: Names, unit: GlucoseUnit, gives: Gives) -> str:
    """Say what surely adds most, that nothing has to go, and the milder step."""
    judged = [one for one in found if one.occasions >= NEED]
    sure = [
        one for one in add_up(judged) if ends(one)[0] > 2 * LITTLE and (one.group or not one.together_with)
    ]
    if not sure:
        step = next((next_step(one, names) for one in add_up(judged) if next_step(one, names)), "")
        return f"Nothing, on what I know so far: of no food I can be sure that it adds much. {step}".strip()
    named = [f"{_what(one, names)} ({' to '.join(span(*ends(one), unit))})" for one in sure[:3]]
    lines = [
        f"Nothing has to go. What very likely adds much at your usual portions, in {unit} over the two hours "
        f"after a meal: {'; '.join(named)}."
    ]
    more = [one for one in sure if one.group is None and one.learnt and one.above >= SURE]
    if more:
        lines.append(
            f"{capital(names[more[0].food])} does more than its nutrients say, {SURELY}: the "
            "first to try less of, or to swap."
        )
    single = next(
        (one for one in [*more, *sure] if one.group is None and one.carbs_g >= ENOUGH_CARBS_G), None
    )
    if single is not None:
        lines.append(
            f"Half a portion is the milder step: {numbers.grams(single.grams / 2)} of {names[single.food]} "
            f"would add about {figure(single.half, unit)} instead of {figure(single.estimate, unit)}."
        )
        lines.append(say_besides([single.food], names, gives))
    return " ".join(line for line in lines if line)


def kind_foods(found: Sequence[FoodEffect], names: Names, unit: GlucoseUnit) -> str:
    """Say which foods with carbohydrate surely add little, and that food without any adds next to nothing."""
    judged = [one for one in found if one.occasions >= NEED and not one.together_with]
    starchy = [one for one in judged if one.carbs_g >= ENOUGH_CARBS_G]
    kind = sorted((one for one in starchy if one.high < KIND), key=lambda one: one.high / one.carbs_g)
    lines = []
    if kind:
        spans = [" to ".join(span(one.low, one.high, unit)) for one in kind]
        named = [
            f"{names[one.food]} ({numbers.grams(round(one.carbs_g))} of carbohydrate, adds {adds})"
            for one, adds in zip(kind[:MOST_KIND], spans, strict=False)
        ]
        lines.append(
            f"Kind to you for what they hold, in {unit} over the two hours after a meal: {'; '.join(named)}."
        )
    less = [names[one.food] for one in starchy if one.learnt and 1 - one.above >= SURE]
    if less:
        lines.append(f"Less than what is in it says, {SURELY}: {join(less)}.")
    if not kind and not less:
        lines.append(
            "No food with a fair amount of carbohydrate has shown itself kind for sure yet; more meals with "
            "the ones you like will tell."
        )
    bare = [names[one.food] for one in judged if one.carbs_g < NO_CARBS_G and one.high < 2 * LITTLE]
    if bare:
        lines.append(
            f"Next to nothing, since there is hardly any carbohydrate in it: {join(bare[:MOST_NAMED])}; that "
            "alone makes no food better."
        )
    return " ".join(lines)


def _what(one: FoodEffect, names: Names) -> str:
    if one.group is None:
        return f"{names[one.food]}, {numbers.grams(one.grams)}"
    return f"{join([names[food] for food in (one.food, *one.always_with)])} together"


def two_foods(two: TwoFoods, sides: tuple[str, str], beside: Sequence[str], unit: GlucoseUnit) -> str:
    """Say which of two foods adds more on the same plates, how sure that is, and what would tell more.

    beside: what each side was never eaten without, in words, "" where there is nothing such
    """
    lines = [two_found(two, sides, unit)]
    n = [numbers.count(k, "meal") for k in two.occasions]
    carbs = [f"{g:.0f} g" for g in two.carbs_g]
    lines.append(
        f"That is from {n[0]} with {sides[0]} and {n[1]} with {sides[1]}; your usual portions hold "
        f"{carbs[0]} and {carbs[1]} of carbohydrate."
    )
    if two.gram_more is not None:
        if max(two.gram_more, 1 - two.gram_more) >= SURE:
            more, less = sides if two.gram_more > 0.5 else sides[::-1]
            lines.append(f"Gram for gram of carbohydrate, too, {more} does more than {less}."
                         if two.differ and (two.gram_more > 0.5) == (two.first_more > 0.5)
                         else f"Gram for gram of carbohydrate {more} does more than {less}.")  # fmt: skip
        else:
            lines.append("Gram for gram of carbohydrate I can't tell them apart.")
    lines += [
        f"You only had {side} with {other}: which of the two it is I take from what is in them."
        for side, other in zip(sides, beside, strict=True)
        if other
    ]
    few = min(range(2), key=lambda k: two.occasions[k])
    if two.together == min(two.occasions):
        lines.append(f"You never had {sides[few]} without {sides[1 - few]}: once without would tell more.")
    elif not two.differ:
        lines.append(f"More meals with {sides[few]} would tell more.")
    return " ".join(lines)


def two_found(two: TwoFoods, sides: tuple[str, str], unit: GlucoseUnit) -> str:
    """Say in one sentence which of two foods adds more at the usual portions."""
    if two.differ:
        first = two.first_more > 0.5
        more, less = sides if first else sides[::-1]
        difference = two.difference
        edges = (difference.low, difference.high) if first else (-difference.high, -difference.low)
        low, high = span(max(edges[0], 0.0), edges[1], unit)
        by = lift(abs(difference.estimate), unit, over=False)
        return (
            f"On like plates your usual {more} adds {by} more to the two hours after a meal than your usual "
            f"{less} (likely {low} to {high}), beyond chance."
        )
    likelier, odds = (sides[0], two.first_more) if two.first_more >= 0.5 else (sides[1], 1 - two.first_more)
    low, high = (_more_or_less(end, unit) for end in (two.difference.low, two.difference.high))
    return (
        f"I can't tell them apart yet: on like plates your usual {sides[0]} may add anything "
        f"from {low} to {high} "
        f"({unit} over the two hours after a meal) as against your usual {sides[1]}. That it is {likelier} "
        f"which adds more I'd put at {min(100 * odds, 97):.0f} in 100."
    )


def _more_or_less(end: float, unit: GlucoseUnit) -> str:
    """Word one end of a difference: 0.3 more, 0.1 less, as much."""
    said = figure(abs(end), unit)
    return f"{said} {'less' if end < 0 else 'more'}" if float(said) else "as much"


def dish(
    name: str, judged: DishEffect, parts: Sequence[FoodEffect], names: Names, unit: GlucoseUnit, gives: Gives
) -> str:
    """Say what the parts of a dish add together, which of them counts most, and what would tell more."""
    listed = join([f"{names[f]} {numbers.grams(g)}" for f, g in zip(judged.parts, judged.grams, strict=True)])
    if judged.occasions < NEED:
        return f"I saw your {name} ({listed}) once with a curve of its own: too early to judge."
    low, high = span(judged.effect.low, judged.effect.high, unit)
    lines = [
        f"Your {name} ({listed}) adds about {lift(judged.effect.estimate, unit)} (likely {low} to {high}), "
        f"its parts judged together, from {numbers.count(judged.occasions, 'meal')}."
    ]
    most = max(parts, key=lambda one: one.estimate)
    rest = [one for one in parts if one is not most]
    if most.group is not None:
        both = join([names[food] for food in (most.food, *most.always_with)])
        lines.append(f"What of it is which I can't tell: you only had {both} together.")
    elif rest and most.low > max(one.high for one in rest):
        by = lift(most.estimate, unit, over=False)
        lines.append(f"The part that counts most is the {names[most.food]}: about {by}.")
    elif rest:
        lines.append("Which part of it counts most I can't tell for sure.")
    step = next_step(most, names)
    return " ".join(line for line in [*lines, step, say_besides(judged.parts, names, gives)] if line)


def two_headline(two: TwoFoods, sides: tuple[str, str], unit: GlucoseUnit) -> str:
    """Say in one short sentence how two foods compare, for their picture."""
    if not two.differ:
        return f"Your usual {sides[0]} and {sides[1]} are not told apart yet"
    more, less = sides if two.first_more > 0.5 else sides[::-1]
    by = lift(abs(two.difference.estimate), unit, over=False)
    return f"Your usual {more} adds about {by} more than your usual {less}"


def dish_headline(name: str, judged: DishEffect, unit: GlucoseUnit) -> str:
    """Say in one short sentence what a dish adds, for the picture of its parts."""
    low, high = span(judged.effect.low, judged.effect.high, unit)
    by = lift(judged.effect.estimate, unit, over=False)
    return f"Your {name} adds about {by} (likely {low} to {high}), by its parts"
