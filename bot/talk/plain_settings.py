"""Plain words that stand for something else than they say: “going to bed” is a note whose time is now.

Settings in plain words are understood with all other words (`bot.understanding.settings`).
"""

import re
from datetime import datetime

from bot.store import Person, Transaction
from bot.talk.reminder_settings import read_hours

_TO_BED = re.compile(
    r"(i'm |i am )?(going|off|heading|time) (off )?(to|for) (bed|sleep)( now)?"
    r"|good ?night|bed ?time|in bed( now)?"
)
_PRODUCT = re.compile(
    r"(?:please )?(?:look up|find|search for) (?:the |a )?"
    r"(?:product|brand|branded|packet|packaged food)(?: called| named| of)?:? (.+)"
)


def as_command(tx: Transaction, person: Person, text: str, now: datetime) -> str:
    """Return the command or note that plain words stand for, or the text as it is."""
    said = re.sub(r"\s+", " ", text.strip().lower().replace("’", "'")).rstrip(".! ")
    if not said or len(said) > 100 or said.startswith("/"):
        return text
    if _TO_BED.fullmatch(said):
        return f"bed at {now.astimezone(person.zone):%H:%M}"
    product = _PRODUCT.fullmatch(said)
    if product is not None:
        return f"/product {product[1]}"
    if read_hours(said) is not None:
        pending = tx.pending.get(person.id, now)
        if pending is not None and pending.about.startswith("shift "):
            tx.pending.clear(person.id)
            return f"/{pending.about} {said}"
    return text
