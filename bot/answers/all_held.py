"""Everything held about a person, sent to them as a package; photos beyond its size come in more of them."""

import re
from datetime import datetime, timedelta

from bot.language.texts import later, say
from bot.model.entries import Question
from bot.model.messages import Button, Outgoing, PictureSpec
from bot.store import Person, Transaction
from bot.understanding.questions.sorts import USUAL_DAYS

HELD = "everything"
"""What a button for the next photos begins with: the number of the package."""
MOST_BYTES = 20_000_000
"""Photos of so many bytes are in one package: a messenger takes 50 MB, and the rest needs room, too."""
SAID = later(
    "Here is everything I hold about you, in one package: notes, readings and settings as tables, as JSON "
    "and as a FHIR record, your photos and a report. README.txt in it says what is where."
)
MORE_PHOTOS = later("There are more photos than fit in: the button below sends the next.")
PHOTOS_SAID = later("Here are more of your photos: package {number} of {all}.")
NEXT_PHOTOS = later("Next photos")


def send_everything(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Send the first package, made when it is sent."""
    return _send(tx, person, 1, now)


def press_held(tx: Transaction, person: Person, data: str, now: datetime) -> Outgoing | None:
    """Send another package of photos; None for a button that is none of ours."""
    return _send(tx, person, int(data), now) if re.fullmatch(r"[1-9][0-9]{0,3}", data) else None


def _send(tx: Transaction, person: Person, number: int, now: datetime) -> Outgoing:
    packages = share_out(tx.photos.sizes(person.id), MOST_BYTES)
    number = min(number, len(packages))
    first, last = number == 1, number == len(packages)
    spec = PictureSpec(
        "everything",
        f"{'everything' if first else f'photos-{number}'}-{now.astimezone(person.zone):%Y-%m-%d}",
        since=now - timedelta(days=USUAL_DAYS),  # of the report: that of a year takes half a minute
        groups=(("all" if first else "photos", packages[number - 1]),),
    )
    said = say(SAID) if first else say(PHOTOS_SAID, number=number, all=len(packages))
    if last:
        return Outgoing(person.id, said, picture=spec)
    button = Button(say(NEXT_PHOTOS), f"{HELD}:{number + 1}")
    return Outgoing(person.id, f"{said} {say(MORE_PHOTOS)}", buttons=(button,), picture=spec)


def share_out(sizes: list[tuple[int, int]], most: int) -> list[tuple[int, ...]]:
    """Return which photos, given by id and bytes, go into which package; the first may have none.

    >>> share_out([(1, 60), (2, 30), (3, 30), (4, 200)], 100)
    [(1, 2), (3,), (4,)]
    """
    packages: list[tuple[int, ...]] = [()]
    held = 0
    for photo, size in sizes:
        if held + size > most and packages[-1]:
            packages.append(())
            held = 0
        packages[-1] += (photo,)
        held += size
    return packages
