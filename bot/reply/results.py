"""Analyses in words: a scored curve, the week's best and worst, what readings covered."""

from collections import Counter
from collections.abc import Sequence
from datetime import datetime, timedelta, tzinfo

from analysis.flags import SLOW
from analysis.occasions import SITTING_MIN
from analysis.overlap import SEPARATED
from analysis.points import whole_points
from analysis.results import Curve, Evenness, RankedMeal, Ranking, Serving
from analysis.slowness import find_slow, find_usual_share, say_share
from analysis.units import REFERENCE_WRITTEN
from bot.language.texts import later, say, say_count, write_number
from bot.model.naming import join
from bot.model.units import GlucoseUnit
from bot.reply import numbers
from bot.reply.flags import say_flag

TELLS_LITTLE = 50.0
"""Where a band is wider (points), the words say so first."""


def scored(
    serving: Serving,
    earlier: tuple[Serving, ...],
    *,
    zone: tzinfo,
    unit: GlucoseUnit,
    now: datetime,
    scores: bool = True,
) -> str:
    """Say one meal's curve and score, or what is missing for it; without `scores`, the curve alone."""
    main, others = _part_notes(serving, zone)
    when, slot = numbers.day_and_clock(serving.at, zone, now), say(serving.slot).capitalize()
    head = say("{meal}, {when} ({foods})", meal=slot, when=when, foods=main) + others
    if serving.curve is None or serving.evenness is None:
        return say("{meal}: no score yet, {why}.", meal=head, why=serving.why_not)
    if not scores:
        return "\n".join([f"{head}.", _curve(serving.curve, unit)])
    lines = [_score(head, serving.evenness), _curve(serving.curve, unit), lost(serving.evenness, unit)]
    lines += [f"{flag.capitalize()}, which the score does not see." for flag in find_slow(serving.curve)]
    lines += _care(serving.curve)
    lines.append(_earlier(serving, earlier))
    return "\n".join(lines)


def scored_briefly(
    serving: Serving, *, zone: tzinfo, unit: GlucoseUnit, now: datetime, scores: bool = True
) -> str:
    """Say one meal's score as a sum, from where to where it went, and what to take care of."""
    if serving.curve is None or serving.evenness is None or not scores:
        return scored(serving, (), zone=zone, unit=unit, now=now, scores=scores)
    curve = serving.curve
    foods, others = _part_notes(serving, zone)
    when, slot = numbers.day_and_clock(serving.at, zone, now), say(serving.slot).capitalize()
    lines = [
        say("{meal}, {when} ({foods})", meal=slot, when=when, foods=foods)
        + f"{others}: {lost(serving.evenness, unit)}"
    ]
    if curve.rise_mmol > 0 and curve.variant != SEPARATED:
        lines.append(
            say(
                "From {start} up to {peak} after {after}.",
                start=numbers.glucose(curve.baseline_mmol, unit),
                peak=numbers.glucose_with_unit(curve.peak_mmol, unit),
                after=numbers.minutes(curve.minutes_to_peak),
            )
        )
    return "\n".join([*lines, *_care(curve)])


def _care(curve: Curve) -> list[str]:
    """Say why a score is to be taken as rough, if it is."""
    care = [flag for flag in curve.flags if not flag.startswith(SLOW)]
    return (
        [say("Take this score as rough: {reasons}.", reasons=join([say_flag(f) for f in care]))]
        if care
        else []
    )


def _part_notes(serving: Serving, zone: tzinfo) -> tuple[str, str]:
    """Return what was eaten at the first bite, and what else shares its curve: “, with the pear at 13:20”."""
    apart = [note for note in serving.notes if abs(note.minute) > SITTING_MIN]
    if not apart:
        return serving.title, ""
    main = join([note.title for note in serving.notes if note not in apart])
    times = [numbers.clock(serving.at + timedelta(minutes=note.minute), zone) for note in apart]
    others = [
        say("{food} at {clock}", food=note.title, clock=time) for note, time in zip(apart, times, strict=True)
    ]
    return main, say(", with {foods}", foods=join(others))


def _earlier(serving: Serving, earlier: tuple[Serving, ...]) -> str:
    scored_before = [e for e in earlier if e.evenness is not None]
    if not scored_before:
        return say("My first curve of this meal: too early to judge.")
    scores = [f"{e.evenness.score:.0f}{in_brackets(_moved(e))}" for e in scored_before[-3:] if e.evenness]
    if len(scored_before) == len(scores):
        text = say_count(
            "You had it once before with a score: {scores}.",
            "You had it {n} times before with a score: {scores}.",
            len(scores),
            scores=join(scores),
        )
    else:
        text = say(
            "You had it {n} times before with a score; the last {few} were {scores}.",
            n=len(scored_before),
            few=len(scores),
            scores=join(scores),
        )
    moved = _moved(serving)
    return " ".join([text, say("This time you moved: {moved}.", moved=moved)]) if moved else text


def in_brackets(words: str) -> str:
    """Put words in brackets behind others; "" stays ""."""
    return f" ({words})" if words else ""


