"""Answers over days: one day, the average day, weekdays against weekends, a summary, fasting, eating times.

What is heavy is imported when a question needs it, so that a noted meal is answered quickly.
"""

from dataclasses import replace
from datetime import date, datetime, time, timedelta

from analysis.errors import InsufficientData
from bot.model.entries import Question
from bot.model.messages import Outgoing, PictureSpec
from bot.reminders.rules import first_instant
from bot.store import Person, Transaction
from bot.understanding.questions.sorts import USUAL_DAYS
from bot.understanding.settings.older import read_older

LONGEST_DAY = timedelta(hours=25, minutes=1)
"""A local day is never longer, not even the one on which clocks are put back."""


def answer_days(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Answer a question over days by its sort."""
    since, until = question.since or now - timedelta(days=USUAL_DAYS), end_of(question, now)
    if question.sort == "eating window":
        return say_eating(tx, person, since, until)
    if question.sort == "average day":
        return say_average(tx, person, since, until)
    if question.sort == "weekends":
        return say_weekends(tx, person, since, until)
    return say_summary(tx, person, since, until, a1c=question.sort == "a1c")


def end_of(question: Question, now: datetime) -> datetime:
    """Return where a question's span ends: where it says, else just behind now, so that now is in it."""
    ends = question.until
    return ends if ends is not None and ends < now else now + timedelta.resolution


def answer_day(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Answer “show Tuesday” with that day, “the last 3 days” with their summary and average day."""
    until = end_of(question, now)
    since = question.since or first_instant(now.astimezone(person.zone).date(), time(0), person.zone)
    if until - since > LONGEST_DAY:
        said = say_summary(tx, person, since, until)
        drawn = say_average(tx, person, since, until)
        return Outgoing(person.id, said.text, picture=drawn.picture)
    return say_day(tx, person, since, until)


def say_day(tx: Transaction, person: Person, since: datetime, until: datetime) -> Outgoing:
    """Say one local day, [since, until), with its picture where there is anything to draw."""
    from bot.frames.days import look_at_day, summary_between
    from bot.reply.results_days import one_day

    look = look_at_day(tx, person, since, until)
    try:
        summary = summary_between(tx, person, since, until)
    except InsufficientData:
        summary = None
    if not person.scores:
        look = replace(look, servings=())
    text = one_day(look, summary, zone=person.zone, unit=person.unit)
    if look.readings.empty and not look.meals:
        return Outgoing(person.id, text)
    name = f"day-{since.astimezone(person.zone):%Y-%m-%d}"
    return Outgoing(person.id, text, picture=PictureSpec("day", name, since=since, until=until))


def say_average(tx: Transaction, person: Person, since: datetime, until: datetime) -> Outgoing:
    """Say how the usual day goes, with its picture."""
    from bot.frames.days import average_between
    from bot.reply.results_days import average

    try:
        found = average_between(tx, person, since, until)
    except InsufficientData:
        return _nothing(tx, person, since)
    text = average(found, unit=person.unit, days=_days(tx, person, since, until))
    name = f"average-day-to-{_day(until, person)}"
    return Outgoing(person.id, text, picture=PictureSpec("average", name, since=since, until=until))


def say_weekends(tx: Transaction, person: Person, since: datetime, until: datetime) -> Outgoing:
    """Say how weekdays and weekends differ, with their picture once there are both."""
    from bot.frames.days import average_between, contrast_weekends
    from bot.reply.results_days import weekends

    try:
        found = average_between(tx, person, since, until, weekends=True)
    except InsufficientData:
        return _nothing(tx, person, since)
    try:
        means = contrast_weekends(tx, person, since, until)
    except InsufficientData:
        means = None
    spec = PictureSpec("two", f"weekdays-weekends-to-{_day(until, person)}", since=since, until=until)
    text = weekends(found, means, unit=person.unit)
    return Outgoing(person.id, text, picture=spec if len(found.days) == 2 else None)


def _day(until: datetime, person: Person) -> str:
    return f"{until.astimezone(person.zone):%Y-%m-%d}"


def say_summary(
    tx: Transaction, person: Person, since: datetime, until: datetime, *, a1c: bool = False
) -> Outgoing:
    """Say the mean, the spread and the shares of time; or the published estimates of A1c, if asked for."""
    from bot.frames.days import summary_between
    from bot.reply import results_days

    try:
        found = summary_between(tx, person, since, until)
    except InsufficientData:
        return _nothing(tx, person, since)
    say = results_days.a1c if a1c else results_days.summary
    return Outgoing(person.id, say(found, unit=person.unit, days=_days(tx, person, since, until)))


def _nothing(tx: Transaction, person: Person, since: datetime) -> Outgoing:
    """Say that there are no readings in a span, and how to reach older ones."""
    from bot.reply.results_days import no_readings

    newest = tx.readings.last_at(person.id)
    return Outgoing(person.id, no_readings(newest, since, person.zone))


def _days(tx: Transaction, person: Person, since: datetime, until: datetime) -> tuple[date, date]:
    """Return the first and the last local day with readings in a span."""
    from bot.frames.days import days_read

    return days_read(tx, person, since, until)


def say_fasting(tx: Transaction, person: Person, since: datetime, until: datetime) -> Outgoing:
    """Say the fasting level and where it goes, with its picture once there are enough days."""
    from bot.frames.days import fasting_between
    from bot.reply.results_fasting import fasting, few_fasting, say_older

    older = [told for fact in tx.facts.all(person.id) if (told := read_older(fact)) is not None]
    beside = say_older(older, person.unit)
    try:
        found = fasting_between(tx, person, since, until)
    except InsufficientData as few:
        return Outgoing(person.id, "\n".join([few_fasting(few, person.unit), *beside]))
    name = f"fasting-to-{_day(until, person)}"
    picture = PictureSpec("fasting", name, since=since, until=until)
    return Outgoing(person.id, "\n".join([fasting(found, person.unit), *beside]), picture=picture)


def say_eating(tx: Transaction, person: Person, since: datetime, until: datetime) -> Outgoing:
    """Say when and how often one eats."""
    from bot.frames.days import eating_between
    from bot.reply.results_fasting import eating

    found = eating_between(tx, person, since, until)
    name = f"eating-to-{_day(until, person)}"
    picture = PictureSpec("eating", name, since=since, until=until) if found.days else None
    return Outgoing(person.id, eating(found), picture=picture)
