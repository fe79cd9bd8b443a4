"""The person's own words in the talk: teaching one, naming a meal, listing and forgetting them."""

from dataclasses import replace

from bot.foodtable.words import make_key
from bot.model.amending import CannotAmend, amend
from bot.model.entries import Correction, Item, Meal
from bot.model.messages import Outgoing
from bot.reply import fixed, words
from bot.reply.own_words import describe, list_words
from bot.store import Logged, Person, Word
from bot.talk.heard import Heard
from bot.understanding.foods.labels import WORKED_OUT
from bot.understanding.foods.own_table import MARK, scale

MOST_WORDS = 100
_PLAIN = Meal(None, "snack", ())


def teach(heard: Heard, correction: Correction, last: Logged | None) -> Outgoing:
    """Keep a food or a mixture under its name; a meal just noted that lacked the food gets it."""
    item = correction.items[0]
    is_food = len(correction.items) == 1 and item.food == correction.name + MARK
    if is_full(heard, correction.name):
        return _full(heard.person)
    meal = replace(_PLAIN, items=correction.items)
    word = keep(heard, correction.name, meal, is_food=is_food)
    lines = [f"From now on {describe(word)}."]
    if item.assumed == WORKED_OUT:
        lines.append(f"({WORKED_OUT}.)")
    if is_food and last is not None and last.removed_at is None:
        lines += _complete(heard, last, item)
    lines.append(_hint(word))
    return Outgoing(heard.person.id, "\n".join(lines), entry_id=None if last is None else last.id)


def name_meal(heard: Heard, target: Logged | None, correction: Correction) -> Outgoing:
    """Give a noted meal a name of the person's own."""
    if target is None or target.removed_at is not None:
        return Outgoing(heard.person.id, f"There is no meal noted yet to give a name. {fixed.HOW_TO_SAY}")
    try:
        after = amend(target.entry, correction)
    except CannotAmend as error:
        return Outgoing(heard.person.id, str(error))
    assert isinstance(after, Meal)
    if is_full(heard, correction.name):
        return _full(heard.person)
    if after != target.entry:
        heard.tx.log.amend(
            target.id, after, update_id=heard.incoming.update_id, at=heard.incoming.sent_at, what="named"
        )
    return Outgoing(heard.person.id, say_named(heard, after), entry_id=target.id)


def say_named(heard: Heard, meal: Meal) -> str:
    """Keep a meal under the name it was given, and say so."""
    word = keep(heard, meal.called, meal, is_food=False)
    return f"From now on {describe(word)}. {_hint(word)}"


def keep(heard: Heard, name: str, meal: Meal, *, is_food: bool) -> Word:
    """Store a word, in place of one that is the same but for its spelling ("protein bars")."""
    tx, person = heard.tx, heard.person
    for word in tx.words.all(person.id):
        if make_key(word.name) == make_key(name):
            tx.words.forget(person.id, word.name)
    plate = replace(meal, at=None, timed="now", said="", called="")
    return tx.words.teach(person.id, name, "food" if is_food else "meal", plate, heard.incoming.sent_at)


def forget(heard: Heard, correction: Correction) -> Outgoing:
    """Drop a word; the meals that were noted with it stay as they are."""
    key = make_key(correction.name)
    known = heard.tx.words.all(heard.person.id)
    found = next((word for word in known if make_key(word.name) == key), None)
    if found is None:
        text = f"“{correction.name}” is none of your words. {list_words(known)}"
        return Outgoing(heard.person.id, text)
    heard.tx.words.forget(heard.person.id, found.name)
    return Outgoing(heard.person.id, f"Forgotten: “{found.name}”. The meals noted with it stay as they are.")


def _hint(word: Word) -> str:
    return f"Just say “{word.name}” when you have it; “forget my {word.name}” drops it."


def _complete(heard: Heard, last: Logged, taught: Item) -> list[str]:
    """Give the food to the last meal where it was kept by name only."""
    meal = last.entry
    if not isinstance(meal, Meal):
        return []
    key = make_key(taught.name)
    if not any(item.food is None and make_key(item.name) == key for item in meal.items):
        return []
    items = tuple(
        _filled(item, taught) if item.food is None and make_key(item.name) == key else item
        for item in meal.items
    )
    after = replace(meal, items=items)
    heard.tx.log.amend(
        last.id, after, update_id=heard.incoming.update_id, at=heard.incoming.sent_at, what="taught"
    )
    held = words.held_in(after.nutrients)
    return [f"Your {meal.slot} has it too: about {held}." if held else f"Your {meal.slot} has it too."]


def _filled(item: Item, taught: Item) -> Item:
    grams = item.grams if item.grams > 0 else taught.grams
    return replace(scale(taught, grams / taught.grams), said=item.said, stated=item.stated)


def is_full(heard: Heard, name: str) -> bool:
    """Tell whether there is no room for one more word."""
    known = heard.tx.words.all(heard.person.id)
    return len(known) >= MOST_WORDS and all(make_key(word.name) != make_key(name) for word in known)


def _full(person: Person) -> Outgoing:
    text = (
        f"You have {MOST_WORDS} words, which is all I keep: drop one first with “forget my …” (see /words)."
    )
    return Outgoing(person.id, text)
