"""Sleep as it was noted, in one message or in two: to bed in the evening, awake in the morning."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from bot.model.entries import Sleep
from bot.store import Transaction

LONGEST = timedelta(hours=16)
"""What lies further apart is no bedtime with its waking: one of the two between them was never noted."""
Span = tuple[datetime, datetime]


def sleep_between(
    tx: Transaction, person_id: str, since: datetime | None, until: datetime | None
) -> list[Span]:
    """Return when each sleep that began in [since, until) began and ended, in order."""
    ends = None if until is None else until + LONGEST
    noted = [one.entry for one in tx.log.between(person_id, ("sleep",), since, ends)]
    found = pair(entry for entry in noted if isinstance(entry, Sleep))
    return [span for span in found if until is None or span[0] < until]


def pair(noted: Iterable[Sleep]) -> list[Span]:
    """Return sleeps whose two ends are known, in order; a bedtime is joined to the waking next noted.

    noted: in the order of their first known end. Where one note tells a whole sleep, its bedtime and
    waking noted beside it add no second one.
    """
    whole: list[Span] = []
    joined: list[Span] = []
    bed: datetime | None = None
    for sleep in noted:
        if sleep.from_at is not None and sleep.to_at is not None:
            whole.append((sleep.from_at, sleep.to_at))
        elif sleep.from_at is not None:
            bed = sleep.from_at
        elif sleep.to_at is not None:
            if bed is not None and bed < sleep.to_at <= bed + LONGEST:
                joined.append((bed, sleep.to_at))
            bed = None
    alone = [(a, b) for a, b in joined if not any(a < end and start < b for start, end in whole)]
    return sorted(whole + alone)
