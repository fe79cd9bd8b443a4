"""Marks on the person's own message: where nothing needs saying, one is the whole answer."""

from bot.language.texts import later, say
from bot.model.messages import Outgoing, Reaction

LINES: dict[Reaction, str] = {
    "noted": later("✓ Noted."),
    "synced": later("✓ Synced."),
    "thanks": later("✓ Thank you."),
}
"""What a reaction says where there can be no mark: in a terminal, or on a message that is gone."""


def react(person: str, message_id: str | None, reaction: Reaction) -> Outgoing:
    """Return the mark on a message of the person; without one (after a press), its short line."""
    if message_id is None:
        return Outgoing(person, say(LINES[reaction]))
    return Outgoing(person, say(LINES[reaction]), reaction=reaction, answers_to=message_id, silent=True)
