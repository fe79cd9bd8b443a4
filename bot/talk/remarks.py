"""What else there is to say about what was just noted, as far as the log shows."""

import re
from collections.abc import Sequence

from bot.model.entries import Feeling, Meal, Reading
from bot.reminders.sensor import say_more
from bot.reply import fixed, numbers
from bot.reply.cautions import concerns_of_readings
from bot.store import Logged
from bot.talk.cautions import concerns_of_fasting, say_due
from bot.talk.heard import Heard
from bot.talk.routines import say_assumed
from bot.talk.typed_readings import said_beside

UNWELL = re.compile(r"dizz|shak|faint|sweat|trembl|blurr|unwell|confus", re.IGNORECASE)


def remark_on(heard: Heard, logged: Sequence[Logged]) -> list[str]:
    """Return what follows from what was noted: what it replaces, cautions, what saves readings."""
    more = say_more(heard.tx, heard.person, logged, heard.incoming.sent_at)
    return [*_say_replaced(heard, logged), *_cautions(heard, logged), *say_assumed(heard, logged), *more]


def _say_replaced(heard: Heard, logged: Sequence[Logged]) -> list[str]:
    """Say of a reading typed again for its minute that the last one counts."""
    lines = []
    for one in logged:
        if isinstance(one.entry, Reading):
            before = [r for entry_id, r in said_beside(heard, one, one.entry) if entry_id < one.id]
            if before and before[-1].mmol != one.entry.mmol:
                was = numbers.glucose_with_unit(before[-1].mmol, heard.person.unit)
                lines.append(f"It replaces {was}, which you gave for that minute before.")
    return lines


def _cautions(heard: Heard, logged: Sequence[Logged]) -> list[str]:
    """Return the cautions for feeling unwell, for values, and for an extra the first time it is eaten."""
    texts = {"vinegar": fixed.VINEGAR, "cinnamon": fixed.CINNAMON}
    unwell = any(isinstance(e.entry, Feeling) and UNWELL.search(e.entry.what) for e in logged)
    said = [fixed.UNWELL] if unwell else []
    values = [one.entry.mmol for one in logged if isinstance(one.entry, Reading)]
    if values:
        concerns = concerns_of_readings(min(values), max(values))
        concerns += concerns_of_fasting(heard.tx, heard.person, heard.incoming.sent_at, max(values))
        said += say_due(heard.tx, heard.person, concerns, heard.incoming.sent_at)
    for name, text in texts.items():
        now = [entry for entry in logged if _has_extra(entry, name)]
        ids = {entry.id for entry in logged}
        if now and not any(
            _has_extra(e, name)
            for e in heard.tx.log.last(heard.person.id, ("meal",), n=500)
            if e.id not in ids
        ):
            said.append(text)
    return said


def _has_extra(logged: Logged, name: str) -> bool:
    return isinstance(logged.entry, Meal) and any(name in extra.name for extra in logged.entry.extras)
