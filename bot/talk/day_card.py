"""The card of a day: one message a waking day, pinned, and edited without a sound as the day goes on.

It stands only where a messenger can pin; elsewhere the list of the day is asked for.
"""

import hashlib
from dataclasses import replace
from datetime import datetime

from bot.answers.day_list import entries_of_day, scores_of_day
from bot.language.texts import later, say, spoken
from bot.model.messages import Outgoing
from bot.reminders import days
from bot.reminders.planning import kept_until, last_sync
from bot.reminders.quiet_hours import quiet_of
from bot.reply import numbers
from bot.reply.day_list import fix_buttons, list_day
from bot.store import Card, Logged, Person, Transaction
from bot.store.outbox import Delivered

SYNCED = later("Last sync {at}: readings are safe until {until}.")
SENSOR_ON = later("Sensor on since {at}: readings are safe until {until}.")
NOTHING = later("Nothing is noted.")
OFF = later("I'll pin no more cards of the day. /day lists what is noted; /card on brings the card back.")
ON = later("From your next note on, the day's entries stand on a card that is pinned in our chat.")
IS_ON = later("In the messenger, the day's entries stand on a pinned card. /card off ends that.")
IS_OFF = later("There is no pinned card of the day. /card on brings it back.")
_MOST_UNITS = 3900
"""Of UTF-16, as a message may have 4096: a card that is too long would not be edited but sent anew."""


def put_card(tx: Transaction, person: Person, now: datetime, *, anew: bool = False) -> list[Outgoing]:
    """Store the card of the day, or what it becomes, where the person sees another; return it.

    A card on its way has no id yet and is left alone: the next turn brings it up to date.
    anew: readings may have come, so that scores are looked at whatever the notes say
    """
    if not person.card:
        return []
    before, shown = _find_shown(tx, person)
    if shown is not None and shown.state == "unsent":
        return []
    card, unpins = before, None
    if card is None or now >= card.until:
        card, unpins = _new_card(person, now, card), None if card is None else card.ref
    entries = [one for one in entries_of_day(tx, person, card.since, card.until) if one.kind != "sync"]
    if card.ref is None and not entries:
        return []
    basis = _find_basis(tx, person, entries, now)
    if card.ref is not None and card.basis == basis and not anew:
        return []
    scores = scores_of_day(tx, person, card.since, card.until)
    message = Outgoing(
        person.id,
        _word(tx, person, card, list_day(entries, scores, zone=person.zone, unit=person.unit), now),
        buttons=fix_buttons(entries, person.zone),
        replaces=card.ref,
        silent=True,
        pinned=True,
        unpins=unpins,
    )
    if card.ref is not None and shown is not None and shown.shows(message):
        tx.cards.keep(replace(card, basis=basis))
        return []
    stored = tx.outbox.put(message, at=now)
    assert stored.id is not None  # the outbox gives one
    tx.cards.keep(replace(card, outbox_id=stored.id, basis=basis))
    return [stored]


def set_card(tx: Transaction, person: Person, value: str) -> Outgoing:
    """Have a card of the day or not; one that is there is no longer pinned then."""
    if value in ("off", "none", "stop"):
        card, _ = _find_shown(tx, person)
        tx.cards.drop(person.id)
        tx.people.update(person.id, card=False)
        return Outgoing(person.id, say(OFF), unpins=None if card is None else card.ref)
    if value in ("on", "again"):
        tx.people.update(person.id, card=True)
        return Outgoing(person.id, say(ON))
    return Outgoing(person.id, say(IS_ON if person.card else IS_OFF))


def _find_shown(tx: Transaction, person: Person) -> tuple[Card | None, Delivered | None]:
    """Return the card that was made last, with its id where that is known by now, and what became of it."""
    card = tx.cards.get(person.id)
    shown = None if card is None else tx.outbox.delivered(card.outbox_id)
    if card is not None and shown is not None and shown.ref is not None:
        card = replace(card, ref=shown.ref)
    return card, shown


def _new_card(person: Person, now: datetime, before: Card | None) -> Card:
    quiet = quiet_of(person)
    since = days.waking_start(now, quiet, person.zone)
    if before is not None:
        since = max(since, before.until)
    return Card(person.id, since, days.waking_end(since, quiet, person.zone), 0, None, "")


def _find_basis(tx: Transaction, person: Person, entries: list[Logged], now: datetime) -> str:
    """Return a mark of all that a card says but the scores, which take long, and of what these come from."""
    kept = kept_until(tx, person, now)
    said = (entries, kept, tx.readings.last_at(person.id), person.unit, person.zone.key, spoken())
    return hashlib.sha256(repr(said).encode("utf-8", "backslashreplace")).hexdigest()


def _word(tx: Transaction, person: Person, card: Card, lines: list[str], now: datetime) -> str:
    head, end = numbers.day(card.since, person.zone), []
    kept = kept_until(tx, person, now)
    if kept is not None:
        since, until = (numbers.day_and_clock(at, person.zone, now) for at in kept)
        text = SYNCED if kept[0] == last_sync(tx, person, now) else SENSOR_ON
        end = [say(text, at=since, until=until)]
    while lines and len("\n".join([head, *lines, *end]).encode("utf-16-le", "replace")) > 2 * _MOST_UNITS:
        lines = lines[1:]
    return "\n".join([head, *(lines or [say(NOTHING)]), *end])
