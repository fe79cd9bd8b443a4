"""The report as a file: of the days asked for, whole, to share or for a clinician, as a page or as a PDF."""

from datetime import datetime

from analysis.kept import keeping
from bot.model.messages import Picture, PictureSpec, ReportVersion
from bot.report.clinical import clinical
from bot.report.drawn import draw_all
from bot.report.page import write_page
from bot.report.parts import Report
from bot.report.scrubbed import scrubbed
from bot.report.sections import gather
from bot.store import Person, Transaction

ALT = "The report of your run, as a file."


def draw_report(tx: Transaction, spec: PictureSpec, person_id: str) -> Picture:
    """Make the report that `spec` names; LookupError when the person, or all that was noted, is gone."""
    person = tx.people.get(person_id)
    if person is None:
        raise LookupError(f"no person {person_id}")
    assert spec.since is not None
    assert spec.until is not None
    made = report_between(tx, person, spec.since, spec.until, version=spec.version, pdf=spec.pdf)
    return Picture(spec.name, b"", ALT, made)


def report_between(
    tx: Transaction,
    person: Person,
    since: datetime,
    until: datetime,
    *,
    version: ReportVersion = "whole",
    pdf: bool = False,
) -> bytes:
    """Return the report on [since, until) as HTML or PDF; LookupError where nothing is on record."""
    if version == "share":
        with scrubbed(tx, person, since, until) as (copy, somebody, span), keeping():
            return _write(copy, somebody, gather(copy, somebody, *span, rules=False), pdf=pdf)
    make = clinical if version == "clinician" else gather
    with keeping():
        return _write(tx, person, make(tx, person, since, until), pdf=pdf)


def _write(tx: Transaction, person: Person, report: Report | None, *, pdf: bool) -> bytes:
    if report is None:
        raise LookupError("nothing is on record in that time")
    drawn = draw_all(tx, person, report)
    if pdf:
        from bot.report.pdf import write_pdf

        return write_pdf(report, drawn)
    return write_page(report, drawn).encode()
