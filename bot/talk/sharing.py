"""The same meal in two people, by consent of both: offered with a code, agreed to, looked at, ended.

Who offers is told what crosses and hands the code over, which is their yes; who says the code in a chat of
their own is told the same and asked. Either ends it with a word, and the rows are gone at once.
"""

import re
from collections.abc import Callable

from bot.answers.ours import BACK, answer_ours
from bot.model.entries import Question
from bot.model.messages import Button, Outgoing
from bot.model.naming import join
from bot.reply import fixed, numbers
from bot.store import Share
from bot.store.shares import LASTS
from bot.talk.heard import Heard
from bot.understanding.pieces.slots import SLOT_WORDS
from bot.understanding.words.plain_words import is_plain
from bot.understanding.words.wordlists import word_set

AGREE, DECLINE = "share yes", "share no"
"""Buttons under what is asked of whoever says a code: the id of the share."""
ASKED = "share"
"""What is open while it is asked whether somebody agrees."""
_TOO_MUCH = word_set(
    "food foods meal meals data curve curves glucose reading readings diary note notes entry entries log "
    "life sugar level levels code"
)
MOST_CHARACTERS, FEW_WORDS = 100, 2
_SOMEBODY = (
    r"(?:some ?(?:one|body)(?: else)?|another person|(?:my|a) (?:friend|partner|wife|husband|girlfriend"
    r"|boyfriend|brother|sister|mother|father|mum|mom|dad|son|daughter|colleague|flatmate|neighbou?r|twin))"
    r"(?:'s)?"
)
_OFFER = re.compile(
    r"(?:please |can (?:i|you|we) |i want to |i'd like to |let me |let's )*(?:compare|share|set)"
    r"(?: the same meal:?)? (?:my |the |our )?(?P<a>.+?) (?:side by side )?"
    rf"(?:with|against|and|to) {_SOMEBODY}(?: please)?"
)
_CODE = re.compile(
    r"(?:(?:the |my |their |a )?(?:sharing )?code(?: is)?:? ?)?"
    r"([0-9A-HJKMNP-TV-Z]{4}) ?[-–] ?([0-9A-HJKMNP-TV-Z]{4})",
    re.IGNORECASE,
)
_OURS = re.compile(
    r"(?:(?:please )?(?:show|compare|see)(?: me| us)? |how (?:is|are|does|do|did) )?our (?P<a>.+?)"
    r"(?: (?:compare|compared|doing|going|side by side|differ|do|please))*"
)
_STOP = re.compile(
    r"(?:please )?(?:stop|end|quit|cancel) (?:all )?(?:the |my |our )?shar(?:e|es|ing)"
    rf"(?: (?:of )?(?:my |our |the )?(?P<a>.+?))??(?: with {_SOMEBODY})?(?: please| now)?"
    rf"|unshare(?: (?:my |our )?(?P<b>.+))?|stop comparing (?:my |our )?(?P<c>.+?) with {_SOMEBODY}"
    r"|(?:i )?(?:don't|do not) (?:want to )?share (?:my |our )?(?P<d>.+?)(?: any ?more)?"
)
_STATE = re.compile(
    r"(?:what|which meals?) (?:do|am|are) (?:i|we) shar(?:e|ing)"
    r"|who (?:sees|can see) my (?:data|meals|curves)|what is shared|what's shared"
    r"|am i sharing(?: anything)?|sharing"
)
_YES = re.compile(
    r"(?P<surely>(?:yes,? )?(?:i )?agreed?(?: to (?:that|it|share))?)|yes(?: please)?|ok(?:ay)?"
)
_NO = re.compile(
    r"(?P<surely>i (?:don't|do not|won't) agree|(?:i )?(?:decline|disagree))|no(?: thanks?| thank you)?"
)
OFFER = "share code"
"""The button under what is asked back of words that only seem to offer a meal: its words."""
MOST_WORDS = 40
"""Characters of a meal in a button, whose data is short."""
_ENDS = re.compile(r"\b(?:stop|end|quit|cancel|unshare|no longer|not|don't|nobody)\b")
NONE = (
    "You share no meal with anybody. “Compare my porridge with someone” makes a code to hand over; nothing "
    "crosses before both agree."
)
NAME_ONE = "One meal can be set beside somebody else's: name what you both eat. " + fixed.SHARING
_ALREADY = "You share {words} with somebody already: “stop sharing” ends that first."


