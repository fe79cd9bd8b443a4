"""The `import` command: a file of readings into the store, and what came of it."""

import hashlib
from pathlib import Path

from bot.app import App
from bot.model.errors import AskFile, BadFile
from bot.model.files import read_at_most
from bot.model.messages import Attachment, Incoming
from bot.model.settings import read_zone
from bot.model.units import GlucoseUnit
from bot.reminders.planning import plan_reminders
from bot.talk.cautions import say_due
from bot.talk.incoming_readings import check_room, concerns_of_file, newest_known, say_file, store_file
from bot.talk.posted_readings import to_json
from bot.talk.reading_files import read_safely

MAX_BYTES = 20_000_000


def import_file(
    bot: App,
    path: Path,
    person_id: str,
    glucose_unit: GlucoseUnit | None,
    zone: str | None,
    *,
    column: str | None = None,
    day_first: bool | None = None,
    second: bool = False,
) -> tuple[str, dict[str, object]]:
    """Store a file's readings; return the sentence for people and the object of `import --json`.

    column, day_first: the answers to what a file can leave open; second: it is of a second sensor
    """
    try:
        data = read_at_most(path, MAX_BYTES)
    except OSError as error:
        raise BadFile(f"{path} cannot be read: {error.strerror}.") from None
    if len(data) > MAX_BYTES:
        raise BadFile(f"{path} is larger than 20 MB: split it and import the parts.")
    now = bot.clock.now()
    incoming = Incoming(
        person_id, f"import:{hashlib.sha256(data).hexdigest()}", now, file=Attachment(path.name, data)
    )
    with bot.store.read() as tx:
        known = tx.people.get(person_id)
    stamps_in = read_zone(zone or bot.zone) if zone or known is None else known.zone
    try:
        found = read_safely(
            data, path.name, zone=stamps_in, unit=glucose_unit, now=now, column=column, day_first=day_first
        )
    except AskFile as question:
        raise BadFile(f"{question} {_say_option(question)}") from None
    with bot.store.begin() as tx:
        person = tx.people.ensure(person_id, zone=bot.zone, unit="mmol/L", at=now)
        check_room(tx, person, found, path.name, second=second)
        newest_before = None if second else newest_known(tx, person)
        stored, _ = store_file(tx, person, found, path.name, incoming, second=second)
        plan_reminders(tx, person, now)
        cautions = say_due(tx, person, concerns_of_file(found), now) if stored.stored else []
    text = "\n".join([say_file(found, stored, person, now, newest_before), *cautions])
    return text, to_json(found, stored)


def _say_option(question: AskFile) -> str:
    """Name the options of the command that answer a question."""
    if question.about == "day_first":
        return "Say it with --day-first or --month-first."
    return "Say it with " + " or ".join(f'--column "{label}"' for label in question.options[:4]) + "."
