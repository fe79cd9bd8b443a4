"""One page for a clinician: published measures with what they stand on. No advice, and no score of ours."""

from datetime import datetime
from itertools import pairwise

from analysis.errors import InsufficientData
from analysis.summaries import DAYS, EDGES, SHARE, Summary
from bot.answers.days import say_average, say_fasting
from bot.frames.days import days_read, sensors_between, summary_between
from bot.model.units import GlucoseUnit
from bot.reply import numbers
from bot.reply.results_days import day_span
from bot.reply.results_fasting import wear
from bot.report import texts
from bot.report.parts import Cells, Report, Section, Table
from bot.store import Person, Transaction

NOT_KNOWN = "not known"


def clinical(tx: Transaction, person: Person, since: datetime, until: datetime) -> Report | None:
    """Return the clinician's page on [since, until); None without readings of a sensor."""
    try:
        found = summary_between(tx, person, since, until)
    except InsufficientData:
        return None
    unit = person.unit
    measures = Table(
        f"Glucose in {unit}, time in percent of what readings cover",
        ("Measure", "Value", "Definition"),
        (*_levels(found, unit), *_times(found, unit), *_spread(found, unit)),
    )
    sensors = wear(sensors_between(tx, person, since, until), person.zone, unit)
    day = say_average(tx, person, since, until)
    return Report(
        f"Sensor glucose, {day_span(*days_read(tx, person, since, until))}",
        (
            Section("What it stands on", (_stands_on(found, unit), *sensors.splitlines())),
            Section("Measures", tables=(measures,)),
            Section("Fasting", tuple(say_fasting(tx, person, since, until).text.splitlines())),
            Section("The average day", pictures=() if day.picture is None else (day.picture,)),
            Section("What these figures are not", texts.CLINICAL_LIMITS),
        ),
        dense=True,
    )


def _stands_on(found: Summary, unit: GlucoseUnit) -> str:
    amount = found.sufficiency
    reached = "is reached" if amount.enough else "is not reached"
    days, readings = numbers.count(found.days, "day"), numbers.count(found.n, "reading")
    return (
        f"{days} with {readings}. Readings fill {numbers.percent(amount.share)} of {DAYS} days; the "
        f"published amount, {numbers.percent(SHARE)} of {DAYS} days, {reached} (Battelino 2019). "
        f"Glucose is in {unit}; 1 mmol/L is 18.0 mg/dL."
    )


def _levels(found: Summary, unit: GlucoseUnit) -> tuple[Cells, ...]:
    sd = NOT_KNOWN if found.sd_mmol is None else numbers.glucose(found.sd_mmol, unit)
    cv = NOT_KNOWN if found.cv is None else f"{found.cv:.0f} %"
    return (
        ("Mean", numbers.glucose(found.mean_mmol, unit), "each reading weighed by the time it stands for"),
        ("SD", sd, "standard deviation of the same, n − 1"),
        ("CV", cv, "coefficient of variation, 100 · SD / mean"),
    )


def _times(found: Summary, unit: GlucoseUnit) -> tuple[Cells, ...]:
    shares = list(found.ranges.values())
    edges = [f"{edge:.1f}" if unit == "mmol/L" else f"{edge:.0f}" for edge in EDGES[unit]]
    between = [f"Time from {low} to below {high}" for low, high in pairwise(edges)]
    named = [f"Time below {edges[0]}", *between, f"Time at {edges[-1]} and over"]
    source = "range as published (Battelino 2019)"
    return tuple((name, numbers.percent(share), source) for name, share in zip(named, shares, strict=True))


def _spread(found: Summary, unit: GlucoseUnit) -> tuple[Cells, ...]:
    def worded(value: float | None) -> str:
        return NOT_KNOWN if value is None else numbers.glucose(value, unit)

    low, high = found.risk_indices()
    return (
        ("MAGE", worded(found.mage_mmol), "mean of a day's swings above one SD (Service 1970)"),
        ("MODD", worded(found.modd_mmol), "mean difference from the day before (Molnar 1972)"),
        ("CONGA-1", worded(found.conga(1)), "SD of differences from one hour before (McDonnell 2005)"),
        ("LBGI, HBGI", f"{low:.1f}, {high:.1f}", "low and high blood glucose index (Kovatchev 2006)"),
    )
