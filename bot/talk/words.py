"""Words: what a message says is understood, stored and answered."""

from collections.abc import Sequence
from dataclasses import replace

from bot.answers.meals import say_new_curves
from bot.language.texts import say
from bot.model.entries import Correction, Meal, Nothing, Question, Reading, Stored, Sync, Understood
from bot.model.messages import Outgoing
from bot.reply import fixed
from bot.reply.glossary import explain_asked, explain_within
from bot.store import Logged, Pending
from bot.talk.answers_in_words import NOTHING_STORED, answer_in_words, takes_back_nothing
from bot.talk.brief import say_stored, with_ask
from bot.talk.cautions import concerns_in, with_cautions
from bot.talk.changing import OPEN_BUTTONS, ask_which, change, pointed_at, recent_log
from bot.talk.day_text import hear_day_text, say_day_text
from bot.talk.files import ABOUT_FILE, hear_choice
from bot.talk.heard import Heard
from bot.talk.incoming_readings import complete
from bot.talk.nearest import with_nearest, with_suggested
from bot.talk.offering import with_offers
from bot.talk.own_words import forget, name_meal, say_named, teach
from bot.talk.quick_fixes import ask_about, keep_answer
from bot.talk.recording import edit, record
from bot.talk.remarks import remark_on
from bot.talk.remembering import personal_of
from bot.talk.reviews import say_sensors
from bot.talk.sample import drop_sample
from bot.talk.sharing import ASKED as SHARE
from bot.talk.sharing import hear_share
from bot.talk.skipping import hear_skip
from bot.talk.telling import tell
from bot.talk.trials import answer_trial, hear_trial
from bot.talk.unexplained_rises import meant_now
from bot.talk.unit_learnt import say_unit, with_unit
from bot.understanding import Context, understand
from bot.understanding.corrections.portions import ASKED

MOST_ANSWERED = 4
"""So many questions of one message are answered; of more, nobody would read the answers."""
MOST_PICTURES = 3
"""So many pictures come with the answers to one message, unless one answer alone has more."""


def hear(heard: Heard) -> list[Outgoing]:
    """Answer a message in words, with examples in the person's unit."""
    return [replace(reply, text=fixed.in_unit(reply.text, heard.person.unit)) for reply in _hear(heard)]


def _hear(heard: Heard) -> list[Outgoing]:
    tx, person, incoming = heard.tx, heard.person, heard.incoming
    # An edit is a new version of what was said before, not the answer to what was asked since.
    pending = None if incoming.edited else tx.pending.get(person.id, incoming.sent_at)
    if pending is not None and tx.inbox.is_overtaken(incoming.update_id, person.id):
        pending = None  # that question was asked after these words
    if pending is not None:
        tx.pending.clear(person.id)
        chosen = hear_choice(heard) if pending.about == ABOUT_FILE else None
        if chosen is not None:
            return chosen
        answered = answer_in_words(heard, pending)
        if answered is not None:
            return [answered]
    agreed = None if incoming.edited else answer_trial(heard, pending)
    if agreed is not None:
        return [agreed]
    whole = None if incoming.edited else _hear_whole(heard)
    if whole is not None:
        return whole
    pointed = pointed_at(heard, pending)
    old = _of_first_version(heard)
    own = {logged.id for logged in old}
    context = Context(
        now=meant_now(pending, incoming.sent_at),
        zone=person.zone,
        table=heard.table(),
        unit=person.unit,
        log=tuple(noted for noted in recent_log(heard, pointed) if noted.id not in own),
        pointed=pointed,
        edited=bool(old),
        answering="" if pending is None or pending.about in (OPEN_BUTTONS, SHARE) else pending.about,
        personal=personal_of(tx, person, incoming.sent_at),
    )
    pasted = None if incoming.edited else hear_day_text(heard, context)
    if pasted is not None:
        return pasted
    text = incoming.text.removeprefix("/")
    understood = heard.answers.understand(text, lambda: understand(text, context))
    before = heard
    heard, understood = with_unit(heard, context, understood)
    if takes_back_nothing(heard, pending, understood):
        return [Outgoing(person.id, NOTHING_STORED)]
    if old and (not understood.told or any(isinstance(e, Stored) for e in understood.entries)):
        return edit(heard, old, understood) + tell(heard, understood.told)
    told = tell(heard, understood.told) + say_unit(before, heard)
    logged, replies = _store(heard, understood)
    replies = with_offers(heard, logged, replies)
    replies += told
    replies += _respond(heard, understood, context, pending)
    return _with_asks(heard, context, understood, logged, replies)


def _with_asks(
    heard: Heard, context: Context, understood: Understood, logged: list[Logged], replies: list[Outgoing]
) -> list[Outgoing]:
    """Return the replies with the one question that what was said calls for, if any."""
    if understood.choice is not None:
        replies.append(ask_which(heard, understood.choice, context.log))
    replies = with_suggested(replies, understood.asks)
    replies = with_nearest(heard, understood, context, replies)
    replies = with_cautions(heard, replies, concerns_in(heard, understood))
    if understood.asks or heard.incoming.edited:
        return replies
    return with_ask(replies, ask_about(heard, logged, context), heard.person)


