"""Buttons that need no typing: the answers to a question of ours, and other amounts of what is on a plate."""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime

from bot.answers.meals import say_curve
from bot.model.amending import amend
from bot.model.entries import Correction, Item, Meal
from bot.model.messages import Button, Outgoing
from bot.reply import fixed, numbers
from bot.store import Asked, Logged
from bot.talk.another_entry import OTHER, answered_before, changed_since
from bot.talk.changing import OPEN_BUTTONS, WHICH, answer_which
from bot.talk.heard import Heard
from bot.talk.offering import OFFER, choose_offer
from bot.talk.recording import ANSWER_WITHIN, correct
from bot.understanding import Context
from bot.understanding.corrections.portions import ASKED
from bot.understanding.foods.own_table import scale
from bot.understanding.personal import Personal
from bot.understanding.worth_asking import KIND, choose_question

MOST_ITEMS = 2
MOST_LABEL = 20
MOST_DATA_BYTES = 64
_SPREAD = 0.15
_FACTORS = (("½", 0.5), ("2×", 2.0))


def ask_about(heard: Heard, logged: Sequence[Logged], context: Context) -> list[Outgoing]:
    """Ask the one question about the meals just noted that matters, if there is one; never twice."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    noted = [(one, one.entry) for one in logged if isinstance(one.entry, Meal)]
    ask = choose_question(
        [meal for _, meal in noted], context, lambda about: tx.asked.about(person.id, about) is not None
    )
    if ask is None:
        return []
    meal = noted[ask.meal][0]
    asked_id = tx.asked.put(
        person.id, ask.about, meal.id, [(choice.label, choice.correction) for choice in ask.choices], now
    )
    about = meal.id if ask.typed else None
    tx.pending.ask(person.id, ask.typed or OPEN_BUTTONS, about, now, now + ANSWER_WITHIN)
    buttons = tuple(Button(choice.label, f"answer:{asked_id},{k}") for k, choice in enumerate(ask.choices))
    return [Outgoing(person.id, ask.text, buttons=buttons, entry_id=meal.id)]


def read_answer(heard: Heard, data: str) -> tuple[Asked, Logged, int] | None:
    """Read the data of an answer's button: the question, the entry it is about and which answer it is."""
    found = re.fullmatch(r"([0-9]{1,18}),([0-9])", data)
    asked = None if found is None else heard.tx.asked.get(int(found[1]))
    if found is None or asked is None or asked.person != heard.person.id:
        return None
    target, choice = heard.tx.log.get(asked.entry_id), int(found[2])
    return None if target is None or choice >= len(asked.choices) else (asked, target, choice)


def apply_answer(heard: Heard, asked: Asked, target: Logged, choice: int) -> Outgoing:
    """Make the change that an answer means, and keep the answer for the next time."""
    label, correction = asked.choices[choice]
    if asked.about.startswith((WHICH, OTHER)):
        return _answer_once(heard, asked, correction)
    if target.removed_at is not None:
        return Outgoing(heard.person.id, fixed.TAKEN_BACK)
    if asked.about.startswith(OFFER):
        return choose_offer(heard, asked, target, choice)
    heard.tx.asked.answer(asked.id, correction, heard.incoming.sent_at)
    same = isinstance(target.entry, Meal) and _looks_same(target.entry, correction)
    reply = correct(heard, target, correction)
    text = "Good, it stays as noted." if same else reply.text
    learned = f"\nI take such weights as {label.lower()} from now on." if asked.about.startswith(KIND) else ""
    if asked.about.startswith(ASKED):
        learned = _learned(correction)
    return replace(reply, text=text + learned, replaces=heard.incoming.message_id)


def _answer_once(heard: Heard, asked: Asked, correction: Correction) -> Outgoing:
    """Make the change that was meant, once, and only where nobody changed that entry in between."""
    if asked.answer is not None:
        return answered_before(heard, asked)
    refused = changed_since(heard, asked, correction)
    if refused is not None:
        return refused
    heard.tx.asked.answer(asked.id, correction, heard.incoming.sent_at)
    return answer_which(heard, correction)


