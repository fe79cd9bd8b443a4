"""The few commands with a slash: settings and short cuts; everything else is plain words."""

import re
from collections.abc import Callable
from datetime import datetime

from bot.answers.about_bot import say_privacy
from bot.answers.answer import answer
from bot.language.texts import LANGUAGES, find_language, say, speaking
from bot.language.times import write_clock
from bot.model.entries import Question
from bot.model.messages import Button, Outgoing
from bot.model.settings import read_zone
from bot.model.units import find_unit
from bot.model.zones import find_zones
from bot.reminders.planning import loss_ahead
from bot.reminders.quiet_hours import say_long_quiet, word_quiet
from bot.reply import fixed
from bot.reply.cautions import SCORES_HIDDEN
from bot.store import Person, Transaction
from bot.store.invitations import MOST_OPEN
from bot.talk.day_card import set_card
from bot.talk.files import offer_take_out
from bot.talk.packaged_foods import look_up
from bot.talk.reminder_settings import SETTINGS, read_hours
from bot.understanding.corrections.teaching import LIST

COMMANDS: tuple[tuple[str, str], ...] = (
    ("help", "how to say things, by situation"),
    ("tour", "two minutes: one meal, one file, one curve"),
    ("week", "a look back on your week"),
    ("best", "best and worst meals of the last seven days"),
    ("last", "the curve of your last meal"),
    ("day", "what is noted today, with a button to change each entry"),
    ("average", "your average day"),
    ("summary", "mean, spread and times in ranges"),
    ("fasting", "your fasting level and where it goes"),
    ("report", "the report of your run, a page to keep"),
    ("rules", "your rules of eating, to list, keep and change"),
    ("status", "what is on record, and the next reminder"),
    ("settings", "all settings, with buttons to change each"),
    ("privacy", "what I hold about you, where, and how to get or erase it"),
    ("export", "everything I hold about you, as files"),
    ("undo", "take the last note back"),
    ("words", "the words you taught me"),
    ("product", "look up a packaged food by its name"),
    ("unit", "mmol/L or mg/dL"),
    ("pictures", "dark, for a dark phone, or light"),
    ("language", "English or Deutsch"),
    ("card", "on or off: the day's entries on a pinned card"),
    ("clock", "24 for 17:30, 12 for 5:30 pm"),
    ("scores", "show or hide scores; curves stay"),
    ("talk", "short, or full to hear everything"),
    ("zone", "your time zone, like Europe/Vienna"),
    ("quiet", "hours without reminders, like 23:00-06:30, or off"),
    ("token", "let your phone post readings by itself; or off"),
    ("remind", "on, less (only before readings are lost) or off"),
    ("lead", "how long before readings are lost I ask, like 90 min"),
    ("shift", "quiet hours by shift: early 20:30-04:00; then “late shift from Thursday”"),
    ("nudge", "on or off: ask when nothing is noted since noon"),
    ("reviews", "on or off: a look back on each week, the evening before the next"),
    ("evening", "on or off: a line each evening on what is missing of the day"),
    ("sensor", "how the sensor is doing; 10 days if yours lasts so long"),
    ("memory", "how long your sensor keeps readings, like 8 h"),
    ("invite", "let one more person talk to me"),
    ("erase", "delete everything I hold about you"),
)

ERASE, ERASE_WITHIN_MIN = "erase", 60
"""What the button that deletes everything stands for, and for how long it does."""

QUESTIONS = {
    "help": Question("help", sort="abilities"),
    "week": Question("day", sort="week"),
    "best": Question("best_worst", sort="ranking"),
    "last": Question("one_meal", sort="curve"),
    "day": Question("day", sort="listed"),
    "average": Question("day", sort="average day"),
    "summary": Question("day", sort="summary"),
    "fasting": Question("fasting", sort="fasting"),
    "report": Question("status", sort="report"),
    "export": Question("status", sort="all held"),
    "status": Question("status", sort="record"),
    "settings": Question("status", sort="settings"),
    "words": Question("other", subject=LIST),
}


