"""What remains over a run, for `analyse`: in words, and as plain JSON values, unrounded, in mmol/L."""

from collections.abc import Callable, Mapping, Sequence
from math import expm1
from typing import Literal

from analysis.errors import InsufficientData
from analysis.feelings import FeltWith, judge_feelings
from analysis.good_days import GoodDays
from analysis.intakes import LINES, Intakes, describe_intakes
from analysis.phases import LEVEL, Change
from bot.answers import over_run
from bot.commandline.request import EVER, Request
from bot.commandline.results_json import Json
from bot.frames.feelings import felt_between
from bot.frames.whole_days import (
    FOOD,
    WholeDays,
    compare_spans,
    good_days_between,
    intakes_between,
    usual_names,
    whole_days_between,
)
from bot.model.entries import Question
from bot.model.messages import Outgoing


def _felt_json(asked: Request) -> list[Json]:
    grid, moments, _ = felt_between(asked.tx, asked.person, asked.since or EVER, asked.ends)
    return [] if grid is None else write_felt(judge_feelings(grid, moments))


def _halves(asked: Request) -> tuple[WholeDays, over_run.Parted]:
    whole = whole_days_between(asked.tx, asked.person, asked.since or EVER, asked.ends)
    return whole, over_run.part_halves(whole.days)


def _progress_json(asked: Request) -> list[Json]:
    whole, spans = _halves(asked)
    try:
        return write_progress(compare_spans(whole, spans.first, spans.last))
    except InsufficientData:
        return []


def _say_progress(asked: Request) -> list[Outgoing]:
    return [over_run.say_spans(asked.tx, asked.person, *_halves(asked))]


def _good_days_json(asked: Request) -> Json:
    span = asked.tx, asked.person, asked.since or EVER, asked.ends
    found = good_days_between(*span)
    return write_good_days(found, usual_names(*span)) if found.days else {}


def _intakes_json(asked: Request) -> Json:
    days = intakes_between(asked.tx, asked.person, asked.since or EVER, asked.ends)
    return write_intakes(describe_intakes(days)) if days else {}


def _ask(say: over_run.Say) -> Callable[[Request], list[Outgoing]]:
    """Return a question of the chat, asked about the span of a request."""

    def said(asked: Request) -> list[Outgoing]:
        question = Question("day", asked.since or EVER, asked.ends)
        return [say(asked.tx, asked.person, question, asked.ends)]

    return said


def write_felt(found: Sequence[FeltWith]) -> list[Json]:
    """Write what went with each feeling, its level (mmol/L) and its slope (mmol/L an hour)."""
    return [
        {
            "feeling": one.feeling,
            "of": one.kind,
            "times": one.times,
            "days": one.days,
            "difference": {
                "estimate": one.estimate,
                "low": one.low,
                "high": one.high,
                "level": LEVEL,
                "unit": "mmol/L" if one.kind == "level" else "mmol/L/h",
            },
            "beyond_chance": one.told,
            "next_look": one.next_look,
        }
        for one in found
    ]


def write_progress(changes: Sequence[Change]) -> list[Json]:
    """Write how the later span differs: the spread within the day in percent, the mean in mmol/L."""
    return [
        {
            "of": one.measure,
            "days": list(one.days),
            "change": {
                "estimate": _change(one, one.estimate),
                "low": _change(one, one.low),
                "high": _change(one, one.high),
                "level": LEVEL,
                "unit": "%" if one.measure == "spread" else "mmol/L",
            },
            "beyond_chance": one.differs,
            "sensor_in_both": one.parted,
        }
        for one in changes
    ]


def _change(one: Change, value: float) -> float:
    return 100 * expm1(value) if one.measure == "spread" else value


def write_good_days(found: GoodDays, names: Mapping[str, str]) -> Json:
    """Write what separates days beyond chance, and what was looked at."""

    def named(thing: str) -> str:
        return names.get(thing.removeprefix(FOOD), thing) if thing.startswith(FOOD) else thing

    return {
        "days": found.days,
        "looked_at": [named(thing) for thing in found.things],
        "found": [
            {
                "of": one.value,
                "things": [named(thing) for thing in one.things],
                "with": one.days[0],
                "without": one.days[1],
                "difference": 100 * expm1(one.means[0] - one.means[1])
                if one.value == "spread"
                else one.means[0] - one.means[1],
                "unit": "%" if one.value == "spread" else "mmol/L",
                "p": one.p,
            }
            for one in found.found
        ],
    }


def write_intakes(found: Intakes) -> Json:
    """Write what a day noted whole holds, beside the published lines."""
    return {
        "days": found.noted,
        "whole": found.whole,
        "intakes": [
            {
                "nutrient": one.nutrient,
                "days": one.days,
                "amount": {
                    "estimate": one.amount,
                    "low": one.low,
                    "high": one.high,
                    "level": one.level,
                    "unit": "kcal" if one.nutrient == "energy" else "g",
                },
                "percent_of_energy": one.share,
                "lines": [
                    {
                        "least": line.least,
                        "most": line.most,
                        "unit": line.unit,
                        "source": line.whose,
                        "stands": one.beside(line) or None,
                    }
                    for line in LINES
                    if line.nutrient == one.nutrient
                ],
            }
            for one in found.usual.values()
        ],
    }


OverRun = Literal["feelings", "progress", "good-days", "intakes"]
JSON: dict[OverRun, Callable[[Request], object]] = {
    "feelings": _felt_json,
    "progress": _progress_json,
    "good-days": _good_days_json,
    "intakes": _intakes_json,
}
WORDS: dict[OverRun, Callable[[Request], list[Outgoing]]] = {
    "feelings": _ask(over_run.say_felt),
    "progress": _say_progress,
    "good-days": _ask(over_run.say_good_days),
    "intakes": _ask(over_run.say_intakes),
}
