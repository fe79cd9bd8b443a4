"""The report of a person: of the days asked for, or of all there is."""

from datetime import datetime, timedelta

from bot.report.page import write_page
from bot.report.sections import gather
from bot.store import Person, Transaction

LONGEST = timedelta(days=120)
"""A run, and what came before it; a year of days would be no report but a book."""


def report_of(
    tx: Transaction, person: Person, since: datetime | None, until: datetime | None, now: datetime
) -> str | None:
    """Return the report on [since, until) as HTML; None where nothing is on record."""
    newest = tx.readings.last_at(person.id)
    ends = max([now, *([] if newest is None else [newest])]) + timedelta.resolution
    last = ends if until is None else min(until, ends)
    report = gather(tx, person, since or last - LONGEST, last)
    return None if report is None else write_page(tx, person, report)