def keep_answer(heard: Heard, correction: Correction) -> str:
    """Keep an amount that was typed in answer to a question, and return what is to be said about that."""
    item = correction.items[0]
    asked = heard.tx.asked.about(heard.person.id, f"{ASKED}{item.food}")
    if asked is None or not item.stated:
        return ""
    heard.tx.asked.answer(asked.id, correction, heard.incoming.sent_at)
    return _learned(correction)


def _looks_same(before: Meal, correction: Correction) -> bool:
    after = amend(before, correction)
    assert isinstance(after, Meal)
    names = [[(item.name, round(item.grams)) for item in meal.items] for meal in (before, after)]
    return names[0] == names[1] and before.at == after.at


def _learned(correction: Correction) -> str:
    item = correction.items[0]
    return f"\n{item.name.capitalize()} without an amount is {numbers.grams(item.grams)} from now on."


def amount_buttons(meal: Logged, personal: Personal) -> tuple[Button, ...]:
    """Offer half, double and the usual amount of the foods of a meal that hold most carbohydrate."""
    if not isinstance(meal.entry, Meal):
        return ()
    items = sorted((i for i in meal.entry.items if i.grams > 0), key=_carbs, reverse=True)
    buttons: list[Button] = []
    for item in items[:MOST_ITEMS]:
        buttons += [_button(meal, item, item.grams * factor, sign) for sign, factor in _FACTORS]
        usual = None if item.food is None else personal.usual(item.food)
        if usual is not None and round(usual.grams) != round(item.grams):
            buttons.append(_button(meal, item, usual.grams, numbers.grams(usual.grams)))
    return tuple(buttons)


def _carbs(item: Item) -> float:
    return 0.0 if item.nutrients is None else item.nutrients.carbs_g or 0.0


def _button(meal: Logged, item: Item, grams: float, sign: str) -> Button:
    start = f"grams:{meal.id},{grams:.1f},"
    name = item.name.encode()[: MOST_DATA_BYTES - len(start)].decode(errors="ignore")
    label = item.name if len(item.name) <= MOST_LABEL else item.name[: MOST_LABEL - 1] + "…"
    return Button(f"{sign} {label}", start + name)


def press_first_bite(heard: Heard, data: str) -> list[Outgoing]:
    """Move a meal to the first bite that a button names, and say its curve from there; [] if unknown."""
    found = re.fullmatch(r"([0-9]{1,18}),([0-9]{1,9})", data)
    target = None if found is None else heard.tx.log.get(int(found[1]))
    if found is None or target is None or target.person != heard.person.id:
        return []
    if target.removed_at is not None:
        return [Outgoing(heard.person.id, fixed.TAKEN_BACK)]
    at = datetime.fromtimestamp(int(found[2]) * 60, UTC)
    moved = correct(heard, target, Correction("time", at=at))
    after = heard.tx.log.get(target.id)
    assert after is not None
    return [moved, say_curve(heard.tx, heard.person, after, heard.incoming.sent_at)]


def press_grams(heard: Heard, data: str) -> Outgoing | None:
    """Give a food the amount that a button names; pressed twice it is still that amount."""
    found = re.fullmatch(r"([0-9]{1,18}),([0-9]{1,5}\.[0-9]),(.+)", data)
    target = None if found is None else heard.tx.log.get(int(found[1]))
    if found is None or target is None or target.person != heard.person.id:
        return None
    if target.removed_at is not None:
        return Outgoing(heard.person.id, fixed.TAKEN_BACK)
    grams, name = max(0.1, float(found[2])), found[3]
    items = target.entry.items if isinstance(target.entry, Meal) else ()
    item = next((i for i in items if i.name.startswith(name) and i.grams > 0), None)
    if item is None:
        return Outgoing(heard.person.id, f"There is no {name} in that note any more.")
    weighed = replace(scale(item, grams / item.grams), stated=True)
    spread = replace(weighed, grams_low=grams * (1 - _SPREAD), grams_high=grams * (1 + _SPREAD))
    pending = heard.tx.pending.get(heard.person.id, heard.incoming.sent_at)
    if pending is not None and pending.entry_id == target.id:
        heard.tx.pending.clear(heard.person.id)  # what was asked about that entry has its answer
    reply = correct(heard, target, Correction("amount", (spread,)))
    return replace(reply, replaces=heard.incoming.message_id)
