"""Photos of meals: kept with the meal of their caption, or of the hour; private unless marked."""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

from bot.intake.photos import is_photo, shrink_photo
from bot.language.texts import later, say
from bot.model.messages import Button, Incoming, Outgoing
from bot.reply import fixed, numbers
from bot.reply.noted import name_of
from bot.store import Logged, Person, Photo, Transaction
from bot.talk.heard import Heard

NEAR = timedelta(hours=1)
"""A photo without words is of a meal at most this far away."""
SAID_AGAIN = timedelta(hours=20)
"""That photos are kept is said once in so long."""
A_DAY = timedelta(hours=16)
MOST_OFFERED = 3
MOST_MB = 300
"""So much of one person's photos is kept: about a thousand. It is counted in the store, whatever restarts."""
DROP, OTHER, WITH = "photo_drop", "photo_other", "photo_with"
PRESSES = (DROP, OTHER, WITH)

KEPT = later("Your photo is kept with it, for you alone.")
KEPT_WITH = later("Your photo is kept with {meal}, for you alone.")
FULL = later(
    "Your photo isn't kept: I hold {most} MB of your photos, which is the most. "
    "“Delete the photo” takes out the newest one."
)
WHICH = later("What was on the plate? Write it, and I'll keep your photo with it.")
DROPPED = later("That photo is deleted.")
GONE = later("That photo is not here any more.")
SHARED = later("The photo of {meal} may be in what you share now. “Keep the photo private” takes that back.")
PRIVATE = later("The photo of {meal} stays private.")
NO_PHOTO = later("I have no photo of yours yet. Send me one of your plate, and I keep it with the meal.")
NO_MEAL = later("a meal not noted yet")

_WHICH = r"(?:this|that|the|my)(?: last)? (?:photo|picture)"
_SHARE = re.compile(rf"(?:please )?(?:you (?:may|can) )?share {_WHICH}|{_WHICH} (?:may|can) be shared")
_PRIVATE = re.compile(
    rf"(?:please )?(?:(?:don't|do not|never) share {_WHICH}|keep {_WHICH} private)"
    rf"|{_WHICH} (?:is|stays) private"
)
_DELETE = re.compile(rf"(?:please )?(?:delete|remove|forget|throw away) {_WHICH}")


def open_photo(incoming: Incoming) -> Incoming:
    """Return a message with its photo made small and bare; to be done before any transaction."""
    if incoming.file is None or not is_photo(incoming.file.data):
        return incoming
    photo = shrink_photo(incoming.file.data)
    return replace(incoming, file=None, photo=photo, other=incoming.other if photo else fixed.BROKEN_PHOTO)


def keep_photo(heard: Heard, answer: Callable[[Heard], list[Outgoing]]) -> list[Outgoing]:
    """Keep the photo of a message with its meal; `answer` answers its caption."""
    tx, person, incoming = heard.tx, heard.person, heard.incoming
    assert incoming.photo is not None
    if tx.photos.total(person.id) + len(incoming.photo) > MOST_MB * 1_000_000:
        plain = replace(heard, incoming=replace(incoming, photo=None))
        said = answer(plain) if incoming.text.strip() else []
        return [*said, Outgoing(person.id, say(FULL, most=MOST_MB))]
    before = tx.photos.newest(person.id)
    photo_id = tx.photos.add(person.id, incoming.photo, at=incoming.sent_at, message_id=incoming.message_id)
    caption = incoming.text.strip()
    shares = _SHARE.search(_plain(caption))
    if shares is not None:
        tx.photos.share(photo_id, shared=True)
        caption = re.sub(_SHARE, "", _plain(caption)).strip(" .,;:!")
    said = answer(replace(heard, incoming=replace(incoming, text=caption, photo=None))) if caption else []
    if said:
        put_waiting(heard)
        found = tx.photos.get(person.id, photo_id)
        is_new = before is None or incoming.sent_at - before.at >= SAID_AGAIN
        if found is None or found.entry_id is None or not is_new:
            return said
        return [replace(said[0], text=f"{said[0].text}\n{say(KEPT)}"), *said[1:]]
    meal = _nearest(tx, person, incoming.sent_at)
    if meal is None:
        return [_ask(tx, person, photo_id, incoming.sent_at)]
    tx.photos.put_with(photo_id, meal.id)
    text = say(KEPT_WITH, meal=name_of(meal, person.zone, incoming.sent_at))
    buttons = (Button(say("Another meal"), f"{OTHER}:{photo_id}"), _drop(photo_id))
    return [Outgoing(person.id, text, buttons=buttons, entry_id=meal.id)]


