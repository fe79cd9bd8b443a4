"""A later run of sensors beside the one before it: level, meals, swings; the sensors' part in it is named.

A run here is one of sensors that were noted, as in the reminders that offer this; the report, which must do
without such notes, takes days of readings that hang together (`run_days.py`).
"""

from datetime import date, datetime, timedelta
from statistics import fmean

from analysis.errors import InsufficientData
from bot.answers.over_run import Parted, say_spans
from bot.model.entries import Question
from bot.model.messages import Outgoing
from bot.reminders.evenings import stage_of
from bot.reminders.planning import last_sync
from bot.store import Person, Transaction

Span = tuple[datetime, datetime]
ONE_RUN = "I know of one run at most: once you wore sensors again, I can set the two side by side."


def answer_runs(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Set the present or last run beside the one before it."""
    spans = run_spans(tx, person, now)
    if len(spans) < 2:
        return Outgoing(person.id, ONE_RUN)
    return say_two_runs(tx, person, spans[-2], spans[-1])


def run_spans(tx: Transaction, person: Person, now: datetime) -> list[Span]:
    """Return when each run began and ended, up to now, oldest first."""
    runs = stage_of(tx, person, last_sync(tx, person, now), now).runs
    ends = [run[-1] + timedelta(days=person.sensor_days) for run in runs]
    limits = [*(run[0] for run in runs[1:]), now + timedelta.resolution][: len(runs)]
    return [(run[0], min(end, limit)) for run, end, limit in zip(runs, ends, limits, strict=True)]


def say_two_runs(tx: Transaction, person: Person, earlier: Span, later: Span) -> Outgoing:
    """Say how two runs compare, and that their sensors may be part of it."""
    from bot.frames.whole_days import whole_days_between
    from bot.reply.results_runs import RunSide, two_runs

    def look(span: Span) -> RunSide:
        from bot.frames.days import fasting_between
        from bot.frames.servings import servings_between

        try:
            found = fasting_between(tx, person, *span)
        except InsufficientData:
            found = None
        served = servings_between(tx, person, *span) if person.scores else ()
        scores = [one.evenness.score for one in served if one.evenness is not None]
        return RunSide(*_days(person, span), found, fmean(scores) if scores else None, len(scores))

    whole = whole_days_between(tx, person, earlier[0], later[1])
    parts = []
    for span in (earlier, later):
        first, last = _days(person, span)
        parts.append(tuple(day for day in whole.days if first <= day <= last))
    names = ("the days of the earlier run", "the days of the later run")
    swings = say_spans(tx, person, whole, Parted(parts[0], parts[1], names))
    return Outgoing(person.id, f"{two_runs(look(earlier), look(later), person.unit)}\n{swings.text}")


def _days(person: Person, span: Span) -> tuple[date, date]:
    first, last = (at.astimezone(person.zone).date() for at in (span[0], span[1] - timedelta.resolution))
    return first, last
