"""The buttons of the help and of the settings: each press changes the message that it stands under."""

from dataclasses import replace

from bot.answers.about_bot import example_of, say_privacy, say_settings
from bot.language.texts import speaking
from bot.model.entries import Question
from bot.model.messages import Outgoing
from bot.reply import fixed
from bot.reply.help import BEGIN, ERASE, EXPORT, LABELS, PRIVACY, SETTINGS, say_situation, situation_buttons
from bot.reply.settings_list import CHOICES, ask_setting
from bot.talk.heard import Heard
from bot.talk.slash_commands import run_command

_ASKED = Question("help")


def press_help(heard: Heard, data: str) -> list[Outgoing]:
    """Show one situation of the help."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    if data in (ERASE, EXPORT):
        reply = run_command(tx, person, f"/{data}", now, "")
        return [] if reply is None else [reply]
    if data in (SETTINGS, PRIVACY):
        say = say_settings if data == SETTINGS else say_privacy
        return [_in_place(heard, say(tx, person, _ASKED, now))]
    name = data if data in LABELS else BEGIN
    text = say_situation(name, example_of(tx, person))
    assert text is not None  # all that are left have one
    text = fixed.in_unit(text, person.unit)
    return [_in_place(heard, Outgoing(person.id, text, buttons=situation_buttons(but=name)))]


def press_setting(heard: Heard, data: str) -> list[Outgoing]:
    """Ask what a setting is to be, or set it and show them all as they are now."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    name, _, value = data.partition(":")
    asked = ask_setting(name)
    if asked is not None and not value:
        return [_in_place(heard, Outgoing(person.id, asked[0], buttons=asked[1]))]
    reply = None
    if name in CHOICES and value in CHOICES[name].values:
        reply = run_command(tx, person, f"/{name} {value}", now, "")
    changed = tx.people.get(person.id)
    assert changed is not None  # nothing here erases them
    with speaking(*changed.spoken):
        listed = say_settings(tx, changed, _ASKED, now)
    if reply is not None:  # a card that is no longer wanted loses its pin with it
        listed = replace(listed, text=f"{reply.text}\n\n{listed.text}", unpins=reply.unpins)
    return [_in_place(heard, listed)]


def _in_place(heard: Heard, reply: Outgoing) -> Outgoing:
    """Return a reply that takes the place of the message whose button was pressed."""
    return replace(reply, replaces=heard.incoming.message_id)
