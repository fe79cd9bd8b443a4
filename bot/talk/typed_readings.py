"""A typed reading stands in the log and, for the curves, among the readings of its minute."""

import re
from datetime import datetime, timedelta

from bot.model.entries import Reading, Stored
from bot.store import Logged
from bot.store.records import Source
from bot.talk.heard import Heard

OF_BLOOD = re.compile(
    r"\b(finger|finger[ -]?(prick|stick)\w*|prick\w*|meter|strips?|blood|capillary)\b", re.I
)


def keep_reading(heard: Heard, entry: Stored) -> None:
    """A typed reading stands in the log and, for the curves, among the readings: its minute's last one."""
    if isinstance(entry, Reading) and entry.at is not None:
        heard.tx.readings.drop(heard.person.id, *_minute_of(entry.at), source=_kind_of(entry))
        heard.tx.readings.add(
            heard.person.id,
            [entry],
            source=_kind_of(entry),
            at=heard.incoming.sent_at,
            update_id=heard.incoming.update_id,
        )


def _minute_of(at: datetime) -> tuple[datetime, datetime]:
    start = at.replace(second=0, microsecond=0)
    return start, start + timedelta(minutes=1)


def _kind_of(entry: Reading) -> Source:
    """Return "meter" for a value that was said to be of blood: only such a one can check the sensor."""
    return "meter" if OF_BLOOD.search(entry.said) else "typed"


def drop_reading(heard: Heard, logged: Logged) -> None:
    """Take a typed reading from the curves; the one said before it for the same minute counts again."""
    if isinstance(logged.entry, Reading):
        heard.tx.readings.drop(heard.person.id, *_minute_of(logged.at), source=_kind_of(logged.entry))
        for _, other in said_beside(heard, logged, logged.entry):
            keep_reading(heard, other)


def said_beside(heard: Heard, logged: Logged, reading: Reading) -> list[tuple[int, Reading]]:
    """Return the other readings of this kind that were typed for the same minute, as they came, by entry."""
    beside = heard.tx.log.between(heard.person.id, ("reading",), *_minute_of(logged.at))
    found = [(other.id, other.entry) for other in beside if isinstance(other.entry, Reading)]
    kind = _kind_of(reading)
    return sorted(
        ((entry_id, other) for entry_id, other in found if entry_id != logged.id and _kind_of(other) == kind),
        key=lambda each: each[0],
    )
