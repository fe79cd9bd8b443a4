"""Plain words that stand for a setting: “stop reminding me”, “I'm in Chicago now”, “late shift from Thu”.

“Going to bed” is no setting but a note whose time is now, which is said for it here.
"""

import re
from datetime import datetime

from bot.model.zones import find_zones
from bot.store import Person, Transaction
from bot.talk.reminder_settings import read_hours

_STOP = re.compile(
    r"(please )?(stop|no more|quit|end|mute|cancel|turn off|switch off|disable)( the| all| my| these)? "
    r"(remind(ing|ers?)( me)?|notifications?)"
    r"|(please )?(stop|quit) (sending( me)?|with the|asking me|bothering me|nagging( me)?|messaging me)"
    r"( reminders)?"
    r"|reminders? off|(do not|don't|dont|never) remind me|leave me alone",
)
_LESS = re.compile(
    r"(please )?(remind|ask|nag|message) me less( often)?|(fewer|less) reminders|too many reminders"
    r"|(please )?remind less",
)
_START = re.compile(
    r"(please )?(start|turn on|switch on|resume|enable)( the| all| my)? remind(ing|ers?)( me)?( again)?"
    r"|reminders? (on|back on|again)|remind me again",
)
_ERASE = re.compile(
    r"(please |can you |could you )?(delete|erase|remove|wipe|forget|clear)( all)?( of)?( my| the| your)?"
    r" ?(everything|every thing|(all )?(data|account|records?|diary|history|notes|information))"
    r"( about me| of me| i( have)? (said|sent|noted|told you)| you (have|hold|know)( about me)?| please)*\??"
    r"|(please )?forget( all about)? me",
)
_PLACE = re.compile(
    r"(?:i am|i'm|im|we're|we are)(?: now| back| currently)? in ([\w' .-]{2,40}?)(?: now| again| today)?"
    r"|(?:just )?(?:landed|arrived) in ([\w' .-]{2,40}?)(?: now)?"
    r"|(?:flew|travelled|traveled|moved) to ([\w' .-]{2,40}?)"
    r"|(?:my )?time ?zone(?: is)?:? ([\w'/ .-]{2,40}?)(?: now)?",
)
_TO_BED = re.compile(
    r"(i'm |i am )?(going|off|heading|time) (off )?(to|for) (bed|sleep)( now)?"
    r"|good ?night|bed ?time|in bed( now)?"
)
_NIGHTS = re.compile(
    r"i (?:usually|normally|generally|always|mostly) sleep (?:from )?"
    r"(\d{1,2}(?:[:.]\d\d)?) ?(?:to|till|until|-|–) ?(\d{1,2}(?:[:.]\d\d)?)"
)
_SHIFT = re.compile(
    r"(?:i'm on |i am on |i have |on |it's )?(?:an? |the )?"
    r"(early|late|night|day|morning|evening|off|middle) shifts?"
    r"(?: (?:now|this week|today|again))?((?: from| starting| on)? ?[\w-]+)?",
)
_PRODUCT = re.compile(
    r"(?:please )?(?:look up|find|search for) (?:the |a )?"
    r"(?:product|brand|branded|packet|packaged food)(?: called| named| of)?:? (.+)"
)

_COMMANDS = ((_STOP, "/remind off"), (_LESS, "/remind less"), (_START, "/remind on"), (_ERASE, "/erase"))


def as_command(tx: Transaction, person: Person, text: str, now: datetime) -> str:
    """Return the command that plain words stand for, or the text as it is."""
    said = re.sub(r"\s+", " ", text.strip().lower().replace("’", "'")).rstrip(".! ")
    if not said or len(said) > 100 or said.startswith("/"):
        return text
    for words, command in _COMMANDS:
        if words.fullmatch(said):
            return command
    if _TO_BED.fullmatch(said):
        return f"bed at {now.astimezone(person.zone):%H:%M}"
    place = _PLACE.fullmatch(said)
    if place is not None:
        named = next(group for group in place.groups() if group)
        if find_zones(named):
            return f"/zone {named}"
    product = _PRODUCT.fullmatch(said)
    if product is not None:
        return f"/product {product[1]}"
    nights = _NIGHTS.fullmatch(said)
    if nights is not None:  # a habit, not the night that was
        return f"/quiet {nights[1]}-{nights[2]}"
    shift = _SHIFT.fullmatch(said)
    if shift is not None:
        return f"/shift {shift[1]}{shift[2] or ''}"
    if read_hours(said) is not None:
        pending = tx.pending.get(person.id, now)
        if pending is not None and pending.about.startswith("shift "):
            tx.pending.clear(person.id)
            return f"/{pending.about} {said}"
    return text
