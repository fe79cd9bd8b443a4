"""The report as a page: of the days asked for, or of the last months."""

from datetime import datetime

from bot.model.messages import Picture, PictureSpec
from bot.report.page import write_page
from bot.report.sections import gather
from bot.store import Person, Transaction

ALT = "The report of your run, as a page for a browser."


def draw_report(tx: Transaction, spec: PictureSpec, person_id: str) -> Picture:
    """Make the report that `spec` names; LookupError when the person, or all that was noted, is gone."""
    person = tx.people.get(person_id)
    if person is None:
        raise LookupError(f"no person {person_id}")
    assert spec.since is not None
    assert spec.until is not None
    page = report_between(tx, person, spec.since, spec.until)
    return Picture(spec.name, b"", ALT, page.encode())


def report_between(tx: Transaction, person: Person, since: datetime, until: datetime) -> str:
    """Return the report on [since, until) as HTML; LookupError where nothing is on record."""
    report = gather(tx, person, since, until)
    if report is None:
        raise LookupError("nothing is on record in that time")
    return write_page(tx, person, report)
