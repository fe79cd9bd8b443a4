"""A message as plain text, for the terminal and for scripts: words, then pictures, files and buttons."""

import re

from bot.model.messages import Outgoing

FILE = re.compile(r"\(file (?P<path>.+)\)")
PRESS = re.compile(r"\(press (?P<label>.+)\)")


def spoken(message: Outgoing) -> str:
    """Return a message as text: its words and a line each for picture, file and buttons."""
    lines = [message.shown]
    for picture in message.drawn:
        lines.append(f"({'file' if picture.is_file else 'picture'} {picture.file})")
    if message.document is not None:
        lines.append(f"(file {message.document.name})")
    if message.buttons:
        lines.append(" ".join(f"[{button.label}]" for button in message.buttons))
    return "\n".join(lines)


def find_button(messages: list[Outgoing], label: str) -> tuple[Outgoing, str] | None:
    """Find the newest message that has a button with this label; return it and the button's data."""
    wanted = label.strip().lower()
    for message in reversed(messages):
        for button in message.buttons:
            if button.label.lower() == wanted:
                return message, button.data
    return None