def _moved(serving: Serving) -> str:
    """Say what movement went with a serving, since that may be what made it differ."""
    after = [(minutes, what) for start, minutes, what in serving.activities if -30 <= start <= 120]
    if not after:
        return ""
    moved = [f"{say(what)}, {numbers.minutes(m)}" if m else say(what) for m, what in after]
    return "; ".join(moved)


def _score(head: str, evenness: Evenness) -> str:
    values = {"score": f"{evenness.score:.0f}", "low": f"{evenness.low:.0f}", "high": f"{evenness.high:.0f}"}
    if evenness.high - evenness.low > TELLS_LITTLE:
        return say(
            "{meal}: evenness {score}. One serving tells little: its usual score is likely {low} to {high}.",
            meal=head,
            **values,
        )
    return say("{meal}: evenness {score} (likely {low} to {high}).", meal=head, **values)


def _curve(curve: Curve, unit: GlucoseUnit) -> str:
    start, peak = numbers.glucose(curve.baseline_mmol, unit), numbers.glucose_with_unit(curve.peak_mmol, unit)
    after, end = numbers.minutes(curve.minutes_to_peak), numbers.glucose(curve.two_hour_mmol, unit)
    area = numbers.area(curve.area_2h, unit)
    if curve.rise_mmol == 0:
        return say(
            "Never above its start of {start} {unit}; {end} after two hours. Area {area}.",
            start=start,
            unit=unit,
            end=end,
            area=area,
        )
    if curve.variant == SEPARATED:
        return say(
            "From {start} at the first bite to {peak} after {after}; {end} after two hours. With the meal "
            "close by taken off it rose {rise}. Area {area}.",
            start=start,
            peak=peak,
            after=after,
            end=end,
            rise=numbers.glucose(curve.rise_mmol, unit),
            area=area,
        )
    return say(
        "From {start} up to {peak}, {after} after the first bite; {end} after two hours. Area {area}.",
        start=start,
        peak=peak,
        after=after,
        end=end,
        area=area,
    )


_LOST = {
    "rise": later("{points} for the rise"),
    "area": later("{points} for the area"),
    "high": later("{points} for time above {line}"),
    "dip": later("{points} for a dip"),
}


def lost(evenness: Evenness, unit: GlucoseUnit) -> str:
    """Say the score as a sum: 100 − 7 for the rise − 13 for the area = 80."""
    line = write_number(REFERENCE_WRITTEN[unit])
    parts = [
        say(_LOST[part], points=points, line=line)
        for part, points in whole_points(evenness).items()
        if points
    ]
    if not parts:
        return say("No points off: 100.")
    return f"{' − '.join(['100', *parts])} = {round(evenness.score)}."


def best_and_worst(ranking: Ranking) -> str:
    """Say the most and the least even meal where they are told apart; else what would part them."""
    meals = ranking.meals
    if len(meals) < 2:
        text = say(
            "To rank meals I need two with full curves of their own; in these days I have {n}.",
            n=len(meals) or say("none yet"),
        )
    elif ranking.told_apart:
        text = f"Most even: {_stand(meals[0])}\nLeast even: {_stand(meals[-1])}"
    else:
        text = _not_apart(meals)
    return "\n".join([text, *_slow(meals), *_without(ranking)])


def _slow(meals: Sequence[RankedMeal]) -> list[str]:
    """Say where the meal that stands first is slow rather than even."""
    share = find_usual_share(meals[0].servings) if len(meals) > 1 else None
    if share is None:
        return []
    late = f"{say_share(share)} of its response came after two hours"
    return [
        f"{meals[0].title[0].upper()}{meals[0].title[1:]} is slow, too: {late}, which the score does not see."
    ]


def _not_apart(meals: Sequence[RankedMeal]) -> str:
    """Say that meals cannot be told apart, and which two, eaten again, would show most."""
    first, last = meals[0], meals[-1]
    which = f"These {len(meals)} meals" if len(meals) > 2 else "These two meals"
    chance = min(round(20 * last.behind) * 5, 90)  # 94.6 is no 95
    return (
        f"{which} can't be told apart yet: one and the same meal varies too much. The odds that "
        f"{first.title} is more even than {last.title} are {chance} in 100; I say so from 95 on. "
        "These two again, in like portions, would tell soonest."
    )


def _without(ranking: Ranking) -> list[str]:
    """Say what was not ranked, and why."""
    reasons = Counter(why for _, why in ranking.left_out)
    lines = [f"I didn't rank {numbers.count(n, 'meal')}: {why}." for why, n in reasons.items()]
    if ranking.unscored:
        lines.append(f"{numbers.count(len(ranking.unscored), 'meal')} had too few readings to score.")
    return lines


def _stand(meal: RankedMeal) -> str:
    known = [s.carbs_g for s in meal.servings if s.carbs_g is not None]
    carbs = f" ({sum(known) / len(known):.0f} g carbohydrate)" if known else ""
    return (
        f"{meal.title}{carbs}, evenness {meal.score:.0f} (likely {meal.low:.0f} to {meal.high:.0f}), "
        f"{numbers.count(len(meal.servings), 'serving')}."
    )
