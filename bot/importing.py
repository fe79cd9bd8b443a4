"""The `import` command: a file of readings into the store, and what came of it."""

import hashlib
from pathlib import Path

from bot.app import App
from bot.errors import BadFile
from bot.intake import read_file
from bot.messages import Attachment, Incoming
from bot.posting import to_json
from bot.receiving import say_file, store_file
from bot.reminding import plan_reminders
from bot.settings import read_zone
from bot.units import GlucoseUnit

MAX_BYTES = 20_000_000


def import_file(
    bot: App, path: Path, person_id: str, glucose_unit: GlucoseUnit | None, zone: str | None
) -> tuple[str, dict[str, object]]:
    """Store a file's readings; return the sentence for people and the contract's JSON object."""
    try:
        if path.stat().st_size > MAX_BYTES:
            raise BadFile(f"{path} is larger than 20 MB: split it and import the parts.")
        data = path.read_bytes()
    except OSError as error:
        raise BadFile(f"{path} cannot be read: {error.strerror}.") from None
    now = bot.clock.now()
    incoming = Incoming(
        person_id, f"import:{hashlib.sha256(data).hexdigest()}", now, file=Attachment(path.name, data)
    )
    with bot.store.begin() as unit:
        person = unit.people.ensure(person_id, zone=bot.zone, unit="mmol/L", at=now)
        stamps_in = read_zone(zone) if zone else person.zone
        found = read_file(data, path.name, zone=stamps_in, unit=glucose_unit, now=now)
        if not found.readings:
            raise BadFile(f"All values in {path} are out of the sensor's range: there is nothing to store.")
        newest_before = unit.readings.last_at(person_id, source="file")
        stored, _ = store_file(unit, person, found, path.name, incoming)
        plan_reminders(unit, person, now)
    return say_file(found, stored, person, now, newest_before), to_json(found, stored)
