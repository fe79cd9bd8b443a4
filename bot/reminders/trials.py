"""When a trial's next serving is due, and what is said then."""

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta

from bot.model.entries import Meal
from bot.model.messages import Button
from bot.reminders import rules
from bot.reminders.habits import shift_on
from bot.reminders.quiet_hours import quiet_of
from bot.store import Person, StoredTrial, Switch, Transaction

KIND = "trial"
AHEAD = timedelta(minutes=30)
"""So long before the usual time of the meal it is said."""
LOOK_BACK = timedelta(days=14)
LATEST = 3
"""The usual time is the middle one of so many meals: people with shifts do not eat by last week's clock."""
CLOCKS = {"breakfast": time(7, 30), "lunch": time(12, 30), "dinner": time(18, 30), "snack": time(15, 30)}
"""Where none is noted."""
DAYS_AHEAD = 10
BUTTON = "Test not today"


def next_due(
    tx: Transaction,
    person: Person,
    trial: StoredTrial,
    now: datetime,
    planned: Mapping[tuple[str, int | None], datetime] | None = None,
) -> datetime:
    """Return when to say which arm is due: before the usual time, on the first day that is not done yet.

    A day is done when that meal was eaten on it, when it was said already, or was put off. There can be
    several snacks a day: of them only those of the test's own foods count.
    """
    zone, quiet = person.zone, quiet_of(person)
    slot = str(trial.protocol["protocol"]["slot"])
    noted = tx.log.between(person.id, ("meal",), now - LOOK_BACK, now + timedelta(minutes=1))
    meals = [
        (one.at.astimezone(zone), _is_tested(trial, one.entry))
        for one in noted
        if isinstance(one.entry, Meal) and one.entry.slot == slot and one.entry.items
    ]
    tested = [at for at, own in meals if own]
    eaten = tested or [at for at, _ in meals]
    begun = tx.shifts.begun(person.id)
    sent = tx.reminders.last_sent(person.id, KIND)
    done = {at.date() for at, own in meals if own or slot != "snack"}
    if sent is not None and sent.settled_at is not None:
        done.add(sent.settled_at.astimezone(zone).date())
    before = (planned or {}).get((KIND, None))
    rests = trial.put_off_until
    today = now.astimezone(zone).date()
    for n in range(DAYS_AHEAD):
        day = today + timedelta(days=n)
        clock = usual_clock(_clocks_of(day, eaten, begun), slot)
        due = rules.next_allowed(rules.first_instant(day, clock, zone) - AHEAD, quiet, zone)
        ahead = due >= now or before == due  # what fell due while nobody ran is still to be said
        if day not in done and ahead and (rests is None or due >= rests):
            return due
    return due


def _is_tested(trial: StoredTrial, meal: Meal) -> bool:
    """Tell whether a meal holds all foods of either arm."""
    from bot.frames.rows import food_of

    held = {food_of(item) for item in meal.items}
    return any(plate <= held for plate in trial.plates)


def _clocks_of(day: date, eaten: list[datetime], begun: list[Switch]) -> list[time]:
    """Return the clock times of meals on days of the shift of `day`; of all where there are none such."""
    shift = shift_on(day, begun)
    alike = [at.time() for at in eaten if shift_on(at.date(), begun) == shift]
    return alike or [at.time() for at in eaten]


def usual_clock(clocks: list[time], slot: str) -> time:
    """Return the middle one of the latest times of a meal, of two the earlier; without any a common one.

    >>> usual_clock([time(9), time(4, 20), time(4, 25), time(4, 20)], "breakfast")
    datetime.time(4, 20)
    """
    latest = sorted(clocks[-LATEST:])
    if not latest:
        return CLOCKS.get(slot, time(12))
    return latest[(len(latest) - 1) // 2].replace(second=0, microsecond=0)


def say_trial(tx: Transaction, person: Person, now: datetime) -> tuple[str, Button] | None:
    """Return which arm is due today and the button that puts it off; None where none is."""
    trial = tx.trials.running(person.id)
    if trial is None:
        return None
    from bot.frames.trials import stand
    from bot.reply.results_trials import due

    found = stand(tx, person, trial, now)
    if found.course.due is None or (trial.put_off_until is not None and trial.put_off_until > now):
        return None
    return due(found.protocol, found.course), Button(BUTTON, f"trial:later,{trial.id}")