def _respond(
    heard: Heard, understood: Understood, context: Context, pending: Pending | None
) -> list[Outgoing]:
    """Answer what is asked and make what is to be changed, in the order of the words."""
    replies: list[Outgoing] = []
    asked = 0
    only_asks = not understood.told and all(isinstance(entry, Question) for entry in understood.entries)
    looked_up = [one for one in understood.entries if isinstance(one, Question) and _is_looked_up(one)]
    beside = looked_up[:MOST_ANSWERED] if only_asks else []
    for entry in understood.entries:
        if isinstance(entry, Question):
            asked += 1
            if asked <= MOST_ANSWERED:
                replies.append(replace(_answer(heard, entry, beside, only_asks=only_asks), whole=True))
        elif isinstance(entry, Correction):
            for reply in _change(heard, entry, context):
                replies.append(replace(reply, text=reply.text + _keep_answer(heard, pending, entry)))
    replies = _with_few_pictures(replies)
    return replies if asked <= MOST_ANSWERED else [*replies, Outgoing(heard.person.id, fixed.MORE_ASKED)]


def _with_few_pictures(replies: Sequence[Outgoing]) -> list[Outgoing]:
    """Leave the later ones of many answers without their pictures: each is whole in words, too."""
    kept: list[Outgoing] = []
    for reply in replies:
        pictures = sum(len(one.drawn) for one in kept)
        files = any(not picture.file.endswith(".png") for picture in reply.drawn)
        if pictures and pictures + len(reply.drawn) > MOST_PICTURES and not files:
            reply = replace(reply, picture=None, pictures=())
        kept.append(reply)
    return kept


def _hear_whole(heard: Heard) -> list[Outgoing] | None:
    """Answer what is said by whole sentences: a routine that was not kept, what a word of ours means."""
    meaning = explain_asked(heard.incoming.text)
    return hear_skip(heard) if meaning is None else [Outgoing(heard.person.id, meaning)]


def _is_looked_up(question: Question) -> bool:
    """Tell whether a question is answered from the record alone."""
    return question.about != "trial" and question.sort not in ("as text", "meaning", "share")


def _answer(heard: Heard, question: Question, beside: list[Question], *, only_asks: bool) -> Outgoing:
    """Answer a question; what would change a test or share a meal is answered in the talk."""
    if question.about == "trial":
        return hear_trial(heard, question)
    if question.sort == "as text":
        return say_day_text(heard, question)
    if question.sort == "meaning":
        return Outgoing(heard.person.id, explain_within(heard.incoming.text) or say(fixed.MEANING))
    if question.sort == "share":
        return hear_share(heard, question)
    now = heard.incoming.sent_at
    return heard.answers(heard.tx, heard.person, question, now, only_asks=only_asks, beside=beside)


def _of_first_version(heard: Heard) -> list[Logged]:
    """Return what was noted from the first version of a message that was edited."""
    incoming = heard.incoming
    if not incoming.edited or incoming.message_id is None:
        return []
    return heard.tx.log.of_message(heard.person.id, incoming.message_id)


def _store(heard: Heard, understood: Understood) -> tuple[list[Logged], list[Outgoing]]:
    """Store what is to be noted and say so, with whatever else there is to say about it."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    readings = [e for e in understood.entries if isinstance(e, Reading) and e.at is not None]
    stamps = [e.at for e in readings if e.at is not None]
    completed: list[int] = []
    gone = drop_sample(tx, person) if stamps else ""
    if stamps:
        logged, completed = complete(
            tx, person, min(stamps), max(stamps), lambda: record(heard, understood.entries)
        )
    else:
        logged = record(heard, understood.entries)
    unread = [
        f"I didn't understand “{fixed.shorten(e.said)}”."
        for e in understood.entries
        if isinstance(e, Nothing)
    ]
    if understood.left_out and not unread:
        unread = [fixed.say_left_out(understood.left_out)]
    named = [say_named(heard, e.entry) for e in logged if isinstance(e.entry, Meal) and e.entry.called]
    more = [*named, *unread, *understood.asks, *filter(None, [gone])]
    if person.talk == "full" and any(isinstance(e, Sync) and e.at is not None for e in understood.entries):
        more.append("Please send me its readings when you can.")
    if understood.choice is not None:
        return logged, say_stored(heard, logged, [*remark_on(heard, logged), *more])
    nothing = not understood.entries and not understood.told and not understood.concerns
    if (nothing and not more) or (unread and not logged and not understood.asks):
        more.append(fixed.HOW_TO_SAY)
    sensors, buttons = say_sensors(heard, logged)
    said = say_stored(heard, logged, [*remark_on(heard, logged), *sensors, *more])
    if said and buttons:
        said = [replace(said[0], buttons=(*said[0].buttons, *buttons)), *said[1:]]
    return logged, said + say_new_curves(tx, person, completed, now)


def _change(heard: Heard, correction: Correction, context: Context) -> list[Outgoing]:
    log = heard.tx.log
    meant = None if context.pointed is None else log.get(context.pointed)
    meant = meant or log.last_logged(heard.person.id, kinds=("meal",)) or log.last_logged(heard.person.id)
    match correction.what:
        case "teach":
            return [teach(heard, correction, meant)]
        case "forget":
            return [forget(heard, correction)]
        case "name":
            return [name_meal(heard, meant, correction)]
    return change(heard, [correction], pointed=context.pointed is not None)


def _keep_answer(heard: Heard, pending: Pending | None, correction: Correction) -> str:
    """Remember an amount that was typed in answer to “How much rice was it?”, and say so."""
    asked = pending is not None and pending.about.startswith(ASKED)
    return keep_answer(heard, correction) if asked and correction.usual else ""
