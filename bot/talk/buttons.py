"""Buttons. One outlives what it was about, so that is looked up and said if it is gone."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from functools import partial

from bot.answers.all_held import HELD, press_held
from bot.answers.meals import FIRST_BITE
from bot.answers.reports import REPORT, press_report
from bot.answers.trials import PRESSED as TRIAL
from bot.model.button_ids import read_ids
from bot.model.entries import Sync
from bot.model.messages import IN_WORDS, Outgoing, show_pictures
from bot.reply import can_do, fixed, numbers, settings_list, tour
from bot.reply import first_hour as hello
from bot.reply import help as helping
from bot.reply.day_list import ENTRY
from bot.reply.noted import say_noted
from bot.store import Person
from bot.talk import files as filing
from bot.talk import reminder_buttons as snoozing
from bot.talk import reviews as reviewing
from bot.talk import slash_commands as commands
from bot.talk import unexplained_rises as asking
from bot.talk.another_entry import PRESSED, press_another
from bot.talk.answers_in_words import LEFT
from bot.talk.brief import say_stored
from bot.talk.cautions import SCORES
from bot.talk.eating_rules import BACK, DROP, KEEP, OPEN, press_open, press_rule
from bot.talk.first_hour import press_hello
from bot.talk.heard import Heard
from bot.talk.menus import press_help, press_setting
from bot.talk.nearest import LEAVE
from bot.talk.packaged_foods import PRODUCT, press_product
from bot.talk.photos import PRESSES, press_photo
from bot.talk.quick_fixes import amount_buttons, apply_answer, press_first_bite, press_grams, read_answer
from bot.talk.recording import ask_fix, put_back, record, undo
from bot.talk.remarks import remark_on
from bot.talk.remembering import personal_of
from bot.talk.sharing import AGREE, DECLINE, OFFER, press_offer, press_share
from bot.talk.tour import press_tour
from bot.talk.trials import press_trial
from bot.talk.words import hear as words_heard

TWICE = timedelta(minutes=1)
"""A button pressed again so soon was pressed once."""
_STALE = {
    "gone": fixed.TAKEN_BACK,
    "not here": fixed.NOT_HERE,
    "back already": "That note is back already.",
    "old": "That button is from an older version of me: write what you want instead, or say “help”.",
}


def press(heard: Heard, data: str) -> list[Outgoing]:
    """Answer a button."""
    what, _, rest = data.partition(":")
    person, incoming = heard.person, heard.incoming
    match what:
        case "synced":
            return _note_sync(heard)
        case _ if what in _SEVERAL:
            return _SEVERAL[what](heard, rest)
        case _ if what in _ASKED:
            return [_ASKED[what](heard, rest)]
        case _ if what == FIRST_BITE:
            return press_first_bite(heard, rest) or [_stale(person, "not here")]
        case _ if what == PRODUCT:
            return [press_product(heard, rest) or _stale(person, "old")]
        case _ if what in snoozing.PRESSES:
            return [snoozing.press_reminder(heard, what, rest)]
        case _ if what in asking.PRESSES:
            return [asking.press_rise(heard, what, rest)]
        case _ if what in filing.PRESSES:
            return filing.press_file(heard, what, rest)
    found = [heard.tx.log.get(i) for i in read_ids(rest)]
    targets = [t for t in found if t is not None and t.person == person.id]
    live = [t for t in targets if t.removed_at is None]
    if what == "back":
        gone = [t for t in targets if t.removed_at is not None]
        return [
            put_back(heard, gone, incoming.message_id)
            if gone
            else _stale(person, "back already" if targets else "not here")
        ]
    if not live:
        return [_stale(person, "gone" if targets else "not here")]
    if what == ENTRY:
        return say_noted([live[0]], person, incoming.sent_at, [])
    if what == "undo":
        return [undo(heard, live, incoming.message_id)]
    if what == "amounts":
        personal = personal_of(heard.tx, person, incoming.sent_at)
        return [replace(ask_fix(heard, what, live[0]), buttons=amount_buttons(live[0], personal))]
    if what == "time":
        return [ask_fix(heard, what, live[0])]
    return [_stale(person, "old")]


def _note_sync(heard: Heard) -> list[Outgoing]:
    person, now = heard.person, heard.incoming.sent_at
    noted = next(iter(heard.tx.log.last(person.id, ("sync",))), None)
    if noted is not None and abs(now - noted.at) < TWICE:
        return [
            Outgoing(person.id, f"That sync is noted already, at {numbers.clock(noted.at, person.zone)}.")
        ]
    logged = record(heard, [Sync(now)])
    more = remark_on(heard, logged)
    if person.talk == "full":
        more.append("Please send me its readings when you can.")
    return say_stored(heard, logged, more)


def _in_words(heard: Heard, data: str) -> Outgoing:
    """Send what a picture shows in words; it is worded when it is delivered, as it is drawn."""
    ids = read_ids(data)
    specs = heard.tx.outbox.pictures_of(heard.person.id, ids[0]) if ids else ()
    if not specs:
        return _stale(heard.person, "not here")
    return show_pictures(
        Outgoing(heard.person.id, "In words:"), *(replace(spec, in_words=True) for spec in specs)
    )


def _answer(heard: Heard, data: str) -> Outgoing:
    found = read_answer(heard, data)
    return _stale(heard.person, "not here") if found is None else apply_answer(heard, *found)


def _grams(heard: Heard, data: str) -> Outgoing:
    return press_grams(heard, data) or _stale(heard.person, "not here")


def _leave(heard: Heard, _data: str) -> Outgoing:
    return Outgoing(heard.person.id, LEFT, replaces=heard.incoming.message_id)


def _trial(heard: Heard, data: str) -> Outgoing:
    return press_trial(heard, data) or _stale(heard.person, "not here")


def _rule(heard: Heard, data: str, *, what: str) -> Outgoing:
    return press_rule(heard, data, what=what) or _stale(heard.person, "not here")


def _open(heard: Heard, data: str) -> Outgoing:
    return press_open(heard, data) or _stale(heard.person, "not here")


def _report(heard: Heard, data: str) -> Outgoing:
    return press_report(heard.tx, heard.person, data) or _stale(heard.person, "not here")


def _held(heard: Heard, data: str) -> Outgoing:
    sent = press_held(heard.tx, heard.person, data, heard.incoming.sent_at)
    return sent or _stale(heard.person, "not here")


def _another(heard: Heard, data: str) -> Outgoing:
    return press_another(heard, data) or _stale(heard.person, "not here")


def _erase(heard: Heard, data: str) -> Outgoing:
    return commands.press_erase(heard.tx, heard.person, data, heard.incoming.sent_at)


def _scores(heard: Heard, data: str) -> Outgoing:
    return Outgoing(heard.person.id, commands.set_scores(heard.tx, heard.person, data))


def _say(heard: Heard, words: str) -> list[Outgoing]:
    """Hear what a button says as if it had been written."""
    return words_heard(replace(heard, incoming=replace(heard.incoming, press=None, text=words)))


_SEVERAL: dict[str, Callable[[Heard, str], list[Outgoing]]] = {
    hello.PRESS: press_hello,
    helping.PRESS: press_help,
    settings_list.PRESS: press_setting,
    tour.PRESS: press_tour,
    can_do.PRESS: _say,
}
_ASKED: dict[str, Callable[[Heard, str], Outgoing]] = {
    "answer": _answer,
    SCORES: _scores,
    commands.ERASE: _erase,
    "grams": _grams,
    LEAVE: _leave,
    IN_WORDS: _in_words,
    PRESSED: _another,
    TRIAL: _trial,
    OFFER: press_offer,
    AGREE: partial(press_share, what=AGREE),
    DECLINE: partial(press_share, what=DECLINE),
    **reviewing.PRESSES,
    **{what: partial(press_photo, what=what) for what in PRESSES},
    **{act: partial(_rule, what=act) for act in (KEEP, BACK, DROP)},
    OPEN: _open,
    REPORT: _report,
    HELD: _held,
}


def _stale(person: Person, why: str) -> Outgoing:
    return Outgoing(person.id, _STALE[why])