def put_waiting(heard: Heard) -> None:
    """Put photos of the last hour that are of no meal yet with the meal that this message noted."""
    tx, person, incoming = heard.tx, heard.person, heard.incoming
    waiting = tx.photos.waiting(person.id, incoming.sent_at - NEAR)
    if not waiting:
        return
    newest = tx.log.last_logged(person.id, ("meal",))
    if newest is not None and newest.update_id == incoming.update_id:
        for photo_id in waiting:
            tx.photos.put_with(photo_id, newest.id)


def press_photo(heard: Heard, about: str, what: str) -> Outgoing:
    """Answer a button under a photo: delete it, or put it with another meal."""
    tx, person, incoming = heard.tx, heard.person, heard.incoming
    ids = [int(part) for part in re.findall(r"[0-9]{1,18}", about)]
    photo = tx.photos.get(person.id, ids[0]) if ids else None
    if photo is None:
        return Outgoing(person.id, say(GONE))
    if what == DROP:
        tx.photos.drop(photo.id)
        return Outgoing(person.id, say(DROPPED), replaces=incoming.message_id)
    if what == OTHER:
        tx.photos.put_with(photo.id, None)
        asked = _ask(tx, person, photo.id, incoming.sent_at, but=photo.entry_id)
        return replace(asked, replaces=incoming.message_id)
    meal = tx.log.get(ids[1]) if len(ids) > 1 else None
    if meal is None or meal.person != person.id or meal.removed_at is not None:
        return Outgoing(person.id, say(fixed.NOT_HERE))
    tx.photos.put_with(photo.id, meal.id)
    text = say(KEPT_WITH, meal=name_of(meal, person.zone, incoming.sent_at))
    return Outgoing(person.id, text, replaces=incoming.message_id, entry_id=meal.id)


def hear_photo(heard: Heard, text: str) -> Outgoing | None:
    """Share, hide or delete the photo that a message answers, or the last one; None: it is about no photo."""
    said = _plain(text).rstrip(".! ")
    marks = {_SHARE: True, _PRIVATE: False, _DELETE: None}
    found = [mark for words, mark in marks.items() if words.fullmatch(said)]
    if not found:
        return None
    tx, person, incoming = heard.tx, heard.person, heard.incoming
    answered = None if incoming.reply_to is None else tx.photos.newest(person.id, incoming.reply_to)
    photo = answered or tx.photos.newest(person.id)
    if photo is None:
        return Outgoing(person.id, say(NO_PHOTO))
    if found[0] is None:
        tx.photos.drop(photo.id)
        return Outgoing(person.id, say(DROPPED))
    tx.photos.share(photo.id, shared=found[0])
    name = _name(tx, photo, person, incoming.sent_at)
    return Outgoing(person.id, say(SHARED if found[0] else PRIVATE, meal=name))


def _plain(text: str) -> str:
    return re.sub(r"\s+", " ", text.lower().replace("’", "'")).strip()


def _name(tx: Transaction, photo: Photo, person: Person, now: datetime) -> str:
    meal = None if photo.entry_id is None else tx.log.get(photo.entry_id)
    return say(NO_MEAL) if meal is None else name_of(meal, person.zone, now)


def _nearest(tx: Transaction, person: Person, at: datetime) -> Logged | None:
    meals = tx.log.between(person.id, ("meal",), at - NEAR, at + NEAR)
    return min(meals, key=lambda meal: abs(meal.at - at), default=None)


def _ask(tx: Transaction, person: Person, photo_id: int, now: datetime, but: int | None = None) -> Outgoing:
    """Ask which meal a photo is of, with the day's last ones to press."""
    meals = tx.log.between(person.id, ("meal",), now - A_DAY, now)
    offered = [one for one in meals if one.id != but][-MOST_OFFERED:]
    offers = (Button(_label(one, person), f"{WITH}:{photo_id},{one.id}") for one in offered)
    return Outgoing(person.id, say(WHICH), buttons=(*offers, _drop(photo_id)))


def _label(meal: Logged, person: Person) -> str:
    return f"{numbers.clock(meal.at, person.zone)} {getattr(meal.entry, 'slot', meal.kind)}"


def _drop(photo_id: int) -> Button:
    return Button(say("Do not keep it"), f"{DROP}:{photo_id}")