def run_command(tx: Transaction, person: Person, text: str, now: datetime, address: str) -> Outgoing | None:
    """Carry out a slash command; None when `text` is none of ours (“undo” is a correction, not ours).

    address: where readings can be posted
    """
    name, _, rest = text[1:].partition(" ")
    name = name.partition("@")[0].lower()
    if name in QUESTIONS:
        return answer(tx, person, QUESTIONS[name], now)
    if name == "privacy":
        return say_privacy(tx, person, QUESTIONS["help"], now)
    if name == "unfile":
        return offer_take_out(tx, person, now)
    if name == "product":
        return look_up(person, rest)
    if name == "token":
        return _set_token(tx, person, rest.strip().lower(), now, address)
    if name == "invite":
        return _invite(tx, person, now)
    if name == "erase":
        button = Button(fixed.ERASE_BUTTON, f"{ERASE}:{int(now.timestamp()) // 60}")
        return Outgoing(person.id, fixed.ERASE, buttons=(button,))
    if name in SETTINGS:
        said = SETTINGS[name](tx, person, rest.strip(), now)
        return Outgoing(person.id, " ".join([said, *loss_ahead(tx, person.id, now)]))
    if name == "card":
        return set_card(tx, person, rest.strip().lower())
    if name in SETTERS:
        said = SETTERS[name](tx, person, rest.strip())
        return Outgoing(person.id, " ".join([said, *loss_ahead(tx, person.id, now)]))
    return None


def _invite(tx: Transaction, person: Person, now: datetime) -> Outgoing:
    """Show the code of an invitation, once, to whom this bot was first given."""
    if not tx.invitations.may_invite(person.id):
        return Outgoing(person.id, say(fixed.NO_INVITING))
    if tx.invitations.open_count(now) >= MOST_OPEN:
        return Outgoing(person.id, say(fixed.INVITATIONS_OUT))
    return Outgoing(person.id, fixed.INVITATION, once=tx.invitations.make(now))


def press_erase(tx: Transaction, person: Person, said: str, now: datetime) -> Outgoing:
    """Delete everything about a person, when they were asked within the last hour."""
    asked_min = int(said) if re.fullmatch(r"[0-9]{1,9}", said) else 0
    if not 0 <= now.timestamp() / 60 - asked_min <= ERASE_WITHIN_MIN:
        return Outgoing(person.id, fixed.ERASE_OLD)
    tx.people.erase(person.id)
    return Outgoing(person.id, fixed.ERASED)


def _set_unit(tx: Transaction, person: Person, value: str) -> str:
    chosen = find_unit(value)
    if chosen is None:
        return f"Your unit is {person.unit}. To change it write /unit mmol/L or /unit mg/dL."
    tx.people.update(person.id, unit=chosen, unit_chosen=True)
    tx.first_hour.settle(person.id, "unit")
    return f"From now on I'll write glucose in {chosen}."


def _set_language(tx: Transaction, person: Person, value: str) -> str:
    chosen = find_language(value)
    if chosen is None:
        names = " or ".join(f"/language {name}" for name in LANGUAGES.values())
        return say(
            "I speak {name}. To change that, write {commands}.",
            name=LANGUAGES[person.language],
            commands=names,
        )
    tx.people.update(person.id, language=chosen)
    with speaking(chosen):
        return say("From now on I speak English.")


def _set_clock(tx: Transaction, person: Person, value: str) -> str:
    if value == "24":
        tx.people.update(person.id, clock="24")
        return say("From now on I write times like 17:30.")
    if value == "12":
        tx.people.update(person.id, clock="12")
        return say("From now on I write times like 5:30 pm.")
    return say("To choose how I write times, write /clock 24 for 17:30, or /clock 12 for 5:30 pm.")


def set_scores(tx: Transaction, person: Person, value: str) -> str:
    """Show scores or hide them; curves are shown either way."""
    chosen = {"show": True, "on": True, "hide": False, "off": False}.get(value.lower())
    if chosen is None:
        return say("Scores are shown; /scores hide ends that.") if person.scores else say(SCORES_HIDDEN)
    tx.people.update(person.id, scores=chosen)
    if chosen:
        return say("From now on I show scores again.")
    return say("From now on I show curves without scores. “Show scores” brings them back.")


