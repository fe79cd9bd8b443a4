"""Answers about the night that is over: how its readings went, and how long nothing was eaten around it."""

from datetime import datetime, time, timedelta

from analysis.eating import counts_as_eating
from analysis.errors import InsufficientData
from bot.language.texts import say
from bot.model.entries import Meal, Question, Sleep
from bot.model.messages import Outgoing
from bot.model.naming import title
from bot.reminders.rules import first_instant
from bot.reply import numbers
from bot.store import Logged, Person, Transaction

NIGHT_FROM, NIGHT_TO = time(0), time(6)
"""The night where no sleep is noted: as Danne 2017, Diabetes Care 40, parts the day of a sensor's data."""
_A_NIGHT, _A_DAY, _LOOK_BACK = timedelta(hours=3), timedelta(days=1), timedelta(days=2)


def answer_night(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Answer “how was my night” by its readings, “how long without food” by the meals around it."""
    noted = _find_sleep(tx, person, now)
    since, until = noted or _usual_night(person, now)
    if question.subject:
        return Outgoing(person.id, _say_gap(tx, person, since + (until - since) / 2, now))
    what = say("Your sleep") if noted else say("Last night")
    return Outgoing(person.id, _say_readings(tx, person, since, until, what))


def _find_sleep(tx: Transaction, person: Person, now: datetime) -> tuple[datetime, datetime] | None:
    """Return the last long sleep that was noted with both ends and ended within a day."""
    for logged in tx.log.between(person.id, ("sleep",), now - _LOOK_BACK, now)[::-1]:
        night = logged.entry
        if not isinstance(night, Sleep) or night.from_at is None or night.to_at is None:
            continue
        if now - _A_DAY <= night.to_at <= now and night.to_at - night.from_at >= _A_NIGHT:
            return night.from_at, night.to_at
    return None


def _usual_night(person: Person, now: datetime) -> tuple[datetime, datetime]:
    today = now.astimezone(person.zone).date()
    if first_instant(today, NIGHT_TO, person.zone) > now:
        today -= _A_DAY
    return first_instant(today, NIGHT_FROM, person.zone), first_instant(today, NIGHT_TO, person.zone)


def _say_readings(tx: Transaction, person: Person, since: datetime, until: datetime, what: str) -> str:
    from bot.frames.days import look_at_day, summary_between
    from bot.reply.results_days import one_night

    try:
        summary = summary_between(tx, person, since, until)
    except InsufficientData:
        summary = None
    look = look_at_day(tx, person, since, until)
    return one_night(look, summary, what, until, zone=person.zone, unit=person.unit)


def _say_gap(tx: Transaction, person: Person, middle: datetime, now: datetime) -> str:
    """Say from when to when nothing was eaten around the middle of a night."""
    from bot.frames.days import local_meals

    frame = local_meals(tx, person, now - _LOOK_BACK, now + timedelta.resolution)
    eaten = {int(i) for i in frame[counts_as_eating(frame)]["entry_id"]} if len(frame) else set()
    meals = sorted((one for i in eaten if (one := tx.log.get(i)) is not None), key=lambda one: one.at)
    before = [one for one in meals if one.at <= middle]
    after = [one for one in meals if one.at > middle]
    if not before:
        return say("I have no meal noted before that night, so I can't tell how long you went without food.")
    first = before[-1]
    ended = (after[0].at if after else now) - first.at
    hours = numbers.minutes(ended / timedelta(minutes=1))
    if not after:
        meal = _name(first, person, now)
        return say("{hours} so far: nothing is noted since {meal}.", hours=hours, meal=meal)
    ends = {"first": _name(first, person, now), "next": _name(after[0], person, now)}
    return say("{hours}: from {first}, to {next}.", hours=hours, **ends)


def _name(logged: Logged, person: Person, now: datetime) -> str:
    assert isinstance(logged.entry, Meal)
    return f"{logged.entry.slot} {numbers.day_and_clock(logged.at, person.zone, now)}, {title(logged.entry)}"
