"""Plain words that stand for something else than they say: “going to bed” is a note whose time is now.

Settings in plain words are understood with all other words (`bot.understanding.settings`).
"""

import re
from datetime import datetime

from bot.store import Person, Transaction
from bot.talk.reminder_settings import read_hours

_TO_BED = re.compile(
    r"((i'm |i am )?(going |off |heading |time )?(off )?(to |for |in )?(bed|sleep)( now| then)?"
    r"|(i'm |i am )?(sleeping|bed ?time)( now)?|good ?night( then| all| everyone)?)"
    r"(?P<too>[,;.] ?[a-z ,]+)?"
)
"""... with a word behind it that is noted as well: “off to bed, knackered”."""
_UP = re.compile(
    r"(i'm |i am )?(just )?(up|awake)( now| again)?"
    r"([,;:.] ?(?P<span>\d[\d:.]* ?(to|till|until|-) ?\d[\d:.]*))?"
)
_TOUR = re.compile(
    r"(?:start |begin |show me |give me |take )?(?:the |a )?(?:two[- ]minutes? )?tour(?: please)?"
)
_TALK_SHORT = re.compile(
    r"(please |can you |could you )?(just )?((say|talk|speak|tell me|write|chat) (a (bit|lot|little) )?less"
    r"|(be|stay|keep it|keep things|make it|talk|answer me) "
    r"(brief|briefer|short|shorter|quiet|quieter|concise)"
    r"|(short|shorter|fewer|less) (answers|replies|messages|words|talk)|less (talking|text)|fewer words"
    r"|(you (talk|say|write) |that is |that's )too (much|many words|long)"
    r"|short (talk|answers|replies))( please| from now on| with me)?"
)
_TALK_FULL = re.compile(
    r"(please |can you |could you )?((tell|say|show|write) (me )?(everything|it all|more|all of it)( again)?"
    r"|(be|talk|answer) (fuller|more detailed|in full|in detail)|talk more|give me (all )?(the )?details?"
    r"|(longer|full|fuller|more detailed) (answers|replies|messages|talk)|more details?)"
    r"( please| from now on)?"
)
_PRODUCT = re.compile(
    r"(?:please )?(?:look up|find|search for) (?:the |a )?"
    r"(?:product|brand|branded|packet|packaged food)(?: called| named| of)?:? (.+)"
)
_LANGUAGE = re.compile(
    r"(?:please |bitte )?(?:can you |could you )?"
    r"(?:(?:speak|talk|write|answer|reply|sprich|schreib|antworte)"
    r"(?: to me| with me| mit mir| mir)?(?: in| auf)?"
    r"|(?:switch|change|go)(?: over| back)? to)"
    r" (?P<name>german|english|deutsch|englisch)(?: please| bitte| now| jetzt| again| from now on)?"
)

_FILE_OUT = re.compile(
    r"(?:undo|take back|take out|remove|delete|revert)(?: the| that| my| this)?(?: last| latest)?"
    r" (?:file|import|readings file|readings of (?:the|that|my)(?: last)? file)"
)
_SCORES = re.compile(
    r"(?:please )?(?:can you |could you )?"
    r"(?:(?P<show>show|bring back|unhide|turn on)|hide|stop showing|turn off|mute|no more"
    r"|don't show|do not show|i don't want to see|i do not want to see)"
    r" (?:me )?(?:the |my |any |all )?(?:evenness )?scores?(?: please| again| any ?more)?"
)


def as_command(tx: Transaction, person: Person, text: str, now: datetime) -> str:
    """Return the command or note that plain words stand for, or the text as it is."""
    said = re.sub(r"\s+", " ", text.strip().lower().replace("’", "'")).rstrip(".! ")
    if not said or len(said) > 100 or said.startswith("/"):
        return text
    clock = f"{now.astimezone(person.zone):%H:%M}"
    to_bed = _TO_BED.fullmatch(said)
    if to_bed is not None:
        return f"in bed now{to_bed['too'] or ''}"
    up = _UP.fullmatch(said)
    if up is not None:
        return f"slept {up['span']}" if up["span"] else f"woke at {clock}"
    language = _LANGUAGE.fullmatch(said.rstrip("? "))
    if language is not None:
        return f"/language {language['name']}"
    if _TOUR.fullmatch(said):
        return "/tour"
    if _FILE_OUT.fullmatch(said):
        return "/unfile"
    scores = _SCORES.fullmatch(said)
    if scores is not None:
        return f"/scores {'show' if scores['show'] else 'hide'}"
    if _TALK_SHORT.fullmatch(said):
        return "/talk short"
    if _TALK_FULL.fullmatch(said):
        return "/talk full"
    product = _PRODUCT.fullmatch(said)
    if product is not None:
        return f"/product {product[1]}"
    if read_hours(said) is not None:
        pending = tx.pending.get(person.id, now)
        if pending is not None and pending.about.startswith("shift "):
            tx.pending.clear(person.id)
            return f"/{pending.about} {said}"
    return text
