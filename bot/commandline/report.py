"""The `report` command: the page of a run as a file."""

from datetime import timedelta
from pathlib import Path

from bot.answers.run_days import start_of_run
from bot.app import App
from bot.commandline.bounds import read_bound
from bot.model.errors import BadSetting
from bot.model.files import write_private
from bot.model.messages import ReportVersion
from bot.report.sending import report_between


def report(
    bot: App,
    person_id: str,
    since: str | None,
    until: str | None,
    out: Path,
    version: ReportVersion = "whole",
) -> str:
    """Write the report of one person into `out`, a PDF where it is called one, and say where it is."""
    with bot.store.read() as tx:
        person = tx.people.get(person_id)
        if person is None:
            raise BadSetting(f"Nothing is noted for “{person_id}” yet.")
        start = read_bound(since, "--since", person.zone)
        end = read_bound(until, "--until", person.zone, included=True)
        newest = [
            at for at in (tx.readings.last_at(person_id), *(m.at for m in tx.log.last(person_id))) if at
        ]
        last = end or max([bot.clock.now(), *newest]) + timedelta.resolution
        try:
            made = report_between(
                tx,
                person,
                start or start_of_run(tx, person, last),
                last,
                version=version,
                pdf=out.suffix.lower() == ".pdf",
            )
        except LookupError:
            raise BadSetting("Nothing is on record in that time: no reading and no meal.") from None
    write_private(out, made)
    return f"The report is in {out}."
