"""The line that closes a day, for whoever asked for it: what is missing, and what its curves said."""

from collections import Counter
from datetime import datetime, timedelta

from bot.model.entries import Meal, Slot
from bot.model.messages import Outgoing
from bot.reminders import days, rules
from bot.reminders.quiet_hours import quiet_of
from bot.store import Person, Transaction

LOOK_BACK = timedelta(days=14)
MAIN: tuple[Slot, ...] = ("breakfast", "lunch", "dinner")
LEAST_DAYS = 3
HALF = 0.5
"""A meal is missed where it was noted on such a share of the days before, and on `LEAST_DAYS` at least."""
AROUND = timedelta(hours=2)
"""So long after its time the line is still worth saying."""
MOST_SCORES = 4


def close_day(tx: Transaction, person: Person, now: datetime) -> Outgoing | None:
    """Return the line about the day that ends, None where its evening is over or nothing is to be said."""
    quiet, zone = quiet_of(person), person.zone
    if days.evening_due(now - AROUND, quiet, zone) > now + AROUND:
        return None
    since = day_began(person, now)
    lines = [*_say_meals(tx, person, since, now), *_say_curves(tx, person, since, now)]
    return Outgoing(person.id, " ".join(lines), reminder=True) if lines else None


def day_began(person: Person, now: datetime) -> datetime:
    """Return when the day of `now` began: at the end of the last night, without one at midnight."""
    quiet, zone = quiet_of(person), person.zone
    if not days.is_night(quiet):
        return days.day_start(now, zone)
    today = now.astimezone(zone).date()
    ends = (rules.first_instant(today - timedelta(days=n), quiet.end, zone) for n in range(3))
    return next(end for end in ends if end <= now)


def _say_meals(tx: Transaction, person: Person, since: datetime, now: datetime) -> list[str]:
    """Say which of the usual meals is not noted today."""
    noted = tx.log.between(person.id, ("meal",), since - LOOK_BACK, now + timedelta.resolution)
    meals = [(one.at, one.entry) for one in noted if isinstance(one.entry, Meal) and one.entry.items]
    of_days = {(at.astimezone(person.zone).date(), meal.slot) for at, meal in meals if at < since}
    times = Counter(slot for _, slot in of_days)
    least = max(LEAST_DAYS, HALF * len({day for day, _ in of_days}))
    usual = [slot for slot in MAIN if times[slot] >= least]
    today = {meal.slot for at, meal in meals if at >= since}
    missing = [slot for slot in usual if slot not in today]
    if missing:
        return [f"I have no {' or '.join(missing)} from you today: if you ate, tell me what and when."]
    return ["Your usual meals are all noted."] if usual else []


def _say_curves(tx: Transaction, person: Person, since: datetime, now: datetime) -> list[str]:
    """Say how the meals of the day scored, as far as that is known."""
    if not person.scores:
        return []
    from bot.frames.servings import servings_between

    scored = [one for one in servings_between(tx, person, since, now) if one.evenness is not None]
    if not scored:
        return []
    said = [f"{one.slot} {one.evenness.score:.0f}" for one in scored[:MOST_SCORES] if one.evenness]
    return [f"Evenness today: {', '.join(said)}."]
