"""The first hour: a hello, then a few questions, each asked once at most and none that is answered already.

They never stand in the way: what is written meanwhile is handled as ever, and the next question waits for a
moment that fits.
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from bot.language.texts import say
from bot.language.times import write_span
from bot.model.entries import Sensor
from bot.model.messages import Outgoing
from bot.model.naming import join
from bot.model.units import find_unit
from bot.model.zones import find_zones, zones_of_language
from bot.reply import first_hour as said
from bot.reply.noted import say_noted
from bot.store import Person, Topic, Transaction
from bot.talk.heard import Heard
from bot.talk.recording import record
from bot.talk.reminder_settings import HOURS, read_hours
from bot.talk.slash_commands import run_command
from bot.talk.words import hear
from bot.understanding.settings.clocks import clocks_in, night_of, write

TOPICS = ("zone", "unit", "nights", "sensor", "readings")
MOST_ASKED = 4
FIRST_DAY = timedelta(days=1)
LEFT_ALONE = timedelta(hours=1)
"""After a question that was passed over in silence the next one waits so long."""
MOST_ZONES, MOST_SAID = 4, 80
_PASS = re.compile(
    r"(?:skip|pass|later|not now|don'?t know|no idea|next|none of (?:these|your business))[.! ]*"
)
_POLITE = re.compile(r"\b(?:please|pls|thanks|thank you|ta)\b")
_NIGHT_WORDS = re.compile(
    r"(?:i|go|to|bed|sleep|asleep|usually|mostly|normally|about|around|from|at|till?|until|and|by|day|night|"
    r"nights|on|the|in|morning|evening|afternoon|work|my|quiet|pm|am|noon|midnight|o'?clock|half|past|quarter|"
    r"-|–|[\d:.]+(?:am|pm|h)?)"
)
_SHIFTS = re.compile(
    r"(?:yes,? )?(?:i (?:work|do|am on) )?(?:rotating |changing )?(?:shifts?|shift ?work|nights)"
)
_ONE_SHIFT = re.compile(rf"([a-z][\w-]{{1,19}})(?: shifts?)?:? (?:i sleep |from )?({HOURS.pattern})")
_SENSOR = {
    said.NOT_YET: r"not yet|no|nope|none|not so far|soon|tomorrow",
    said.JUST_NOW: r"(?:since )?(?:just )?now|yes,? just now",
    said.LONGER: r"yes|yep|longer|for a while|already|(?:since|for) (?:some days|days|a week|last week)",
}
_READINGS = {
    said.FILED: r"files?|export(?:ed)?|csv|download(?:ed)?|spreadsheet",
    said.TYPED: r"typed?|typing|by hand|write|writing|manually|myself",
    said.POSTED: r"phone|posted|post|automatic(?:ally)?|automation|by itself",
}


def say_hello(tx: Transaction, person: Person, now: datetime, language: str) -> list[Outgoing]:
    """Greet somebody, and ask a newcomer the first question."""
    newcomer = now - person.created_at < FIRST_DAY
    here = [topic for topic in TOPICS if topic != "zone" or language]
    tx.first_hour.begin(person.id, [*(here if newcomer else ()), said.TOUR], now)
    hello = Outgoing(person.id, say(said.HELLO), buttons=(said.tour_button(),))
    first = _ask_next(tx, person, now, language)
    return [hello, *([] if first is None else [first])]


def with_question(heard: Heard, replies: list[Outgoing]) -> list[Outgoing]:
    """Return the replies of a turn with the next question behind them, if the moment fits.

    It does not where something else is asked, or the last question was passed over only just.
    """
    tx, now = heard.tx, heard.incoming.sent_at
    topics = tx.first_hour.topics(heard.person.id)
    person = tx.people.get(heard.person.id)
    if not topics or person is None or heard.incoming.edited or heard.incoming.press is not None:
        return replies
    _settle_learnt(tx, person, topics)
    open_one = open_topic(tx.first_hour.topics(person.id))
    touring = any(t.name == said.TOUR and t.asked_at is not None and not t.settled for t in topics)
    asks = touring or any(reply.text.rstrip().endswith("?") for reply in replies)
    if asks or tx.pending.get(person.id, now) is not None:
        return replies
    if open_one is not None and open_one.asked_at is not None and now - open_one.asked_at < LEFT_ALONE:
        return replies
    asked = _ask_next(tx, person, now, heard.incoming.language)
    return replies if asked is None else [*replies, asked]


def _settle_learnt(tx: Transaction, person: Person, topics: Sequence[Topic]) -> None:
    """Pass over what was learnt from notes: that a sensor is on, and that values are typed."""
    for name, kind in (("sensor", "sensor"), ("readings", "reading")):
        if any(topic.name == name and not topic.settled for topic in topics) and tx.log.last(
            person.id, (kind,)
        ):
            tx.first_hour.settle(person.id, name)


def open_topic(topics: Sequence[Topic]) -> Topic | None:
    """Return what was asked last and is not answered."""
    asked = [topic for topic in topics if topic.asked_at is not None and topic.name != said.TOUR]
    # of two that were asked in one minute the later one
    last = sorted(asked, key=lambda topic: topic.asked_at or topic.begun_at)[-1:]
    return last[0] if last and not last[0].settled else None


def _ask_next(tx: Transaction, person: Person, now: datetime, language: str) -> Outgoing | None:
    topics = tx.first_hour.topics(person.id)
    asked = [topic for topic in topics if topic.asked_at is not None and topic.name != said.TOUR]
    left = [t for t in topics if t.asked_at is None and not t.settled and t.name != said.TOUR]
    if not left or len(asked) >= MOST_ASKED or now - left[0].begun_at >= FIRST_DAY:
        return None
    tx.first_hour.ask(person.id, left[0].name, now)
    text, buttons = said.ask(left[0].name, _likely_zones(person.zone, language, now), now)
    return Outgoing(person.id, text, buttons=buttons)


def _likely_zones(own: ZoneInfo, language: str, now: datetime) -> list[ZoneInfo]:
    """Return zones that the person may live by, each with a time of its own."""
    found: dict[object, ZoneInfo] = {}
    for zone in (own, *map(ZoneInfo, zones_of_language(language))):
        found.setdefault(now.astimezone(zone).utcoffset(), zone)
    return list(found.values())[:MOST_ZONES]


def press_hello(heard: Heard, data: str) -> list[Outgoing]:
    """Answer a button under one of the questions; the next one takes the place of the last."""
    topic, _, value = data.partition(":")
    return _go_on(heard, _answer(heard, topic, value), replaces=heard.incoming.message_id)


def answer_hello(heard: Heard) -> list[Outgoing] | None:
    """Answer words that are nothing but the answer to the open question; None when they are not."""
    tx, person, incoming = heard.tx, heard.person, heard.incoming
    words = _POLITE.sub(" ", incoming.text.lower().replace("’", "'"))
    words = re.sub(r"\s+", " ", words.strip()).rstrip(".!, ")
    topics = tx.first_hour.topics(person.id)
    topic = open_topic(topics)
    if topic is None or not words or len(words) > MOST_SAID or words.startswith("/") or incoming.edited:
        return None
    if incoming.sent_at - topic.begun_at >= FIRST_DAY or tx.pending.get(person.id, incoming.sent_at):
        return None
    if _PASS.fullmatch(words):
        return _go_on(heard, _answer(heard, topic.name, said.SKIP))
    since = re.fullmatch(r"(?:yes,? )?(?:since|from) (?:about )?(.+)", words)
    if topic.name == "sensor" and since is not None and not re.fullmatch(_SENSOR[said.LONGER], words):
        tx.first_hour.settle(person.id, "sensor")
        return hear(replace(heard, incoming=replace(incoming, text=f"new sensor on {since[1]}")))
    value = _value_in(words, topic.name)
    return None if value is None else _go_on(heard, _answer(heard, topic.name, value))


def _value_in(words: str, topic: str) -> str | None:
    """Return the answer that words give to a question, None when they say something else."""
    if topic == "unit":
        return find_unit(words.removeprefix("in "))
    if topic == "zone":
        place = re.sub(r"^(?:i'?m in|i am in|i live in|in|near) ", "", words)
        found = find_zones(place)
        return found[0] if len(found) == 1 else None
    if topic == "nights":
        return _nights_in(words)
    known = _SENSOR | {said.YESTERDAY: "(?:since )?yesterday"} if topic == "sensor" else _READINGS
    if topic == "sensor":
        return next((value for value, pattern in known.items() if re.fullmatch(pattern, words)), None)
    few = len(words.split()) <= 6 and not re.search(r"\d", words)
    return next((v for v, pattern in known.items() if few and re.search(rf"\b(?:{pattern})\b", words)), None)


def _nights_in(words: str) -> str | None:
    if _ONE_SHIFT.search(words) and len(_ONE_SHIFT.findall(words)) > 1:
        return words
    if _SHIFTS.fullmatch(words):
        return said.SHIFTS
    clocks = clocks_in(words)
    if len(clocks) != 2 or not all(
        _NIGHT_WORDS.fullmatch(w.strip(",;")) for w in re.split(r" |(?<=\d)-", words)
    ):
        return None
    span = night_of(*clocks)
    return None if span is None else f"{write(span[0])}-{write(span[1])}"


def _answer(heard: Heard, topic: str, value: str) -> str:
    """Do what the answer to a question asks for, and say so."""
    if (topic, value) == ("zone", said.OTHER):
        return say(said.NAME_A_CITY)
    if (topic, value) == ("nights", said.SHIFTS):
        return say(said.NAME_SHIFTS)
    heard.tx.first_hour.settle(heard.person.id, topic)
    if value == said.SKIP:
        return say(said.SKIPPED)
    if topic in ("unit", "zone"):
        return _command(heard, topic, value)
    if topic == "nights":
        return _sleeps(heard, value)
    if topic == "sensor":
        return _wears(heard, value)
    return say({said.FILED: said.HOW_FILES, said.TYPED: said.HOW_TYPED}.get(value, said.HOW_POSTED))


def _command(heard: Heard, name: str, value: str) -> str:
    reply = run_command(heard.tx, heard.person, f"/{name} {value}", heard.incoming.sent_at, "")
    assert reply is not None  # these are commands of ours
    return reply.text


def _sleeps(heard: Heard, value: str) -> str:
    if value == said.SHIFTS:
        return say(said.NAME_SHIFTS)
    if read_hours(value) is not None:
        return _command(heard, "quiet", value)
    known = {found[1]: read_hours(found[2]) for found in _ONE_SHIFT.finditer(value)}
    for name, hours in known.items():
        if hours is not None:
            heard.tx.shifts.set(heard.person.id, name, *hours)
    known_shifts = heard.tx.shifts.all(heard.person.id)
    shifts = join([f"{s.name} {write_span(s.quiet_from, s.quiet_to)}" for s in known_shifts])
    return say(said.SHIFTS_KNOWN, shifts=shifts)


def _wears(heard: Heard, value: str) -> str:
    now = heard.incoming.sent_at
    if value == said.NOT_YET:
        return say(said.NO_SENSOR_YET)
    if value not in (said.JUST_NOW, said.YESTERDAY):
        return say(said.SENSOR_LONGER)
    at = now if value == said.JUST_NOW else now - timedelta(days=1)
    logged = record(heard, [Sensor("started", at, "sensor on")])
    more = [] if value == said.JUST_NOW else [say(said.SENSOR_YESTERDAY)]
    return " ".join(reply.text for reply in say_noted(logged, heard.person, now, more))


def _go_on(heard: Heard, text: str, replaces: str | None = None) -> list[Outgoing]:
    """Return an answer with the next question behind it, in one message."""
    tx, now = heard.tx, heard.incoming.sent_at
    person = tx.people.get(heard.person.id)
    assert person is not None  # nothing here erases them
    waits = text in (say(said.NAME_A_CITY), say(said.NAME_SHIFTS))
    asked = None if waits else _ask_next(tx, person, now, heard.incoming.language)
    if asked is not None:
        return [replace(asked, text=f"{text}\n\n{asked.text}", replaces=replaces)]
    if waits:
        topic = open_topic(tx.first_hour.topics(person.id))
        skip = () if topic is None else (said.skip_button(topic.name),)
        return [Outgoing(person.id, text, buttons=skip, replaces=replaces)]
    left = {topic.name for topic in tx.first_hour.topics(person.id) if not topic.settled}
    how = [say(said.HOW_ANY)] if "readings" in left else []
    tour = (said.tour_button(),) if said.TOUR in left else ()
    return [
        Outgoing(person.id, "\n".join([text, *how, say(said.ALL_ASKED)]), buttons=tour, replaces=replaces)
    ]
