"""Answers that are a picture first: the run as a calendar, kinds of day, the day from waking, all servings.

What is heavy is imported when a question needs it, so that a noted meal is answered quickly.
"""

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from analysis.errors import InsufficientData
from bot.answers.days import end_of
from bot.answers.sides import Side, amount_of, names, spell_side
from bot.model.entries import Meal, Question
from bot.model.messages import Outgoing, PictureSpec
from bot.reply import numbers
from bot.store import Person, Transaction
from bot.understanding.questions.sorts import USUAL_DAYS

if TYPE_CHECKING:
    from analysis.portions import Portion
    from analysis.results import Serving

LONGEST_RUN = timedelta(days=92)
SERVINGS_BACK = timedelta(days=366)
WEEKEND_KINDS = ("weekday", "weekend")
OFF = "off"


def answer_run(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say how complete the record is, with the run as a calendar."""
    return say_run(tx, person, question.since or now - LONGEST_RUN, end_of(question, now))


def say_run(tx: Transaction, person: Person, since: datetime, until: datetime) -> Outgoing:
    """Say what of [since, until) was read, with its calendar."""
    from bot.frames.run import run_between

    run = run_between(tx, person, since, until)
    if run is None:
        return Outgoing(person.id, "Nothing is on record in that time: no reading and no meal.")
    days = numbers.count(len(run.days), "day")
    nights = numbers.count(run.nights_lost, "night")
    lost = (
        f"{nights} {'is' if run.nights_lost == 1 else 'are'} lost" if run.nights_lost else "no night is lost"
    )
    meals = numbers.count(run.meals, "meal")
    scored = f"{run.scored} of {meals} {'has' if run.scored == 1 else 'have'} a score."
    read = f"{numbers.percent(run.share)} of the time read, {lost}"
    if not person.scores:
        scored = f"{meals} {'is' if run.meals == 1 else 'are'} noted."
    text = (
        f"Your record so far: {days}, {read if any(day.covered for day in run.days) else 'no reading yet'}.\n"
        f"{scored if run.meals else 'No meal is noted yet.'}"
    )
    name = f"run-to-{until.astimezone(person.zone):%Y-%m-%d}"
    return Outgoing(person.id, text, picture=PictureSpec("run", name, since=since, until=until))


def answer_waking(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say how the day goes from waking on, with its picture."""
    from bot.frames.days import from_waking

    since, until = question.since or now - timedelta(days=USUAL_DAYS), end_of(question, now)
    try:
        day, _ = from_waking(tx, person, since, until)
    except InsufficientData:
        return Outgoing(
            person.id,
            "I can't tell yet: for a day from waking I need your nights, like “slept 22:10 to 6:30”, and "
            "readings after them.",
        )
    bins, n = day.bins["all"], day.days["all"]
    high = max(bins, key=lambda b: b.median)
    text = (
        f"Your day from waking, over {numbers.count(n, 'day')} whose waking you noted: it is highest "
        f"{numbers.minutes(high.minute)} after waking, at "
        f"{numbers.glucose_with_unit(high.median, person.unit)}."
    )
    name = f"from-waking-to-{until.astimezone(person.zone):%Y-%m-%d}"
    return Outgoing(person.id, text, picture=PictureSpec("waking", name, since=since, until=until))


def answer_shifts(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Compare two kinds of day: shifts that were told, days off, weekdays and weekends."""
    from bot.frames.days import average_between, lines_by_day, shift_days
    from bot.reply.results_days import kinds_of_day

    since, until = question.since or now - timedelta(days=USUAL_DAYS), end_of(question, now)
    kinds = (question.subject, question.against)
    told = shift_days(tx, person, since, until)
    groups: dict[str, list[int]] = {kind: [] for kind in kinds}
    for day in lines_by_day(tx, person, since, until):
        weekend = WEEKEND_KINDS[day.weekday() >= 5]
        of = [kind for kind in kinds if kind in (weekend, told.get(day))]
        if len(of) == 1:  # a late shift on a weekday is no clean day of either
            groups[of[0]].append(day.toordinal())
    labels = [_label(kind) for kind in kinds]
    missing = [label for label, kind in zip(labels, kinds, strict=True) if not groups[kind]]
    if missing:
        how = (
            ""
            if set(kinds) <= set(WEEKEND_KINDS)
            else " Tell me your shifts, like “early shift from Monday”."
        )
        return Outgoing(person.id, f"I can't tell yet: I have no day with readings of {missing[0]}.{how}")
    by_label = [(label, tuple(groups[kind])) for label, kind in zip(labels, kinds, strict=True)]
    tags = {datetime.fromordinal(n).date(): label for label, days in by_label for n in days}
    found = average_between(tx, person, since, until, tags=tags)
    text = kinds_of_day(found, (labels[0], labels[1]), unit=person.unit)
    name = f"{'-'.join(kinds)}-to-{until.astimezone(person.zone):%Y-%m-%d}"
    spec = PictureSpec("two", name, since=since, until=until, groups=tuple(by_label))
    return Outgoing(person.id, text, picture=spec)


def _label(kind: str) -> str:
    if kind in WEEKEND_KINDS:
        return f"{kind}s"
    return "days off" if kind == OFF else f"{kind} shifts"


def answer_servings(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Show every serving of a food or meal on one scale, by portion."""
    from analysis.portions import tell_servings
    from bot.frames.servings import occasions_between

    since, until = question.since or now - SERVINGS_BACK, end_of(question, now)
    found = occasions_between(tx, person, since, until)
    noted = [logged.entry for _, logged in found if isinstance(logged.entry, Meal)]
    words = spell_side(Side(question.subject), noted).words
    of = [(serving, logged.entry) for serving, logged in found if isinstance(logged.entry, Meal)]
    chosen = [(serving, meal) for serving, meal in of if names(words, meal)]
    drawn = [(serving, meal) for serving, meal in chosen if serving.mmol.size]
    if not drawn:
        said = f"I have no serving of {words} with readings"
        noted_words = f" (noted {numbers.count(len(chosen), 'time')})" if chosen else ""
        return Outgoing(person.id, f"{said}{noted_words}.")
    portions, what = portion_all(words, drawn)
    said = tell_servings(portions, what)
    text = f"{words.capitalize()}, {said}." + (
        "" if len(portions) > 1 else " More servings will show what the portion does."
    )
    ids = tuple(serving.entry_id for serving, _ in drawn)
    name = f"servings-to-{until.astimezone(person.zone):%Y-%m-%d-%H%M}"
    return Outgoing(person.id, text, picture=PictureSpec("servings", name, groups=((words, ids),)))


def portion_all(words: str, servings: "list[tuple[Serving, Meal]]") -> "tuple[list[Portion], str]":
    """Return servings with the grams of what `words` names, or of carbohydrate where they name a meal."""
    from analysis.portions import Portion

    grams = [amount_of(words, meal) for _, meal in servings]
    if all(amount is None for amount in grams):
        return [Portion(serving, serving.carbs_g) for serving, _ in servings], "carbs"
    return [Portion(serving, amount) for (serving, _), amount in zip(servings, grams, strict=True)], words
