"""The `report` command: the page of a run as a file."""

from datetime import UTC, datetime
from pathlib import Path

from bot.app import App
from bot.commandline.analyse import read_bound
from bot.model.errors import BadSetting
from bot.report.sending import report_of


def report(bot: App, person_id: str, since: str | None, until: str | None, out: Path) -> str:
    """Write the report of one person into `out`, and say where it is."""
    with bot.store.read() as tx:
        person = tx.people.get(person_id)
        if person is None:
            raise BadSetting(f"Nothing is noted for “{person_id}” yet.")
        start = read_bound(since, "--since", person.zone)
        end = read_bound(until, "--until", person.zone, included=True)
        page = report_of(tx, person, start, end, bot.clock.now())
    if page is None:
        raise BadSetting("Nothing is on record in that time: no reading and no meal.")
    out.write_text(page, encoding="utf-8")
    return f"The report is in {out}."
