"""Where words were not understood: the three things I can do that come nearest, as buttons that do them."""

from collections.abc import Sequence
from dataclasses import replace

from bot.answers.about_bot import example_of
from bot.language.texts import say
from bot.model.entries import Nothing, Question, Understood
from bot.model.messages import Button, Outgoing
from bot.reply.can_do import OFFER, PRESS, offer
from bot.talk.heard import Heard
from bot.understanding import Context
from bot.understanding.questions.nearest import nearest_sorts
from bot.understanding.states.readings import suggested

LEAVE = "leave"
"""The button that notes nothing of what was asked about."""


def with_nearest(
    heard: Heard, understood: Understood, context: Context, replies: Sequence[Outgoing]
) -> list[Outgoing]:
    """Return the replies, with three buttons under the last where nothing was made of the words."""
    if not replies or replies[-1].buttons or not _is_lost(understood):
        return list(replies)
    example = example_of(heard.tx, heard.person)
    buttons = offer(nearest_sorts(heard.incoming.text, context), example)
    text = f"{replies[-1].text}\n{say(OFFER)}"
    return [*replies[:-1], replace(replies[-1], text=text, buttons=buttons)]


def with_suggested(replies: Sequence[Outgoing], asks: Sequence[str]) -> list[Outgoing]:
    """Return the replies, with buttons under the last to note or drop a value that was asked about."""
    words = next(filter(None, map(suggested, asks)), "")
    if not words or not replies or replies[-1].buttons:
        return list(replies)
    buttons = (Button(say("Yes, {words}", words=words), f"{PRESS}:{words}"), Button(say("No"), LEAVE))
    return [*replies[:-1], replace(replies[-1], buttons=buttons)]


def _is_lost(understood: Understood) -> bool:
    """Tell whether words are neither a note nor anything that can be answered."""
    if understood.told or understood.choice is not None or not understood.entries:
        return False
    return all(
        isinstance(entry, Nothing) or (isinstance(entry, Question) and entry.sort == "unknown")
        for entry in understood.entries
    )
