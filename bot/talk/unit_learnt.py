"""The unit of a newcomer, learnt from the first value they write instead of asked."""

import re
from dataclasses import replace

from bot.language.texts import say
from bot.model.entries import Reading, Understood
from bot.model.messages import Outgoing
from bot.model.units import GlucoseUnit
from bot.reply.first_hour import YOUR_UNIT
from bot.talk.heard import Heard
from bot.understanding import Context, understand

_SAID: dict[GlucoseUnit, str] = {"mg/dL": r"\bmg\s*/?\s*dl\b", "mmol/L": r"\bmmol"}


def with_unit(heard: Heard, context: Context, understood: Understood) -> tuple[Heard, Understood]:
    """Take over the unit of a first value, by its word or by what only one unit can be.

    Returns the turn and what was understood, both with the unit that the person has from now on.
    """
    tx, person = heard.tx, heard.person
    wanted = [
        topic for topic in tx.first_hour.topics(person.id) if topic.name == "unit" and not topic.settled
    ]
    if person.unit_chosen or not wanted or not (understood.asks or _has_reading(understood)):
        return heard, understood
    text = heard.incoming.text
    unit = next((name for name, word in _SAID.items() if re.search(word, text, re.IGNORECASE)), person.unit)
    if not _has_reading(understood):
        unit = "mg/dL" if person.unit == "mmol/L" else "mmol/L"
        understood = understand(text, replace(context, unit=unit))
        if not _has_reading(understood):
            return heard, understand(text, context)
    tx.first_hour.settle(person.id, "unit")
    return replace(heard, person=tx.people.update(person.id, unit=unit, unit_chosen=True)), understood


def say_unit(before: Heard, after: Heard) -> list[Outgoing]:
    """Say that the unit is another one now."""
    if before.person.unit == after.person.unit:
        return []
    return [Outgoing(after.person.id, say(YOUR_UNIT, unit=after.person.unit))]


def _has_reading(understood: Understood) -> bool:
    return any(isinstance(entry, Reading) and entry.at is not None for entry in understood.entries)
