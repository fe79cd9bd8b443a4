"""The tour of two minutes, which is the real thing: one meal is noted, one file taken in, one curve drawn."""

from dataclasses import replace

from bot.language.texts import say
from bot.model.messages import Outgoing
from bot.reply import numbers
from bot.reply import tour as said
from bot.reply.first_hour import TOUR
from bot.store import Transaction
from bot.talk.heard import Heard
from bot.talk.sample import add_readings, drop_sample, mark_sample, meal_at, note_meal


def begin_tour(heard: Heard) -> list[Outgoing]:
    """Ask for a meal."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    tx.first_hour.begin(person.id, [TOUR], now)
    tx.first_hour.ask(person.id, TOUR, now)
    return [Outgoing(person.id, say(said.STEP_MEAL), buttons=said.buttons(said.MEAL, said.END))]


def press_tour(heard: Heard, what: str) -> list[Outgoing]:
    """Answer a button of the tour, or the one that takes its sample out."""
    tx, person = heard.tx, heard.person
    if what == said.BEGIN:
        return begin_tour(heard)
    if what == said.MEAL:
        return _invent(heard)
    if what == said.SAMPLE:
        return _show(heard)
    tx.first_hour.settle(person.id, TOUR)
    if what == said.DROP:
        return [Outgoing(person.id, drop_sample(tx, person) or say(said.NO_SAMPLE))]
    return [Outgoing(person.id, say(said.ENDED), replaces=heard.incoming.message_id)]


def is_running(tx: Transaction, person_id: str) -> bool:
    """Tell whether somebody is in the middle of the tour."""
    topics = tx.first_hour.topics(person_id)
    return any(t.name == TOUR and t.asked_at is not None and not t.settled for t in topics)


def with_tour(heard: Heard, replies: list[Outgoing]) -> list[Outgoing]:
    """Return the replies of a turn with the next step of the tour, and invented pictures marked."""
    tx, person, incoming = heard.tx, heard.person, heard.incoming
    if incoming.press is None and is_running(tx, person.id):
        if any(reply.drawn for reply in replies):
            tx.first_hour.settle(person.id, TOUR)
            replies = [*replies, Outgoing(person.id, say(said.STEP_CURVE))]
        elif any(noted.kind == "meal" for noted in tx.log.of_update(person.id, incoming.update_id)):
            replies = [*replies, _ask_file(heard)]
    return mark_sample(tx, person, replies)


def _ask_file(heard: Heard, before: str = "") -> Outgoing:
    text = f"{before}\n\n{say(said.STEP_FILE)}".strip()
    return Outgoing(heard.person.id, text, buttons=said.buttons(said.SAMPLE, said.END))


def _invent(heard: Heard) -> list[Outgoing]:
    """Note an invented meal, and ask for a file."""
    tx, person = heard.tx, heard.person
    if tx.first_hour.sample(person.id) is None:
        note_meal(heard)
    when = meal_at(person, heard.incoming.sent_at)
    noted = say(
        said.NOTED_INVENTED,
        meal=said.SAMPLE_MEAL,
        day=numbers.day(when, person.zone),
        clock=numbers.clock(when, person.zone),
    )
    return [replace(_ask_file(heard, noted), replaces=heard.incoming.message_id)]


def _show(heard: Heard) -> list[Outgoing]:
    """Take in the invented file, beside an invented meal, and show the curve."""
    tx, person = heard.tx, heard.person
    had = tx.first_hour.sample(person.id)
    if had is None and tx.readings.count(person.id):
        return [Outgoing(person.id, say(said.HAS_READINGS))]
    tx.first_hour.settle(person.id, TOUR)
    if had is None:
        note_meal(heard)
    curves = add_readings(heard)
    if not curves:  # pressed again
        return [Outgoing(person.id, say(said.STEP_CURVE), buttons=said.buttons(said.DROP))]
    invented = say(said.STEP_SAMPLE, meal=said.SAMPLE_MEAL, n=tx.readings.count(person.id))
    shown = replace(curves[0], text=f"{invented}\n\n{curves[0].text}")
    return [shown, Outgoing(person.id, say(said.STEP_CURVE))]
