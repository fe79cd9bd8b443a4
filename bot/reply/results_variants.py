"""What the versions of a staple do, in words: each as its difference from how it usually is.

A signed two-hour area divided by its two hours is the mean rise, which is what is said.
"""

from collections.abc import Mapping, Sequence

from analysis.variants.effects import NEED_EACH, Judged, VersionEffect
from analysis.variants.staples import NEED_AROUND, NEED_SAME, Difference, Staple
from bot.model.naming import join
from bot.model.units import GlucoseUnit
from bot.reply import numbers

TWO_HOURS_MIN = 120.0
MOST_VERSIONS, MOST_ONCE = 6, 4
HALF, TWICE = (0.42, 0.58), (1.8, 2.2)
"""Shares of the usual portion that are said so."""
AS_USUAL = "as usual"
Names = Mapping[str, str]


def word_difference(difference: Difference, names: Names) -> str:
    """Word how a version differs from its staple.

    >>> word_difference(Difference(added=(("nuts", 15.0),), removed=()), {"nuts": "walnuts"})
    '+ 15 g walnuts'
    """
    added = [(names[food], grams) for food, grams in difference.added]
    removed = [names[food] for food in difference.removed]
    if len(added) == len(removed) == 1:
        foods = [f"{added[0][0]} instead of {removed[0]}"]
    else:
        foods = [f"- {name}" for name in removed]
        foods += [f"+ {numbers.grams(round(grams))} {name}" for name, grams in added]
    portions = [_portion(names[food], grams, usual) for food, grams, usual in difference.portions]
    levers = [*difference.with_it, *(f"no {lever}" for lever in difference.without)]
    return ", ".join([*foods, *portions, *levers]) or AS_USUAL


def _portion(name: str, grams: float, usual: float) -> str:
    for (low, high), said in ((HALF, "half the"), (TWICE, "twice the")):
        if low <= grams / usual <= high:
            return f"{said} {name}"
    return f"{numbers.grams(round(grams))} {name}, not {numbers.grams(round(usual))}"


def name_staple(staple: Staple, names: Names) -> str:
    """Name a staple by its foods, the one with the most carbohydrate first."""
    return join([names[food] for food in staple.foods])


def picture_words(judged: Judged, names: Names, what: str) -> tuple[str, str, list[str]]:
    """Return a picture's title, its verdict, and each version's difference."""
    title = f"{what[:1].upper()}{what[1:]}: {name_staple(judged.staple, names)}"
    labels = [word_difference(one.version.difference, names) for one in judged.versions]
    return title, verdict(judged, names), labels


def say_versions(
    judged: Judged, scores: Sequence[Sequence[float]], names: Names, unit: GlucoseUnit, what: str
) -> str:
    """Say what each version does, which is beyond chance, and what would tell more.

    scores: evenness of the servings of each version; what: how the person calls the meal, or its slot
    """
    staple, usual = judged.staple, judged.usual
    foods = join([f"{numbers.grams(round(staple.grams[food]))} {names[food]}" for food in staple.foods])
    lines = [
        f"Your usual {what} is {foods}: {numbers.count(len(usual.version.rows), 'serving')}"
        f"{_mean(scores[0])}."
    ]
    pairs = list(zip(judged.versions[1:], scores[1:], strict=True))
    several = [(one, each) for one, each in pairs if len(one.version.rows) > 1]
    if several:
        lines.append(f"Against it, on average over the two hours after, in {unit}:")
    shown = sorted(several, key=lambda pair: -len(pair[0].version.rows))[:MOST_VERSIONS]
    lines += [_line(one, each, names, unit) for one, each in several if (one, each) in shown]
    once = [word_difference(one.version.difference, names) for one, _ in pairs if len(one.version.rows) == 1]
    if once:
        more = f"; and {len(once) - MOST_ONCE} more" if len(once) > MOST_ONCE else ""
        lines.append(f"Seen once, too early to judge: {'; '.join(once[:MOST_ONCE])}{more}.")
    if len(several) > len(shown):
        lines.append(f"{numbers.count(len(several) - len(shown), 'rarer version')} not listed.")
    if staple.beyond:
        lines.append(f"{numbers.count(staple.beyond, 'other serving')} differed in more than three ways.")
    return "\n".join([*lines, f"{verdict(judged, names)} {tells_more(judged, names)}"])


def _mean(scores: Sequence[float]) -> str:
    return f", mean evenness {sum(scores) / len(scores):.0f}" if scores else ""


