"""Which reminders stand for a person, and when each falls due.

Reminders are planned anew after every message from what the log holds, so that there is nothing to keep in
step: a reminder whose reason is gone is simply no longer planned. A "later" one is put off by a button; a
"shift" says nothing and changes the quiet hours.
"""

from collections.abc import Mapping
from datetime import datetime, timedelta

from bot.model.entries import Meal, Sensor
from bot.reminders import days, rules, trials
from bot.reminders.evenings import plan_evenings, plan_sensor_end, stage_of
from bot.reminders.quiet_hours import quiet_of
from bot.reminders.words import say_loss_ahead
from bot.store import Logged, Person, Transaction

LOOK_BACK = timedelta(days=1)
"""A meal older than this is no longer checked, however long the sensor remembers."""
Key = tuple[str, int | None]


def plan_reminders(tx: Transaction, person: Person, now: datetime) -> None:
    """Plan what is next to be said; take back what is no longer wanted. A shift that is due begins."""
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
    last, sensor = last_sync(tx, person), last_sensor(tx, person)
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
    last, sensor = last_sync(tx, person), last_sensor(tx, person)
    wanted: dict[Key, datetime] = {}
    since = kept_since(sensor, last)
    if since is not None:
        asked_at = last_asked(tx, person)
        wanted["sync", None] = _not_late(sync_due(person, since, asked_at, now), person, now, planned)
        if ("later sync", None) in planned and asked_at is not None and asked_at > since:
            wanted["later sync", None] = planned["later sync", None]
    if person.remind == "all":
        wanted |= _wanted_checks(tx, person, now, planned)
        wanted |= _wanted_of_days(tx, person, now, sensor, planned)
        trial = tx.trials.running(person.id)
        if trial is not None:
            wanted[trials.KIND, None] = trials.next_due(tx, person, trial, now, planned)
    return wanted


def reminds(tx: Transaction, person: Person, now: datetime) -> bool:
    """Tell whether reminders of meals and tests are sent: all are wanted, and a sensor is on."""
    return person.remind == "all" and stage_of(tx, person, last_sync(tx, person), now).on


def _not_late(due_at: datetime, person: Person, now: datetime, planned: Mapping[Key, datetime]) -> datetime:
    """Return when to ask for a sync; what other hours or another clock have only now made due is not late."""
    before = planned.get(("sync", None))
    if due_at >= now or (before is not None and before <= now):
        return due_at
    return rules.next_allowed(now, quiet_of(person), person.zone)


def _wanted_checks(
    tx: Transaction, person: Person, now: datetime, planned: Mapping[Key, datetime]
) -> dict[Key, datetime]:
    memory = min(timedelta(minutes=person.memory_min), LOOK_BACK)
    meals = [
        m
        for m in tx.log.between(person.id, ("meal",), now - memory, now + memory)
        if isinstance(m.entry, Meal) and m.entry.slot != "drink" and m.entry.items
    ]
    if not meals:
        return {}
    newest = tx.readings.last_at(person.id)
    asked = {r.entry_id for r in tx.reminders.sent_since(person.id, "check", now - 2 * memory)}
    due = days.check_times(
        [m.at for m in meals], memory_min=person.memory_min, quiet=quiet_of(person), zone=person.zone
    )
    wanted: dict[Key, datetime] = {}
    for meal, due_at in zip(meals, due, strict=True):
        if is_covered(meal, newest):
            continue
        # One that is overdue is still to be said when it was planned before it fell due.
        ahead = due_at is not None and (due_at > now or ("check", meal.id) in planned)
        put_off = person.no_checks_until is not None and (due_at or now) < person.no_checks_until
        if due_at is not None and ahead and meal.id not in asked and not put_off:
            wanted["check", meal.id] = due_at
        if ("later check", meal.id) in planned and not put_off:
            wanted["later check", meal.id] = planned["later check", meal.id]
    return wanted


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
    last, sensor = last_sync(tx, person), last_sensor(tx, person)
    since = kept_since(sensor, last)
    if since is None or person.remind == "none" or not stage_of(tx, person, last, now).on:
        return []
    asked_at = last_asked(tx, person)
    due_at = sync_due(person, since, asked_at, now)
    ask_at = rules.next_allowed(max(due_at, now), quiet_of(person), person.zone)
    return say_loss_ahead(since, asked_at, ask_at, person, now)


def sync_due(person: Person, last: datetime, asked_at: datetime | None, now: datetime) -> datetime:
    """Return when to ask a person for the next sync; what a wrong clock dated ahead does not put it off."""
    return rules.sync_due(
        min(last, now),
        asked_at,
        memory_min=person.memory_min,
        lead_min=person.sync_lead_min,
        quiet=quiet_of(person),
        zone=person.zone,
    )


def last_asked(tx: Transaction, person: Person) -> datetime | None:
    """Return when a sync was asked for last, put off or not."""
    sent = [tx.reminders.last_sent(person.id, kind) for kind in ("sync", "later sync")]
    return max((r.settled_at for r in sent if r is not None and r.settled_at is not None), default=None)


def last_sync(tx: Transaction, person: Person) -> datetime | None:
    """Return when the sensor was last read out: said so, or shown by the newest reading of a file."""
    said = tx.log.last(person.id, ("sync",))
    found = [entry.at for entry in said]
    newest = tx.readings.last_at(person.id, source="file")
    return max([*found, newest] if newest is not None else found, default=None)


def kept_until(tx: Transaction, person: Person, now: datetime) -> tuple[datetime, datetime] | None:
    """Return since when the sensor keeps what is not read out, and when that begins to lapse."""
    last, sensor = last_sync(tx, person), last_sensor(tx, person)
    since = kept_since(sensor, last)
    if since is None or not stage_of(tx, person, last, now).on:
        return None
    return since, rules.lapse_at(since, person.memory_min)


def kept_since(sensor: Logged | None, last: datetime | None) -> datetime | None:
    """Return since when the sensor keeps what is not read out: the last sync, or when it was put on later."""
    if sensor is None or not isinstance(sensor.entry, Sensor) or sensor.entry.what != "started":
        return last
    return sensor.at if last is None else max(last, sensor.at)


def last_sensor(tx: Transaction, person: Person) -> Logged | None:
    """Return what was last said of a sensor: that it was put on, or came off."""
    return next((e for e in tx.log.last(person.id, ("sensor",))), None)


def is_covered(meal: Logged, newest: datetime | None) -> bool:
    """Tell whether the readings, of which the newest is given, reach two hours past a meal."""
    return newest is not None and newest >= meal.at + rules.CHECK_AFTER - timedelta(minutes=10)