def hear_sharing(heard: Heard, text: str) -> Outgoing | None:
    """Answer words about a meal shared by two people; None where they are about something else."""
    said = re.sub(r"\s+", " ", text.strip().replace("’", "'")).strip(" .!?")
    if not said or len(said) > MOST_CHARACTERS:
        return None
    code = _CODE.fullmatch(said)
    if code is not None and all(any(c.isdigit() for c in half) for half in code.groups()):
        return _take(heard, f"{code[1]}-{code[2]}")
    said = said.lower()
    for pattern, answer in _ANSWERS:
        found = pattern.fullmatch(said)
        if found is not None:
            return answer(heard, next((_meal(name) for name in found.groups() if name), ""))
    for pattern in (_YES, _NO):
        found = pattern.fullmatch(said)
        if found is not None and not heard.incoming.edited:
            return _hear_answer(heard, agrees=pattern is _YES, surely=bool(found["surely"]))
    return None


def _hear_answer(heard: Heard, *, agrees: bool, surely: bool) -> Outgoing | None:
    """Answer a yes or no in words, that only to what was asked last: a stray “ok” shares nothing."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    waiting, pending = _unanswered(heard), tx.pending.get(person.id, now)
    if pending is not None and tx.inbox.is_overtaken(heard.incoming.update_id, person.id):
        return None  # it was asked after these words
    if pending is not None and pending.about == ASKED and waiting:
        tx.pending.clear(person.id)
        return _answer(heard, waiting[-1], agrees=agrees)
    return _ask(heard, waiting[-1]) if waiting and surely and pending is None else None


def hear_share(heard: Heard, question: Question) -> Outgoing:
    """Answer words that are likely about sharing a meal; what they seem to offer is asked back."""
    found = heard.tx.shares.all(heard.person.id, heard.incoming.sent_at)
    if _ENDS.search(question.said.lower()):
        return _state(heard, "")
    words = question.subject
    agreed = [one.words for one in found if one.agreed_at is not None]
    if words in agreed or (not words and len(agreed) == 1):
        shown = _ours(heard, words or agreed[0])
        assert shown is not None
        return shown
    if not words or words in SLOT_WORDS or len(words.encode()) > MOST_WORDS:
        return Outgoing(heard.person.id, NAME_ONE)
    return Outgoing(
        heard.person.id,
        f"Shall I make a code for {words}, to hand to one person who writes to me too? "
        f"{_what_crosses(words)}",
        buttons=(Button("Make a code", f"{OFFER}:{words}"),),
    )


def press_offer(heard: Heard, data: str) -> Outgoing:
    """Make the code that was asked back."""
    offered = _offer(heard, data)
    assert offered is not None
    return offered


def press_share(heard: Heard, data: str, *, what: str) -> Outgoing:
    """Answer a button of whoever was asked to agree; what: which of the two."""
    waiting = next((one for one in _unanswered(heard) if str(one.id) == data), None)
    if waiting is None:
        known = heard.tx.shares.all(heard.person.id, heard.incoming.sent_at)
        if any(str(one.id) == data and one.agreed_at is not None for one in known):
            return Outgoing(heard.person.id, "You agreed to that: “stop sharing” ends it.")
        return Outgoing(heard.person.id, "That question is over: nothing is shared by it.")
    return _answer(heard, waiting, agrees=what == AGREE)


def _unanswered(heard: Heard) -> list[Share]:
    """Return what the person took the code of and has not answered, what was taken last at the end."""
    known = heard.tx.shares.all(heard.person.id, heard.incoming.sent_at)
    return [one for one in known if one.other == heard.person.id and one.agreed_at is None]


def _meal(said: str) -> str:
    return re.sub(r"^(?:my|the|our) ", "", said.strip(" ,;:"))


def _is_no_meal(words: str) -> bool:
    """Tell whether words name no meal that two people may have: “everything”, “my data”."""
    return all(word in _TOO_MUCH or word.isdigit() or is_plain(word) for word in words.split())


def _what_crosses(words: str) -> str:
    return (
        f"Each of you then sees of the other's {words}: how many servings there are, the last "
        f"{BACK.days} days and from now on, and the score and curve of each. No name, no time, no amount, no "
        "other entry."
    )


def _offer(heard: Heard, words: str) -> Outgoing | None:
    """Make a code for a meal; a whole meal of the day, or none at all, is too much to share."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    if words in SLOT_WORDS or words.removesuffix("s") in SLOT_WORDS or _is_no_meal(words):
        what = "That" if _is_no_meal(words) else f"A whole {words}"
        return Outgoing(
            person.id,
            f"{what} is more than one meal: name what you both eat, like “compare my porridge with someone”.",
        )
    if any(one.words == words and one.agreed_at is not None for one in tx.shares.all(person.id, now)):
        return Outgoing(
            person.id, f"You share {words} with somebody already: “stop sharing” ends that first."
        )
    code = tx.shares.offer(person.id, words, now)
    until = now + LASTS
    return Outgoing(
        person.id,
        "Hand the code below to one person: that is your yes. It works once, until "
        f"{numbers.day_and_clock(until, person.zone, now)}. Who says it to me in a chat of their own is told "
        f"what you read here, and asked. {_what_crosses(words)} “Our {words}” shows it; “stop sharing” by "
        "either of you ends it at once.",
        once=f"\n{code}",
    )


