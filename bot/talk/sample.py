"""The invented sample of the tour: a meal and readings that are marked while they are there, then gone."""

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from bot.answers.meals import say_new_curves
from bot.language.texts import say
from bot.model.messages import Button, Incoming, Outgoing
from bot.reply import tour as said
from bot.store import Person, Transaction
from bot.talk.heard import Heard
from bot.talk.incoming_readings import store_file
from bot.talk.recording import record
from bot.understanding import Context, understand

DAYS_AGO = timedelta(days=4)
"""So long ago that no reminder looks for a sensor that was never there."""
KEPT_SAMPLE = timedelta(days=1)
"""So long an invented sample is there that nobody takes out: no review is to look back on it."""
NAME = "invented.csv"
STEP = timedelta(minutes=5)
BEFORE, AFTER = timedelta(hours=30), timedelta(hours=3)
"""The meal is not on its sensor's first day."""
LEVEL, SWAY, RISE, PEAK_MIN = 5.2, 0.15, 2.4, 45


def note_meal(heard: Heard) -> None:
    """Note the invented meal; its update is what the sample is known by."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    eaten_at = meal_at(person, now)
    context = Context(
        now=eaten_at + timedelta(hours=1), zone=person.zone, table=heard.table(), unit=person.unit
    )
    record(heard, understand(f"{said.SAMPLE_MEAL} at 12:30", context).entries)
    tx.first_hour.keep_sample(person.id, heard.incoming.update_id)


def add_readings(heard: Heard) -> list[Outgoing]:
    """Take in the invented file as any other, under the update of the sample; answer with the curve."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    update_id = tx.first_hour.sample(person.id)
    assert update_id is not None  # the meal was noted before
    found = heard.read(_file_around(meal_at(person, now)), NAME, zone=person.zone, now=now)
    _, completed = store_file(tx, person, found, NAME, Incoming(person.id, update_id, now))
    return say_new_curves(tx, person, completed, now)


def drop_sample(tx: Transaction, person: Person) -> str:
    """Take the sample out before anything real comes beside it; return what to say of it, "" without one."""
    return say(said.SAMPLE_GONE) if tx.first_hour.drop_sample(person.id) else ""


def mark_sample(tx: Transaction, person: Person, replies: list[Outgoing]) -> list[Outgoing]:
    """Mark every picture that is sent while the sample is there, with a button that takes it out."""
    if not any(reply.drawn for reply in replies) or tx.first_hour.sample(person.id) is None:
        return replies
    button = Button(say(said.LABEL_REMOVE), f"{said.PRESS}:{said.DROP}")
    return [
        replace(reply, text=f"{reply.text}\n{say(said.MARKED)}", buttons=(*reply.buttons, button))
        if reply.drawn
        else reply
        for reply in replies
    ]


def meal_at(person: Person, now: datetime) -> datetime:
    """Return when the invented meal was eaten."""
    return (now - DAYS_AGO).astimezone(person.zone).replace(hour=12, minute=30, second=0, microsecond=0)


def _file_around(eaten_at: datetime) -> bytes:
    """Return a file of readings around a meal: a level that sways, and one rise from the first bite."""
    start = (eaten_at - BEFORE).astimezone(UTC)
    rows = ["time,glucose mmol/L"]
    for k in range((BEFORE + AFTER) // STEP + 1):
        at = start + k * STEP
        since_min = (at - eaten_at) / timedelta(minutes=1)
        rise = RISE * since_min / PEAK_MIN * math.exp(1 - since_min / PEAK_MIN) if since_min > 0 else 0.0
        value = LEVEL + SWAY * math.sin(k / 19) + rise
        rows.append(f"{at:%Y-%m-%dT%H:%M:%SZ},{value:.1f}")
    return "\n".join(rows).encode()
