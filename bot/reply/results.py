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
from analysis.units import REFERENCE_WRITTEN, write_glucose
from bot.model.naming import join
from bot.model.units import GlucoseUnit
from bot.reply import numbers

TELLS_LITTLE = 50.0
"""Where a band is wider (points), the words say so first."""


def scored(
    serving: Serving, earlier: tuple[Serving, ...], *, zone: tzinfo, unit: GlucoseUnit, now: datetime
) -> str:
    """Say one meal's curve and score, or what is missing for it."""
    main, others = _part_notes(serving, zone)
    head = f"{serving.slot.capitalize()}, {numbers.day_and_clock(serving.at, zone, now)} ({main}){others}"
    if serving.curve is None or serving.evenness is None:
        return f"{head}: no score yet, {serving.why_not}."
    lines = [
        f"{head}: {_score(serving.evenness)}.",
        _curve(serving.curve, unit),
        lost(serving.evenness, unit),
    ]
    lines += [f"{flag.capitalize()}, which the score does not see." for flag in find_slow(serving.curve)]
    care = [flag for flag in serving.curve.flags if not flag.startswith(SLOW)]
    if care:
        lines.append(f"With care: {'; '.join(care)}.")
    lines.append(_earlier(serving, earlier))
    return "\n".join(lines)


def _part_notes(serving: Serving, zone: tzinfo) -> tuple[str, str]:
    """Return what was eaten at the first bite, and what else shares its curve: “, with the pear at 13:20”."""
    apart = [note for note in serving.notes if abs(note.minute) > SITTING_MIN]
    if not apart:
        return serving.title, ""
    main = join([note.title for note in serving.notes if note not in apart])
    times = [numbers.clock(serving.at + timedelta(minutes=note.minute), zone) for note in apart]
    others = join([f"the {note.title} at {time}" for note, time in zip(apart, times, strict=True)])
    return main, f", with {others}"


def _earlier(serving: Serving, earlier: tuple[Serving, ...]) -> str:
    scored_before = [e for e in earlier if e.evenness is not None]
    if not scored_before:
        return "First serving with a curve: no verdict yet."
    scores = [f"{e.evenness.score:.0f}{_moved(e)}" for e in scored_before[-3:] if e.evenness]
    times = {1: "once", 2: "twice"}.get(len(scored_before), f"{len(scored_before)} times")
    this = f" This time{_moved(serving)}." if serving.activities else ""
    when = "when it scored" if len(scored_before) == len(scores) else f"the last {len(scores)} scored"
    return f"Eaten {times} before, {when} {join(scores)}.{this}"


def _moved(serving: Serving) -> str:
    """Say what movement went with a serving, since that may be what made it differ."""
    after = [(minutes, what) for start, minutes, what in serving.activities if -30 <= start <= 120]
    if not after:
        return ""
    return " with " + join([f"{what} {numbers.minutes(m)}" if m else what for m, what in after])


def _score(evenness: Evenness) -> str:
    likely = f"likely {evenness.low:.0f} to {evenness.high:.0f}"
    if evenness.high - evenness.low > TELLS_LITTLE:
        likely = f"one serving tells little: {likely}"
    return f"evenness {evenness.score:.0f} ({likely})"


def _curve(curve: Curve, unit: GlucoseUnit) -> str:
    rise, peak = write_glucose(curve.rise_mmol, unit), numbers.glucose_with_unit(curve.peak_mmol, unit)
    after, end = numbers.minutes(curve.minutes_to_peak), write_glucose(curve.two_hour_mmol, unit)
    start, area = write_glucose(curve.baseline_mmol, unit), numbers.area(curve.area_2h, unit)
    if curve.rise_mmol == 0:
        return f"Never above its start of {start} {unit}, {end} at two hours; area {area}."
    if curve.variant == SEPARATED:
        read = f"read were {start} at the first bite and {peak} after {after}"
        return f"Up {rise} without the meal close by; {read}, {end} at two hours. Area {area}."
    return f"Up {rise} from {start} to {peak} after {after}, {end} at two hours; area {area}."


def lost(evenness: Evenness, unit: GlucoseUnit) -> str:
    """Say the points lost to each part, so that the score can be added up by hand."""
    names = {
        "rise": "for the rise",
        "area": "for the area",
        "high": f"for time above {REFERENCE_WRITTEN[unit]}",
        "dip": "for a dip",
    }
    parts = [f"{points} {names[part]}" for part, points in whole_points(evenness).items() if points]
    return f"Points lost: {join(parts)}." if parts else "No points lost."


def best_and_worst(ranking: Ranking) -> str:
    """Say the most and the least even meal where they are told apart; else what would part them."""
    meals = ranking.meals
    if len(meals) < 2:
        text = (
            "Not known yet: comparing takes at least 2 different meals with a whole curve of their own, and "
            f"there {'is' if len(meals) == 1 else 'are'} {len(meals)} in these days."
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
        f"{first.title} is more even than {last.title} are {chance} in 100; 95 would do. "
        "Eat these two again, in like portions: that would part them soonest."
    )


def _without(ranking: Ranking) -> list[str]:
    """Say what was not ranked, and why."""
    reasons = Counter(why for _, why in ranking.left_out)
    lines = [f"Not ranked: {numbers.count(n, 'meal')}, {why}." for why, n in reasons.items()]
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
