"""Packaged and near foods offered for a food that is not known, in the answer to its note.

The one chosen fills that item in and is a word of the person's own from then on; after "None of these" that
name is not offered anything again.
"""

from collections.abc import Sequence
from dataclasses import replace

from bot.foodtable.words import make_key
from bot.model.entries import Correction, Item, Meal
from bot.model.messages import Button, Outgoing
from bot.reply import numbers, words
from bot.store import Asked, Logged
from bot.talk.heard import Heard
from bot.talk.own_words import MOST_WORDS, is_full, keep
from bot.understanding.foods.offers import Offer, offers_of
from bot.understanding.foods.own_table import MARK, scale

OFFER, REFUSED = "offer ", "no offer "
MOST_OFFERED = 4
NONE_FITS = "None of these"
_SPREAD = 0.1
"""A label is near the truth: how far its portion may be off, as a share; common practice, no source."""


def with_offers(heard: Heard, logged: Sequence[Logged], replies: list[Outgoing]) -> list[Outgoing]:
    """Add to the answer of a note what its first unknown food may be; nothing where nothing fits."""
    found = next(((one, item) for one in logged for item in _unknown(heard, one)), None)
    if found is None or not replies:
        return replies
    entry, item = found
    offers = offers_of(item, heard.table())[:MOST_OFFERED]
    if not offers:
        return replies
    choices = [(offer.food, _fill(item, offer)) for offer in offers]
    choices.append((NONE_FITS, Correction("fill", (item,), name=item.name)))
    about = f"{OFFER}{heard.incoming.update_id}"
    asked_id = heard.tx.asked.put(heard.person.id, about, entry.id, choices, heard.incoming.sent_at)
    labels = [*map(str, range(1, len(offers) + 1)), NONE_FITS]
    buttons = tuple(Button(label, f"answer:{asked_id},{k}") for k, label in enumerate(labels))
    lines = [f"Is “{item.name}” one of these?"]
    lines += [f"{k}. {_describe(offer)}" for k, offer in enumerate(offers, start=1)]
    first = replies[0]
    told = replace(first, text="\n".join([first.text, *lines]), buttons=(*buttons, *first.buttons))
    return [told, *replies[1:]]


def _unknown(heard: Heard, logged: Logged) -> list[Item]:
    if not isinstance(logged.entry, Meal):
        return []
    asked, person = heard.tx.asked, heard.person.id
    unknown = [item for item in logged.entry.items if item.food is None]
    return [item for item in unknown if asked.about(person, REFUSED + make_key(item.name)) is None]


def _describe(offer: Offer) -> str:
    carbs = offer.nutrients.carbs_g
    held = "" if carbs is None else f" with {carbs:.0f} g carbohydrate"
    return f"{offer.food}: {numbers.grams(offer.grams)}{held}"


def _fill(item: Item, offer: Offer) -> Correction:
    """Return the change that an offer makes: the item as it becomes, and one of it as a word."""
    return Correction(
        "fill",
        (_item(item, offer, offer.grams), replace(_item(item, offer, offer.one_g), said=item.name)),
        name=item.name,
    )


def _item(item: Item, offer: Offer, grams: float) -> Item:
    return replace(
        item,
        food=item.name + MARK,
        grams=round(grams, 2),
        grams_low=round(grams * (1 - _SPREAD), 2),
        grams_high=round(grams * (1 + _SPREAD), 2),
        sure=1.0,
        nutrients=offer.nutrients.scaled(grams / offer.grams).rounded(),
        assumed="",
    )


def choose_offer(heard: Heard, asked: Asked, target: Logged, choice: int) -> Outgoing:
    """Fill in what was chosen and keep it as a word, or offer that name nothing again."""
    label, correction = asked.choices[choice]
    name, incoming = correction.name, heard.incoming
    items = target.entry.items if isinstance(target.entry, Meal) else ()
    named = [i for i, item in enumerate(items) if item.name == name]
    at = next((i for i in named if _is_open(items[i], asked, name)), None)
    if not isinstance(target.entry, Meal) or at is None:
        why = f"“{name}” has its figures already." if named else f"There is no {name} in that note any more."
        return Outgoing(heard.person.id, why, entry_id=target.id)
    heard.tx.asked.answer(asked.id, correction, incoming.sent_at)
    filled = replace(_in_amount(correction, items[at], asked), said=items[at].said)
    after = replace(target.entry, items=(*items[:at], filled, *items[at + 1 :]))
    if after != target.entry:
        what = f"offer {label}"
        heard.tx.log.amend(target.id, after, update_id=incoming.update_id, at=incoming.sent_at, what=what)
    said = (
        _refuse(heard, asked, choice)
        if filled.food is None
        else _remember(heard, after, correction, f"{label}, {numbers.grams(filled.grams)}")
    )
    return Outgoing(heard.person.id, said, entry_id=target.id)


def _is_open(item: Item, asked: Asked, name: str) -> bool:
    """Tell whether an item is still the unknown food, or what was chosen for it here before."""
    return item.food is None or (item.food == name + MARK and asked.answer is not None)


def _in_amount(correction: Correction, item: Item, asked: Asked) -> Item:
    """Return what was chosen in the amount that was offered, or in another one that was said since."""
    chosen = correction.items[0]
    offered = {round(change.items[0].grams) for _, change in asked.choices}
    if item.grams <= 0 or round(item.grams) in offered:
        return chosen
    if chosen.grams <= 0:
        return replace(chosen, grams=item.grams, grams_low=item.grams_low, grams_high=item.grams_high)
    return replace(scale(chosen, item.grams / chosen.grams), stated=item.stated)


def _refuse(heard: Heard, asked: Asked, choice: int) -> str:
    name = asked.choices[choice][1].name
    about, person = REFUSED + make_key(name), heard.person.id
    heard.tx.asked.put(person, about, asked.entry_id, [asked.choices[choice]], heard.incoming.sent_at)
    heard.tx.words.forget(person, name)
    return f"Then “{name}” stays without nutrients. Teach me {words.teach_like(name)}."


def _remember(heard: Heard, after: Meal, correction: Correction, label: str) -> str:
    name, one = correction.name, correction.items[1]
    lines = [f"Filled in “{name}”: {label}."]
    lines.append(f"Your {after.slot} has about {words.held_in(after.nutrients)}.")
    if is_full(heard, name):
        lines.append(f"You have {MOST_WORDS} words, which is all I keep, so I can't remember this one.")
    else:
        keep(heard, name, replace(after, items=(one,), extras=()), is_food=True)
        lines.append(f"From now on “{name}” means that to me; “forget my {name}” ends it.")
    return "\n".join(lines)
