"""A run beside the one before it, in figures of both."""

from datetime import datetime
from statistics import fmean

from analysis.errors import InsufficientData
from analysis.intakes import Usual, describe_intakes
from analysis.summaries import EDGES
from bot.answers.run_days import runs_before
from bot.answers.runs import say_two_runs
from bot.frames.days import days_read, fasting_between, summary_between
from bot.frames.servings import servings_between
from bot.frames.whole_days import intakes_between
from bot.model.units import GlucoseUnit
from bot.reply import numbers
from bot.reply.results_days import day_span
from bot.report.parts import Cells, Section, Table
from bot.store import Person, Transaction

NOT_KNOWN = "not known"


def beside_earlier(tx: Transaction, person: Person, since: datetime, until: datetime) -> Section:
    """Return [since, until) beside the run before, in words and figures; empty where there was none."""
    title = "Beside your earlier run"
    earlier = [span for span in runs_before(tx, person, since) if span[1] <= since]
    if not earlier:
        return Section(title)
    spans = (earlier[-1], (since, until))
    found = [_figures(tx, person, *span) for span in spans]
    if not all(found):
        return Section(title)
    names = [f"{day_span(*days_read(tx, person, *span))} {span[0].year}" for span in spans]
    head = ("Figure", *names)
    rows: tuple[Cells, ...] = tuple(
        (name, before, now) for (name, before), (_, now) in zip(*found, strict=True)
    )
    table = Table("The run before and this one", head, rows)
    told = say_two_runs(tx, person, *spans).text.splitlines()
    return Section(title, tuple(told), tables=(table,))


def _figures(tx: Transaction, person: Person, since: datetime, until: datetime) -> list[tuple[str, str]]:
    """Return what is said of one run, each with its name; nothing where no sensor was read."""
    try:
        summary = summary_between(tx, person, since, until)
    except InsufficientData:
        return []
    unit = person.unit
    low, high = (f"{edge:g}" for edge in EDGES[unit][1:3])
    eaten = describe_intakes(intakes_between(tx, person, since, until)).usual
    return [
        ("Days with readings", str(summary.days)),
        ("Mean", numbers.glucose_with_unit(summary.mean_mmol, unit)),
        ("Coefficient of variation", NOT_KNOWN if summary.cv is None else f"{summary.cv:.0f} %"),
        (f"Time from {low} to {high}", numbers.percent(summary.ranges[f"{low} to {high}"])),
        ("Before breakfast", _fasting(tx, person, since, until, unit)),
        *(_scores(tx, person, since, until) if person.scores else []),
        ("Carbohydrate a day", _grams(eaten.get("carbohydrate"))),
        ("Fibre a day", _grams(eaten.get("fibre"))),
    ]


def _scores(tx: Transaction, person: Person, since: datetime, until: datetime) -> list[tuple[str, str]]:
    scores = [one.evenness.score for one in servings_between(tx, person, since, until) if one.evenness]
    return [
        ("Meals with a score", str(len(scores))),
        ("Evenness, mean of these", f"{fmean(scores):.0f}" if scores else NOT_KNOWN),
    ]


def _grams(usual: Usual | None) -> str:
    return NOT_KNOWN if usual is None else numbers.grams(usual.amount)


def _fasting(tx: Transaction, person: Person, since: datetime, until: datetime, unit: GlucoseUnit) -> str:
    try:
        return numbers.glucose_with_unit(fasting_between(tx, person, since, until).mean_mmol, unit)
    except InsufficientData:
        return NOT_KNOWN
