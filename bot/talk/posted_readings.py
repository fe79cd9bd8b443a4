"""Readings that a program posts: stored like those of a file, and new curves told in the chat."""

import hashlib
from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.answers.meals import say_new_curves
from bot.intake import FileReadings
from bot.language.texts import speaking
from bot.model.errors import BadFile
from bot.model.messages import Incoming, Outgoing, Post
from bot.reminders import rules
from bot.reminders.planning import plan_reminders
from bot.reminders.quiet_hours import quiet_of
from bot.reminders.rules import CHECK_AFTER
from bot.reply.cautions import concerns_of_readings
from bot.store import Person, Store, StoredReadings, Transaction
from bot.talk.brief import unsaid
from bot.talk.cautions import say_due
from bot.talk.day_card import put_card
from bot.talk.incoming_readings import OF_READINGS, check_room, store_file
from bot.talk.reading_files import read_safely
from bot.talk.sample import drop_sample

KEEP_ANSWERS = timedelta(days=1)
"""A post that names itself by a key and comes again within this time gets the answer it got before."""

_NAME = "This post"
_KEY_TAKEN = "This Idempotency-Key came before with other readings; give each post a key of its own."


def take_post(
    store: Store, post: Post, now: datetime, *, cards: bool
) -> tuple[dict[str, object], list[Outgoing]] | None:
    """Store posted readings; return the answer as `import --json` gives it and what to say in the chat.

    None when the person is no longer known; BadFile when the body holds no readings. Nothing changes when
    everything in it is known. The file is read outside the transaction, which so stays short.
    cards: the card of the day is brought up to date
    """
    with store.read() as tx:
        person = tx.people.get(post.person)
    if person is None:
        return None
    found = read_safely(
        post.body,
        _NAME,
        zone=person.zone,
        unit=post.unit,
        now=now,
        column=post.column,
        day_first=post.day_first,
    )
    said = "".join(str(each) for each in (post.unit, post.column, post.day_first) if each is not None)
    digest = hashlib.sha256(post.body + said.encode()).hexdigest()
    with store.begin() as tx:
        tx.people.lock(post.person)
        person = tx.people.get(post.person)
        if person is None:
            return None
        if post.key is None:
            return _store(tx, person, found, digest, now, cards)
        tx.posts.forget(person.id, before=now - KEEP_ANSWERS, after=now + KEEP_ANSWERS)
        before = tx.posts.answered(person.id, post.key)
        if before is not None and before[0] != digest:
            raise BadFile(_KEY_TAKEN)
        if before is not None:
            return before[1], []
        answer, messages = _store(tx, person, found, digest, now, cards)
        tx.posts.keep(person.id, post.key, digest, answer, now)
        return answer, messages


def _store(
    tx: Transaction, person: Person, found: FileReadings, digest: str, now: datetime, cards: bool
) -> tuple[dict[str, object], list[Outgoing]]:
    update_id = f"post:{digest}"
    check_room(tx, person, found, _NAME, second=False)
    drop_sample(tx, person)
    stored, completed = store_file(tx, person, found, "post", Incoming(person.id, update_id, now))
    tx.first_hour.settle(person.id, *OF_READINGS)
    plan_reminders(tx, person, now)
    with speaking(*person.spoken):
        messages = unsaid(tx, _tell(tx, person, completed, now), now)
        said = [tx.outbox.put(m, at=now, update_id=update_id) for m in messages]
        said += put_card(tx, person, now, anew=True) if cards else []
    return to_json(found, stored), said


def _tell(tx: Transaction, person: Person, completed: Sequence[int], now: datetime) -> list[Outgoing]:
    """Word what is worth a message: curves that are new, outside the quiet hours."""
    if not completed or rules.in_quiet(now, quiet_of(person), person.zone):
        return []
    meals = [meal for meal in map(tx.log.get, completed) if meal is not None]
    values = [
        reading.mmol
        for meal in meals
        for reading in tx.readings.between(person.id, meal.at, meal.at + CHECK_AFTER)
    ]
    concerns = concerns_of_readings(min(values), max(values)) if values else []
    cautions = say_due(tx, person, concerns, now)
    return [
        *(Outgoing(person.id, text) for text in cautions),
        *say_new_curves(tx, person, completed, now),
    ]


def to_json(found: FileReadings, stored: StoredReadings) -> dict[str, object]:
    """Return what came of a file as `import --json` prints it."""
    return {
        "stored": stored.stored,
        "known": stored.known,
        "flagged": found.flagged,
        "skipped": found.skipped,
        "first": stored.first_at and stored.first_at.strftime("%Y-%m-%dT%H:%M:%SZ"),
        "last": stored.last_at and stored.last_at.strftime("%Y-%m-%dT%H:%M:%SZ"),
        "unit": found.unit,
        "columns": found.columns,
        "warnings": [*(f"line {p.line}: {p.what}" for p in found.problems), *found.warnings],
    }
