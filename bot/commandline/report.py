"""The `report` command: the page of a run as a file."""

from datetime import timedelta
from pathlib import Path

from bot.answers.pictured import LONGEST_RUN
from bot.app import App
from bot.commandline.analyse import read_bound
from bot.model.errors import BadSetting
from bot.report.sending import report_between


def report(bot: App, person_id: str, since: str | None, until: str | None, out: Path) -> str:
    """Write the report of one person into `out`, and say where it is."""
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
            page = report_between(tx, person, start or last - LONGEST_RUN, last)
        except LookupError:
            raise BadSetting("Nothing is on record in that time: no reading and no meal.") from None
    out.write_text(page, encoding="utf-8")
    return f"The report is in {out}."
