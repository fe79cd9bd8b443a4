"""What short talk leaves out: what needs no saying, and what was said today."""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from bot.language.texts import say
from bot.model.entries import Meal
from bot.model.messages import Outgoing, show_pictures
from bot.reminders.quiet_hours import day_began
from bot.reply import cautions, fixed, words
from bot.reply.noted import say_briefly, say_noted
from bot.reply.reactions import react
from bot.store import Logged, Person, Transaction
from bot.talk.heard import Heard

EXPLAINED = 3
"""So many meals are said back at length, until it is known what is made of them."""
LOOK_BACK_MEALS = 60
FEW_WORDS = 5
"""A sentence of fewer words may come twice a day."""
_PLACES = re.compile(r"\\{\w+\\}")
"""Named places of a text that was escaped for a pattern."""
_SENTENCES = re.compile(r"(?<=[.!?])\s+(?=[\w“(•])")


def say_stored(heard: Heard, logged: Sequence[Logged], more: Sequence[str]) -> list[Outgoing]:
    """Answer with what was noted, as much of it as the person wants to hear."""
    person, now = heard.person, heard.incoming.sent_at
    new = {one.id for one in logged}
    meals = any(isinstance(one.entry, Meal) for one in logged)
    last = heard.tx.log.last(person.id, ("meal",), n=LOOK_BACK_MEALS) if meals else []
    before = [one for one in last if one.id not in new]
    is_new = meals and len(before) < EXPLAINED
    if person.talk == "full" or is_new:
        return say_noted(logged, person, now, more)
    is_clear = not more and all(_needs_no_words(one, heard.incoming.text, before) for one in logged)
    return say_briefly(logged, person, now, more, heard.incoming.message_id, is_clear=is_clear)


def _needs_no_words(logged: Logged, text: str, before: Sequence[Logged]) -> bool:
    """Tell whether a message says all that was stored of it, or the same plate was noted before."""
    meal = logged.entry
    if not isinstance(meal, Meal):
        return words.is_exact(meal)
    if not words.names_all(text, meal) or words.is_exact(meal):
        return words.names_all(text, meal)
    plate = None if meal.timed == "slot" else _plate(logged)
    return plate is not None and any(_plate(one) == plate for one in before)


def _plate(logged: Logged) -> object:
    meal = logged.entry
    if not isinstance(meal, Meal) or not all(item.food for item in meal.items):
        return None
    return meal.slot, sorted((item.food or "", round(item.grams)) for item in meal.items), meal.extras


def with_ask(replies: Sequence[Outgoing], asked: Sequence[Outgoing], person: Person) -> list[Outgoing]:
    """Return the replies with a question about what was noted; in short talk as one message."""
    if person.talk == "full" or not replies or not asked or replies[-1].picture or replies[-1].replaces:
        return [*replies, *asked]
    return [*replies[:-1], join_two(replies[-1], asked[0]), *asked[1:]]


def answer_file(
    heard: Heard, about: Outgoing, curves: Sequence[Outgoing], rises: Sequence[Outgoing]
) -> list[Outgoing]:
    """Answer a file in one message: its curves, what there is to say of it, and a question about a rise.

    With nothing of these the answer is a mark. What a curve decides of a test follows by itself.
    """
    parts = [*curves[:1], *([about] if about.text else []), *rises]
    if not parts:
        return [react(heard.person.id, heard.incoming.message_id, "synced")]
    first = parts[0]
    for part in parts[1:]:
        first = join_two(first, part)
    return [replace(first, replaces=about.replaces), *curves[1:]]


def join_two(first: Outgoing, second: Outgoing) -> Outgoing:
    """Return two messages as one; the buttons of the second, which may be a question, come first."""
    if first.reaction is not None:
        return second
    entry_id = second.entry_id if first.entry_id is None else first.entry_id
    joined = replace(
        first,
        text=f"{first.text}\n{second.text}",
        buttons=(*second.buttons, *first.buttons),
        entry_id=entry_id,
    )
    return show_pictures(joined, *first.drawn, *second.drawn) if second.drawn else joined


def unsaid(tx: Transaction, replies: Sequence[Outgoing], now: datetime) -> list[Outgoing]:
    """Return messages without the sentences that the person was told today.

    What a message begins with stays, as do questions, cautions, words that were left out, and whatever was
    asked for.
    """
    person = tx.people.get(replies[0].person) if replies else None
    if person is None or person.talk == "full":
        return list(replies)
    if all(reply.whole or len(sentences_of(reply.text)) == 1 for reply in replies):
        return list(replies)  # nothing can be left out
    said = {
        sentence
        for message in tx.outbox.since(person.id, day_began(now, person))
        if not message.silent
        for sentence in sentences_of(message.text)
    }
    return [_without(reply, said) for reply in replies]


def _without(reply: Outgoing, said: set[str]) -> Outgoing:
    """Return a message without sentences said before; `said` grows by what it says."""
    kept_lines = []
    for place, line in enumerate(reply.text.split("\n")):
        sentences = _SENTENCES.split(line)
        kept = [
            sentence
            for n, sentence in enumerate(sentences)
            if reply.whole or not (place or n) or sentence not in said or _stays(sentence)
        ]
        if kept:
            kept_lines.append(" ".join(kept))
        said.update(sentences)
    return replace(reply, text="\n".join(kept_lines))


def _stays(sentence: str) -> bool:
    if len(sentence.split()) < FEW_WORDS or sentence.endswith("?"):
        return True
    if sentence.startswith(say(fixed.LEFT_OUT).partition("{")[0]):
        return True
    return any(_matches(sentence, kept) for text in cautions.ALL for kept in sentences_of(say(text)))


def _matches(sentence: str, text: str) -> bool:
    """Tell whether a sentence is a text with its named places filled."""
    return re.fullmatch(_PLACES.sub(".+", re.escape(text)), sentence) is not None


def sentences_of(text: str) -> list[str]:
    """Return the sentences of a text."""
    return [sentence for line in text.split("\n") for sentence in _SENTENCES.split(line)]
