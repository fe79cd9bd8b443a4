"""Results of the analyses as plain JSON values, with the promised keys; nothing is rounded."""

from dataclasses import asdict, fields
from datetime import datetime, tzinfo

from analysis.day import AverageDay, DayBin
from analysis.eating import Eating, EatingDay
from analysis.errors import InsufficientData
from analysis.fasting import Fasting
from analysis.foods.expected import LEVEL, Expected
from analysis.results import Curve, Ranking, Serving
from analysis.servings import BEFORE_MIN
from analysis.wear import Gap
from bot.frames.days import SensorWear
from bot.model.entries import Activity, Meal
from bot.model.entries_json import to_json
from bot.reply.results_fasting import fasting_notes
from bot.store import Logged

Json = dict[str, object]
CURVE = tuple(field.name for field in fields(Curve))
AFTER_MIN = 120.0
"""Movement that begins within the two hours of a meal's curve may have bent it."""


def write_meal(
    logged: Logged, serving: Serving | None, moved: list[Logged], zone: tzinfo, expected: Expected | None
) -> Json:
    """Write one meal; `serving` is None where it is no meal to be scored, `moved` the movement around it.

    expected: what earlier occasions led to expect of its signed area
    """
    meal = logged.entry
    assert isinstance(meal, Meal)
    entry = to_json(meal, zone)
    evenness = None if serving is None else serving.evenness
    curve = None if serving is None else serving.curve
    if serving is not None:
        why_not = serving.why_not or None
    elif any(item.food for item in meal.items):
        why_not = "a drink with hardly any carbohydrate"
    else:
        why_not = "none of its foods is known"
    return {
        "id": logged.id,
        "occasion": logged.id if serving is None else serving.entry_id,
        "at": _instant(logged.at, zone),
        "slot": meal.slot,
        "items": entry["items"],
        "nutrients": entry["nutrients"],
        "habits": _habits(logged.at, meal, moved),
        "evenness": None
        if evenness is None
        else {name: getattr(evenness, name) for name in ("score", "low", "high", "lost")},
        "why_not": why_not,
        "curve": None if curve is None else {name: getattr(curve, name) for name in CURVE},
        "expected": None if expected is None else _expected(expected),
    }


def _expected(found: Expected) -> Json:
    return {
        "area": found.area,
        "low": found.low,
        "high": found.high,
        "level": LEVEL,
        "from": found.occasions,
    }


def _habits(at: datetime, meal: Meal, moved: list[Logged]) -> Json:
    """Write what may have bent a curve: movement in the hour before and the two hours after, order, extras.

    start_min: from the first bite; before it negative. Movement that goes on across the bite is in both.
    """
    before, after = [], []
    for logged in moved:
        if not isinstance(logged.entry, Activity):
            continue
        start, minutes = (logged.at - at).total_seconds() / 60, logged.entry.minutes
        row = {
            "what": logged.entry.what,
            "minutes": minutes,
            "effort": logged.entry.effort,
            "start_min": start,
        }
        if start + (minutes or 0.0) >= -BEFORE_MIN and start < 0:
            before.append(row)
        if start <= AFTER_MIN and (start >= 0 or start + (minutes or 0.0) > 0):
            after.append(row)
    return {
        "moved_before": before,
        "moved_after": after,
        "eaten_in_order": meal.eaten_in_order,
        "extras": [asdict(extra) for extra in meal.extras],
    }


def write_day(whole: AverageDay, parted: AverageDay) -> list[Json]:
    """Write the bins of the average day in the order of the clock, each also split by weekday and weekend."""
    tags = {tag: {b.minute: b for b in bins} for tag, bins in sorted(parted.bins.items())}
    return [
        {
            "clock": f"{b.minute // 60:02d}:{b.minute % 60:02d}",
            **_bin(b),
            "split": {tag: _bin(bins[b.minute]) for tag, bins in tags.items() if b.minute in bins},
        }
        for b in whole.bins["all"]
    ]


def _bin(b: DayBin) -> Json:
    return {name: getattr(b, name) for name in ("median", "p25", "p75", "p10", "p90", "n", "days")}


def write_ranking(ranking: Ranking) -> Json:
    """Write meals from the most even to the least, and whether those two are told apart; {} without any."""
    meals = ranking.meals
    if not (meals or ranking.left_out or ranking.unscored):
        return {}
    return {
        "meals": [
            {
                "name": meal.title,
                "servings": len(meal.servings),
                "score": meal.score,
                "low": meal.low,
                "high": meal.high,
            }
            for meal in meals
        ],
        "best": meals[0].title if len(meals) > 1 else None,
        "worst": meals[-1].title if len(meals) > 1 else None,
        "told_apart": ranking.told_apart,
        "probability": meals[-1].behind if len(meals) > 1 else None,
        "left_out": [{"name": serving.title, "why": why} for serving, why in ranking.left_out]
        + [{"name": serving.title, "why": serving.why_not} for serving in ranking.unscored],
    }


def write_fasting(found: Fasting) -> Json:
    """Write the fasting values of a run of days."""
    trend = found.trend
    return {
        "days": found.days,
        "mean_mmol": found.mean_mmol,
        "per_sensor": [asdict(level) for level in found.slope.levels],
        "trend_per_week": None
        if trend is None
        else {name: getattr(trend, name) for name in ("estimate", "low", "high", "level")},
        "note": " ".join(fasting_notes(found)) or None,
    }


def write_few_fasting(few: InsufficientData) -> Json:
    """Write what is known of too few days: their number and their mean; with no day at all, nothing."""
    if few.estimate is None:
        return {}
    nothing = dict.fromkeys(("trend_per_week", "note"))
    return {"days": int(few.have), "mean_mmol": few.estimate, "per_sensor": [], **nothing}


def write_eating(found: Eating, zone: tzinfo) -> Json:
    """Write the occasions of each day; without days, nothing."""
    return {"days": [_eating_day(day, zone) for day in found.days]} if found.days else {}


def _eating_day(day: EatingDay, zone: tzinfo) -> Json:
    return {
        "day": day.day_on.isoformat(),
        "occasions": day.occasions,
        "first": _instant(day.first, zone),
        "last": _instant(day.last, zone),
        "window_h": day.window_h,
        "longest_gap_h": day.longest_gap_h,
    }


def write_sensor(found: SensorWear, zone: tzinfo) -> Json:
    """Write how one sensor was read; its id is null where it was never said to be put on."""
    wear = found.wear
    return {
        "id": wear.entry_id if found.logged else None,
        "from": _instant(wear.started_at, zone),
        "to": None if wear.ended_at is None else _instant(wear.ended_at, zone),
        "days": wear.days,
        "coverage": wear.coverage,
        "gaps": [_gap(gap, zone) for gap in wear.gaps],
        "first_day": {"until": _instant(wear.first_day_until, zone), "readings": wear.first_day_n},
        "offset_mmol": None if found.offset is None else found.offset.mmol,
    }


def _gap(gap: Gap, zone: tzinfo) -> Json:
    return {
        "from": _instant(gap.from_at, zone),
        "to": _instant(gap.to_at, zone),
        "minutes": gap.minutes,
        "reason": gap.reason,
    }


def _instant(at: datetime, zone: tzinfo) -> str:
    return at.astimezone(zone).isoformat()