def _set_pictures(tx: Transaction, person: Person, value: str) -> str:
    value = value.lower()
    if value == "dark":
        tx.people.update(person.id, pictures="dark")
        return "From now on my pictures will be dark. /pictures light brings the paper back."
    if value == "light":
        tx.people.update(person.id, pictures="light")
        return "From now on my pictures will be light."
    return f"Your pictures are {person.pictures}. To change them write /pictures dark or /pictures light."


def _set_talk(tx: Transaction, person: Person, value: str) -> str:
    manner = {"short": "short", "less": "short", "full": "full", "more": "full", "all": "full"}.get(value)
    if manner == "short":
        tx.people.update(person.id, talk="short")
        return say("I'll say less, and nothing twice a day. “Tell me everything” brings the rest back.")
    if manner == "full":
        tx.people.update(person.id, talk="full")
        return say("I'll tell you everything. “Say less” ends that.")
    if person.talk == "short":
        return say("I talk in short. “Tell me everything” or /talk full changes that.")
    return say("I tell you everything. “Say less” or /talk short changes that.")


def _set_zone(tx: Transaction, person: Person, value: str) -> str:
    if not value:
        return f"Your clock is {person.zone.key}. To change it write /zone and a city, like /zone Vienna."
    found = find_zones(value)
    if len(found) > 1:
        return f"There is more than one {value[:40]}: write /zone {' or /zone '.join(found[:4])}."
    try:
        zone = read_zone(found[0] if found else value)
    except ValueError:
        return f"No time zone is called “{value[:40]}”: write a larger city of the same zone, like Vienna."
    tx.people.update(person.id, zone=zone.key)
    tx.first_hour.settle(person.id, "zone")
    return f"Your clock is now {zone.key}. What is noted keeps the instant it had."


def _set_quiet(tx: Transaction, person: Person, value: str) -> str:
    now = word_quiet(person)
    if value.lower() in ("off", "none", "never"):
        value = "0-0"
    if not value:
        return f"Your quiet hours: {now}. To change them write /quiet 23:00-06:30."
    if value.endswith("-") or value.startswith("-"):  # of "no reminders after 21:00" the other end stays
        if person.quiet_from == person.quiet_to:
            return say("Quiet from when to when? Say it like “quiet from 21:00 to 6:30”.")
        begins, ends = write_clock(person.quiet_from), write_clock(person.quiet_to)
        value = f"{value}{ends}" if value.endswith("-") else f"{begins}{value}"
    hours = read_hours(value)
    if hours is None:
        return f"I couldn't read that: they stay as they are ({now}). Write it like /quiet 23:00-06:30."
    start, end = hours
    tx.people.update(person.id, quiet_from=start, quiet_to=end)
    tx.first_hour.settle(person.id, "nights")
    if start == end:
        return "No quiet hours: reminders may come at any time. To have some again write /quiet 23:00-06:30."
    said = f"Quiet from {write_clock(start)} to {write_clock(end)}. I'll ask before or after."
    return " ".join([said, *say_long_quiet(start, end, person.memory_min)])


def _set_token(tx: Transaction, person: Person, value: str, now: datetime, address: str) -> Outgoing:
    if value in ("off", "none", "stop"):
        ended = tx.tokens.drop(person.id)
        return Outgoing(person.id, fixed.TOKEN_ENDED if ended else fixed.NO_TOKEN)
    if value:
        return Outgoing(person.id, fixed.TOKEN_HOW)
    token = tx.tokens.make(person.id, now)
    example = fixed.TOKEN.format(token=token, address=address)
    return Outgoing(person.id, fixed.TOKEN_MADE, once=example)


SETTERS: dict[str, Callable[[Transaction, Person, str], str]] = {
    "unit": _set_unit,
    "clock": _set_clock,
    "pictures": _set_pictures,
    "scores": set_scores,
    "talk": _set_talk,
    "language": _set_language,
    "zone": _set_zone,
    "quiet": _set_quiet,
}
