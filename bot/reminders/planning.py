"""Which reminders stand for a person, and when each falls due.

Reminders are planned anew after every message from what the log holds, so that there is nothing to keep in
step: a reminder whose reason is gone is simply no longer planned. A "later" one is put off by a button; a
"shift" says nothing and changes the quiet hours.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from bot.model.entries import Meal, Sensor
from bot.reminders import days, habits, rules, trials
from bot.reminders.evenings import plan_evenings, plan_sensor_end, stage_of, told_of_sensors
from bot.reminders.quiet_hours import quiet_of
from bot.reminders.words import say_loss_ahead
from bot.store import Logged, Person, Transaction

LOOK_BACK = timedelta(days=1)
"""A meal older than this is no longer checked, however long the sensor remembers."""
ASKING = ("sync", "later sync", "check", "later check")
"""The kinds of reminders that ask for a sync."""
MOST_FILES = 200
"""So many files show a habit; who posts every few minutes is never asked."""
SPREAD = timedelta(minutes=15)
"""By so much the same sync comes sooner or later than on other days."""
AGAIN_AFTER = timedelta(minutes=30)
"""In short talk the second ask comes only when readings have been lapsing for so long."""
APART = timedelta(minutes=60)
"""In short talk, what would come within this of another ask comes with it."""
WRONG_CLOCK = timedelta(days=1)
"""What is dated further ahead than this was dated by a clock that was wrong."""
Key = tuple[str, int | None]


def plan_reminders(tx: Transaction, person: Person, now: datetime) -> None:
    """Plan what is next to be said; take back what is no longer wanted. A shift that is due begins."""
    tx.reminders.forget_ahead(person.id, now, now + WRONG_CLOCK)
    person, switch_at = _switch_shift(tx, person, now)
    planned = {(r.kind, r.entry_id): r.due_at for r in tx.reminders.pending(person.id)}
    wanted = _wanted(tx, person, now, planned)
    if switch_at is not None:
        wanted["shift", None] = switch_at
    for kind, entry_id in planned.keys() - wanted.keys():
        tx.reminders.cancel(person.id, kind, entry_id)
    for (kind, entry_id), due_at in wanted.items():
        if planned.get((kind, entry_id)) != due_at:
            tx.reminders.plan(person.id, kind, due_at, entry_id)


def _switch_shift(tx: Transaction, person: Person, now: datetime) -> tuple[Person, datetime | None]:
    """Let the shift that holds by now begin; return the person, and when the next change is."""
    switches = [(days.switch_at(s.from_on, person.zone), s) for s in tx.shifts.switches(person.id)]
    begun = [switch for at, switch in switches if at <= now]
    ahead = next((at for at, _ in switches if at > now), None)
    if not begun:
        return person, ahead
    tx.shifts.forget_switches(person.id, begun[-1].from_on)
    for switch in begun:
        tx.shifts.begin(person.id, switch.from_on, switch.name)
    shift = next((s for s in tx.shifts.all(person.id) if s.name == begun[-1].name), None)
    if shift is not None:
        person = tx.people.update(person.id, quiet_from=shift.quiet_from, quiet_to=shift.quiet_to)
    return person, ahead


def _wanted(
    tx: Transaction, person: Person, now: datetime, planned: Mapping[Key, datetime]
) -> dict[Key, datetime]:
    if person.remind == "none":
        return {}
    last, sensor = last_sync(tx, person, now), last_sensor(tx, person)
    at = stage_of(tx, person, last, now)
    wanted = plan_sensor_end(tx, person, now, sensor, at, planned)
    if at.on:
        wanted |= _wanted_of_sensor(tx, person, now, planned)
    if person.remind == "all":
        wanted |= plan_evenings(tx, person, now, planned, wanted.get(("sync", None)))
    return wanted


def _wanted_of_sensor(
    tx: Transaction, person: Person, now: datetime, planned: Mapping[Key, datetime]
) -> dict[Key, datetime]:
    """Return what is to be said while a sensor is on."""
    last, sensor = last_sync(tx, person, now), last_sensor(tx, person)
    wanted: dict[Key, datetime] = {}
    since = kept_since(sensor, last)
    if since is not None:
        asked_at = last_asked(tx, person)
        wanted["sync", None] = _not_late(sync_due(tx, person, since, asked_at, now), person, now, planned)
        if ("later sync", None) in planned and asked_at is not None and asked_at > since:
            wanted["later sync", None] = planned["later sync", None]
    if person.remind == "all":
        wanted |= _wanted_checks(tx, person, now, planned, wanted.get(("sync", None)), _put_on_at(sensor))
        wanted |= _wanted_of_days(tx, person, now, sensor, planned)
        trial = tx.trials.running(person.id)
        if trial is not None:
            wanted[trials.KIND, None] = trials.next_due(tx, person, trial, now, planned)
    return wanted


def reminds(tx: Transaction, person: Person, now: datetime) -> bool:
    """Tell whether reminders of meals and tests are sent: all are wanted, and a sensor is on."""
    return person.remind == "all" and stage_of(tx, person, last_sync(tx, person, now), now).on


def _not_late(due_at: datetime, person: Person, now: datetime, planned: Mapping[Key, datetime]) -> datetime:
    """Return when to ask for a sync; what other hours or another clock have only now made due is not late."""
    before = planned.get(("sync", None))
    if due_at >= now or (before is not None and before <= now):
        return due_at
    return rules.next_allowed(now, quiet_of(person), person.zone)


def _wanted_checks(
    tx: Transaction,
    person: Person,
    now: datetime,
    planned: Mapping[Key, datetime],
    sync_at: datetime | None,
    put_on_at: datetime | None,
) -> dict[Key, datetime]:
    memory = min(timedelta(minutes=person.memory_min), LOOK_BACK)
    meals = [
        m
        for m in tx.log.between(person.id, ("meal",), now - memory, now + memory)
        if isinstance(m.entry, Meal)
        and m.entry.slot != "drink"
        and m.entry.items
        and (put_on_at is None or m.at >= put_on_at)  # no sensor saw the others
    ]
    if not meals:
        return {}
    newest = tx.readings.last_at(person.id)
    asked = {r.entry_id for r in tx.reminders.sent_since(person.id, "check", now - 2 * memory)}
    due = days.check_times(
        [m.at for m in meals], memory_min=person.memory_min, quiet=quiet_of(person), zone=person.zone
    )
    uncovered = [(m, at) for m, at in zip(meals, due, strict=True) if not is_covered(m, newest)]
    if person.talk == "short" and uncovered:
        uncovered = _fewer(tx, person, now, uncovered, sync_at)
    no_checks_until = person.no_checks_until
    if no_checks_until is not None and no_checks_until > now + 2 * WRONG_CLOCK:  # no day is that long
        no_checks_until = None
    wanted: dict[Key, datetime] = {}
    for meal, due_at in uncovered:
        # One that is overdue is still to be said when it was planned before it fell due.
        ahead = due_at is not None and (due_at > now or ("check", meal.id) in planned)
        put_off = no_checks_until is not None and (due_at or now) < no_checks_until
        if due_at is not None and ahead and meal.id not in asked and not put_off:
            wanted["check", meal.id] = due_at
        if ("later check", meal.id) in planned and not put_off:
            wanted["later check", meal.id] = planned["later check", meal.id]
    return wanted


def _fewer(
    tx: Transaction,
    person: Person,
    now: datetime,
    checks: Sequence[tuple[Logged, datetime | None]],
    sync_at: datetime | None,
) -> list[tuple[Logged, datetime | None]]:
    """Return the checks of short talk: one a day, none of a curve that a usual sync brings before it is lost.

    What would come within the hour before the ask for a sync, or after an ask, comes with it or later.
    """
    habit, asked_at = habit_of(tx, person, now), last_asked(tx, person)
    checked = tx.reminders.last_sent(person.id, "check")
    fewer: list[tuple[Logged, datetime | None]] = []
    for meal, due_at in checks:
        if due_at is None:
            continue
        lapse_at = rules.lapse_at(meal.at, person.memory_min)
        begins = days.day_start(due_at, person.zone)
        if checked is not None and checked.settled_at is not None and checked.settled_at >= begins:
            continue
        if habit.syncs_unasked(due_at, lapse_at):
            continue
        if asked_at is not None and due_at - APART < asked_at <= due_at:
            due_at = rules.next_allowed(asked_at + APART, quiet_of(person), person.zone)
        if sync_at is not None and due_at <= sync_at <= due_at + APART:
            due_at = sync_at
        fewer.append((meal, due_at if due_at < lapse_at else None))
    return fewer


def _wanted_of_days(
    tx: Transaction, person: Person, now: datetime, sensor: Logged | None, planned: Mapping[Key, datetime]
) -> dict[Key, datetime]:
    """Return when to say that the sensor ends, and when to ask about a day without notes."""
    quiet, zone = quiet_of(person), person.zone
    wanted: dict[Key, datetime] = {}
    if sensor is not None and isinstance(sensor.entry, Sensor) and sensor.entry.what == "started":
        due_at = days.sensor_end_due(sensor.at, person.sensor_days, quiet, zone)
        said = tx.reminders.sent_since(person.id, "sensor end", sensor.at)
        if (due_at > now or ("sensor end", sensor.id) in planned) and not said:
            wanted["sensor end", sensor.id] = due_at
    if person.nudge:
        noted, last = tx.log.last_logged(person.id), tx.reminders.last_sent(person.id, "nudge")
        after = now if last is None else max(now, last.due_at)
        if ("nudge", None) in planned and planned["nudge", None] <= now:
            after = min(after, planned["nudge", None] - timedelta.resolution)
        due_at = days.nudge_due(after, None if noted is None else noted.logged_at, quiet, zone)
        wanted["nudge", None] = due_at
    return wanted


def loss_ahead(tx: Transaction, person_id: str, now: datetime) -> list[str]:
    """Return the warning that follows from the settings as they are now, if readings lapse before an ask."""
    person = tx.people.get(person_id)
    assert person is not None
    person, _ = _switch_shift(tx, person, now)
    last, sensor = last_sync(tx, person, now), last_sensor(tx, person)
    since = kept_since(sensor, last)
    if since is None or person.remind == "none" or not stage_of(tx, person, last, now).on:
        return []
    asked_at = last_asked(tx, person)
    due_at = sync_due(tx, person, since, asked_at, now)
    ask_at = rules.next_allowed(max(due_at, now), quiet_of(person), person.zone)
    return say_loss_ahead(since, asked_at, ask_at, person, now)


def sync_due(
    tx: Transaction, person: Person, last: datetime, asked_at: datetime | None, now: datetime
) -> datetime:
    """Return when to ask a person for the next sync; what a wrong clock dated ahead does not put it off.

    In short talk, who mostly syncs by then unasked is not asked until shortly before readings lapse.
    """
    last, quiet = min(last, now), quiet_of(person)
    due_at = rules.sync_due(
        last,
        asked_at,
        memory_min=person.memory_min,
        lead_min=person.sync_lead_min,
        quiet=quiet,
        zone=person.zone,
        again_after=timedelta(0) if person.talk == "full" else AGAIN_AFTER,
    )
    if person.talk == "full" or (asked_at is not None and asked_at > last):
        return due_at
    held = habits.hold(due_at, rules.lapse_at(last, person.memory_min), quiet, person.zone)
    is_usual = held > due_at and habit_of(tx, person, now).syncs(due_at - SPREAD, held + SPREAD)
    return held if is_usual else due_at


def habit_of(tx: Transaction, person: Person, now: datetime) -> habits.Habit:
    """Return when the person synced, and was asked to."""
    since = now - habits.LOOK_BACK
    asks = [
        sent.settled_at
        for kind in ASKING
        for sent in tx.reminders.sent_since(person.id, kind, since)
        if sent.settled_at is not None
    ]
    said = [one.at for one in tx.log.between(person.id, ("sync",), since, now)]
    syncs = [*tx.readings.files_since(person.id, since, MOST_FILES), *said]
    begun = tx.shifts.begun(person.id)
    return habits.Habit(tuple(sorted(syncs)), tuple(sorted(asks)), tuple(begun), person.zone)


def last_asked(tx: Transaction, person: Person) -> datetime | None:
    """Return when a sync was asked for last, put off or not."""
    sent = [tx.reminders.last_sent(person.id, kind) for kind in ("sync", "later sync")]
    return max((r.settled_at for r in sent if r is not None and r.settled_at is not None), default=None)


def last_sync(tx: Transaction, person: Person, now: datetime) -> datetime | None:
    """Return when the sensor was last read out: said so, or shown by the newest reading of a file."""
    said = tx.log.last(person.id, ("sync",), until=now + WRONG_CLOCK)
    found = [entry.at for entry in said]
    newest = tx.readings.last_at(person.id, source="file")
    return max([*found, newest] if newest is not None else found, default=None)


def kept_until(tx: Transaction, person: Person, now: datetime) -> tuple[datetime, datetime] | None:
    """Return since when the sensor keeps what is not read out, and when that begins to lapse."""
    last, sensor = last_sync(tx, person, now), last_sensor(tx, person)
    since = kept_since(sensor, last)
    if since is None or not stage_of(tx, person, last, now).on:
        return None
    return since, rules.lapse_at(since, person.memory_min)


def kept_since(sensor: Logged | None, last: datetime | None) -> datetime | None:
    """Return since when the sensor keeps what is not read out: the last sync, or when it was put on later."""
    put_on_at = _put_on_at(sensor)
    return last if put_on_at is None else put_on_at if last is None else max(last, put_on_at)


def _put_on_at(sensor: Logged | None) -> datetime | None:
    """Return when the sensor was put on, None where nothing is said of it, or that it came off."""
    is_on = sensor is not None and isinstance(sensor.entry, Sensor) and sensor.entry.what == "started"
    return sensor.at if sensor is not None and is_on else None


def last_sensor(tx: Transaction, person: Person) -> Logged | None:
    """Return what was last said of a sensor: that it was put on, or came off."""
    return next(iter(told_of_sensors(tx, person)), None)


def is_covered(meal: Logged, newest: datetime | None) -> bool:
    """Tell whether the readings, of which the newest is given, reach two hours past a meal."""
    return newest is not None and newest >= meal.at + rules.CHECK_AFTER - timedelta(minutes=10)