def _line(one: VersionEffect, scores: Sequence[float], names: Names, unit: GlucoseUnit) -> str:
    assert one.effect is not None
    low, high = one.effect.low, one.effect.high
    near, far = sorted((low, high), key=abs)
    likely = (
        f"likely {_way(near, unit)} to {_way(far, unit)}"
        if low * high < 0
        else f"likely {_size(near, unit)} to {_size(far, unit)}"
    )
    alone = "" if one.seen is None else f"; these servings alone: {_way(one.seen.difference, unit)}"
    return (
        f"{word_difference(one.version.difference, names)}: {_way(one.effect.estimate, unit)} ({likely}), "
        f"{numbers.count(len(one.version.rows), 'serving')}{_mean(scores)}{alone}"
    )


def _size(area: float, unit: GlucoseUnit) -> str:
    return numbers.difference_with_unit(abs(area) / TWO_HOURS_MIN, unit).split()[0]


def _way(area: float, unit: GlucoseUnit) -> str:
    """Word a difference of areas as one of means over two hours: 0.3 lower, no different.

    >>> _way(-36.0, "mmol/L"), _way(2.0, "mmol/L")
    ('0.3 lower', '0.0')
    """
    size = _size(area, unit)
    return size if not float(size) else f"{size} {'lower' if area < 0 else 'higher'}"


def verdict(judged: Judged, names: Names) -> str:
    """Say what may be said of the versions, all judged together."""
    if len(judged.versions) < 2:
        return "You always had it the same way, so there is nothing to set beside it."
    if not any(one.enough for one in judged.versions[1:]) or not judged.usual.enough:
        return f"No version can be judged yet: it takes {NEED_EACH} servings of it and of the usual one."
    lower, higher = ([one for one in judged.versions if one.told and _sign(one) == s] for s in (-1, 1))
    if not lower and not higher:
        why = (
            "with several looked at, some differ by chance"
            if len(judged.versions) > 2
            else "it may be chance"
        )
        return f"No version is told apart from the usual one yet: {why}."
    parts = [f"the rise is smaller with {_quote(lower, names)}"] if lower else []
    parts += [f"{'' if lower else 'the rise is '}larger with {_quote(higher, names)}"] if higher else []
    said = f"Beyond chance, all versions judged together, {' and '.join(parts)}."
    least = judged.least
    if least is None:
        return f"{said} Which version rises least of all is not known yet."
    which = "the usual one" if least is judged.usual else _quote([least], names)
    return f"{said} The smallest rise of all goes with {which}."


def _sign(one: VersionEffect) -> int:
    return 0 if one.effect is None else -1 if one.effect.estimate < 0 else 1


def _quote(some: Sequence[VersionEffect], names: Names) -> str:
    return join([f"“{word_difference(one.version.difference, names)}”" for one in some])


def tells_more(judged: Judged, names: Names) -> str:
    """Name the serving that would tell most: a change by itself, near to being told, that rises less."""
    if len(judged.usual.version.rows) < NEED_EACH:
        return f"More servings {AS_USUAL} would help most: all others are set beside them."
    found = [
        (abs(one.effect.estimate) / (one.effect.high - one.effect.low), one)
        for one in judged.versions[1:]
        if one.effect is not None and _sign(one) < 0 and not one.told and one.version.difference.size == 1
    ]
    if not found:
        return f"Change one thing at a time, and have each version {NEED_EACH} times, to learn more."
    _, best = max(found, key=lambda pair: pair[0])
    n = len(best.version.rows)
    seen = "once" if n == 1 else "twice" if n == 2 else f"{n} times"
    return f"What would tell most: {_quote([best], names)} again, seen {seen} so far."


def no_staple(
    what: str, servings: int, left_out: int, known: Staple | None = None, names: Names | None = None
) -> str:
    """Say that nothing recurs, or not enough of it, and what it takes; known: another meal that does."""
    other = ""
    if known is not None and names is not None:
        other = f" A meal you do have again and again is {name_staple(known, names)}, at {known.slot}."
    if not servings:
        if left_out:
            lost = numbers.count(left_out, "serving")
            return f"I have {lost} of {what}, none with a whole curve of its own: please sync.{other}"
        return f"I have no {what} with a curve yet: note it, sync and send me the readings.{other}"
    return (
        f"I see no staple in your {what}: of {numbers.count(servings, 'serving')} with a curve none comes "
        f"back often enough. It takes {NEED_AROUND} much alike, {NEED_SAME} of them with the same foods."
        f"{other}"
    )