def _take(heard: Heard, code: str) -> Outgoing:
    """Ask whoever says a code whether they agree; the code is used up."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    share = tx.shares.find(code, now)
    if share is None:
        return Outgoing(person.id, "That code is used up, ended or more than a day old: ask for a new one.")
    if share.person == person.id:
        return Outgoing(person.id, "That is your own code: hand it to the other person.")
    mine = [one for one in tx.shares.all(person.id, now) if one.words == share.words]
    if any(one.agreed_at is not None for one in mine):
        return Outgoing(person.id, _ALREADY.format(words=share.words))
    if not tx.shares.take(share, person.id):
        return Outgoing(person.id, "That code was just used by somebody else.")
    return _ask(heard, share)


def _ask(heard: Heard, share: Share) -> Outgoing:
    """Ask whether somebody agrees."""
    now = heard.incoming.sent_at
    heard.tx.pending.ask(heard.person.id, ASKED, None, now, share.expires_at)
    return Outgoing(
        heard.person.id,
        f"Whoever gave you this code would set {share.words} side by side with you. "
        f"{_what_crosses(share.words)} Either of you ends it at once with “stop sharing”. Do you agree?",
        buttons=(Button("I agree", f"{AGREE}:{share.id}"), Button("No", f"{DECLINE}:{share.id}")),
    )


def _answer(heard: Heard, share: Share, *, agrees: bool) -> Outgoing:
    tx, person = heard.tx, heard.person
    if not agrees:
        tx.shares.drop(share)
        return Outgoing(person.id, "Nothing is shared, and the code is gone.")
    tx.shares.agree(share, heard.incoming.sent_at)
    return Outgoing(
        person.id,
        f"Agreed: from now on both of you can ask “our {share.words}”. “Stop sharing” ends it at once.",
    )


def _ours(heard: Heard, words: str) -> Outgoing | None:
    """Show a shared meal; None where words name none: “our dinner was pasta” is a note."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    found = tx.shares.all(person.id, now)
    of = [one for one in found if one.words == words]
    if not of:
        return Outgoing(person.id, NONE) if not found and len(words.split()) <= FEW_WORDS else None
    agreed = [one for one in of if one.agreed_at is not None]
    if not agreed:
        return Outgoing(person.id, f"Nothing of {words} crosses yet: one of you has not agreed so far.")
    return answer_ours(tx, person, agreed[-1], now)


def _stop(heard: Heard, words: str) -> Outgoing | None:
    """End what is shared, offered or asked: that meal, or all."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    found = tx.shares.all(person.id, now)
    ending = [one for one in found if not words or one.words == words]
    if not found:
        return Outgoing(person.id, NONE)
    if not ending:
        return Outgoing(person.id, f"You share {join([one.words for one in found])}, not {words}.")
    for one in ending:
        tx.shares.drop(one)
    ended = join(list(dict.fromkeys(one.words for one in ending)))
    return Outgoing(person.id, f"Ended: nobody sees your {ended} any more, and you see nothing of theirs.")


def _state(heard: Heard, words: str) -> Outgoing:
    """Say what is shared and what waits for a yes."""
    found = heard.tx.shares.all(heard.person.id, heard.incoming.sent_at)
    if not found:
        return Outgoing(heard.person.id, NONE)
    lines = []
    for one in found:
        state = "shared with one person" if one.agreed_at is not None else "not agreed to yet"
        lines.append(f"{one.words[:1].upper()}{one.words[1:]}: {state}.")
    return Outgoing(heard.person.id, "\n".join([*lines, "“Stop sharing” ends it at once."]))


_ANSWERS: tuple[tuple[re.Pattern[str], Callable[[Heard, str], Outgoing | None]], ...] = (
    (_STATE, _state),
    (_STOP, _stop),
    (_OURS, _ours),
    (_OFFER, _offer),
)
