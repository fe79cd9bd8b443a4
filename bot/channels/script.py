"""Conversation scripts: reading them, playing them under a simulated clock, comparing the replies.

The form is told in README.md under "Conversation scripts".
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from bot.app import App
from bot.channels.saying import FILE, PRESS, find_button, spoken
from bot.model.clock import SettableClock
from bot.model.errors import BadScript
from bot.model.messages import Attachment, Incoming, Outgoing
from bot.model.settings import read_zone
from bot.model.units import GlucoseUnit, find_unit

LINE = re.compile(r"(?P<stamp>\d{4}-\d\d-\d\d \d\d:\d\d) (?P<who>me|bot): ?(?P<text>.*)")
HEADERS = ("zone", "start", "unit", "name")
MOST_SAID_BEFORE = 500


@dataclass(frozen=True, slots=True)
class Line:
    """One entry of a script: who said what, when, and on which line of the file it stands."""

    number: int
    at: datetime
    who: str
    text: str


@dataclass(frozen=True, slots=True)
class Script:
    """A conversation: its folder, the person's settings, and its lines in order of time."""

    folder: Path
    name: str
    zone: ZoneInfo
    unit: GlucoseUnit
    start: datetime
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Sent:
    """A message the bot sent in a play, and when."""

    at: datetime
    message: Outgoing


@dataclass(slots=True)
class Play:
    """What happened in a play: what was sent, and the script's lines with no such message."""

    sent: list[Sent] = field(default_factory=list)
    missing: list[tuple[Line, list[Sent]]] = field(default_factory=list)


def read_script(path: Path) -> Script:
    """Read a script; BadScript names the first line that cannot be read and what it should look like."""
    try:
        rows = path.read_text(encoding="utf-8-sig").splitlines()  # some editors begin it with a mark
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        raise BadScript(f"{path} cannot be read: {reason}.") from None
    header, body_from = _read_header(rows, path)
    zone = _header_zone(header, path)
    lines = _read_lines(rows, body_from, zone, path)
    if not lines:
        raise BadScript(f"{path} holds no lines such as “2026-03-02 07:10 me: toast”.")
    unit = find_unit(header.get("unit", "mmol/L"))
    if unit is None:
        raise BadScript(f"{path}: the unit is mmol/L or mg/dL, not “{header['unit']}”.")
    start = lines[0].at
    if "start" in header:
        try:
            start = datetime.fromisoformat(header["start"]).replace(tzinfo=zone)
        except ValueError:
            raise BadScript(f"{path}: write the start like 2026-03-02 07:00.") from None
        if start > lines[0].at:
            raise BadScript(f"{path}: the start is after the first line.")
    return Script(path.parent, header.get("name", path.stem), zone, unit, start, tuple(lines))


def _read_header(rows: list[str], path: Path) -> tuple[dict[str, str], int]:
    header: dict[str, str] = {}
    for number, row in enumerate(rows, start=1):
        if row.startswith("#"):
            continue
        if not row.strip():
            return header, number
        key, colon, value = row.partition(":")
        if not colon or key.strip() not in HEADERS:
            raise BadScript(f"{path}, line {number}: a header is one of {', '.join(HEADERS)} and “: value”.")
        header[key.strip()] = value.strip()
    return header, len(rows)


def _header_zone(header: dict[str, str], path: Path) -> ZoneInfo:
    try:
        return read_zone(header.get("zone", "UTC"))
    except ValueError as error:
        raise BadScript(f"{path}: {error}.") from None


def _read_lines(rows: list[str], body_from: int, zone: ZoneInfo, path: Path) -> list[Line]:
    lines: list[Line] = []
    for number, row in enumerate(rows[body_from:], start=body_from + 1):
        if row.startswith("#") or not row.strip():
            continue
        if row.startswith("    ") and lines:
            last = lines[-1]
            lines[-1] = Line(last.number, last.at, last.who, f"{last.text}\n{row[4:]}")
            continue
        found = LINE.fullmatch(row)
        if found is None:
            raise BadScript(f"{path}, line {number}: write it like “2026-03-02 07:10 me: toast”.")
        try:
            at = datetime.fromisoformat(found["stamp"]).replace(tzinfo=zone)
            if not 1970 <= at.year < 9999:  # beyond, reckoning with it would leave the calendar
                raise ValueError(found["stamp"])
        except ValueError:
            raise BadScript(f"{path}, line {number}: {found['stamp']} is no date and time.") from None
        if lines and at < lines[-1].at:
            raise BadScript(f"{path}, line {number}: lines stand in order of time.")
        lines.append(Line(number, at, found["who"], found["text"]))
    return lines


def matches(pattern: str, message: Outgoing) -> bool:
    """Tell whether a message fits a pattern: * is any text, ? one character, all else itself."""
    translated = "".join({"*": ".*", "?": "."}.get(char, re.escape(char)) for char in pattern)
    whole = re.compile(translated, re.DOTALL)
    return any(whole.fullmatch(text) for text in (message.text, spoken(message)))


def play(
    script: Script, app: App, clock: SettableClock, person: str, hear: Callable[[Line | Sent], None]
) -> Play:
    """Play a script: move the clock, let what is due happen at its own time, say each line to the bot.

    hear: is given every `me` line and every message sent, in order, as they happen
    """
    result = Play()
    checked = 0

    def send(messages: list[Outgoing]) -> None:
        for message in messages:
            sent = Sent(clock.now(), message)
            result.sent.append(sent)
            hear(sent)

    for line in script.lines:
        for due_at in _due_before(app, clock, line.at):
            clock.move_to(due_at)
            send(_delivered(app, app.tick()))
        clock.move_to(max(line.at.astimezone(UTC), clock.now()))
        if line.who == "me":
            hear(line)
            send(
                _delivered(
                    app, app.receive(_incoming(script, line, person, clock, _said(app, person, result)))
                )
            )
            continue
        waiting = result.sent[checked:]
        place = next((i for i, sent in enumerate(waiting) if matches(line.text, sent.message)), None)
        if place is None:
            result.missing.append((line, waiting))
        else:
            checked += place + 1
    return result


def _due_before(app: App, clock: SettableClock, until: datetime) -> Iterator[datetime]:
    while (due_at := app.next_due_at()) is not None and due_at <= until:
        yield max(due_at, clock.now())


def _delivered(app: App, messages: list[Outgoing]) -> list[Outgoing]:
    for message in messages:
        assert message.id is not None
        app.sent({message.id: f"bot-{message.id}"})
    return messages


def _said(app: App, person: str, played: Play) -> list[Outgoing]:
    """Return what was sent in this play, after what is stored from before it (a script played again)."""
    if played.sent:
        return [sent.message for sent in played.sent]
    with app.store.read() as tx:
        return tx.outbox.recent(person, MOST_SAID_BEFORE)[::-1]


def _incoming(
    script: Script, line: Line, person: str, clock: SettableClock, said: list[Outgoing]
) -> Incoming:
    update_id = f"{person}:{script.name}:{line.number}"  # from the line, so that a replay is repeatable
    at = clock.now()
    pressed = PRESS.fullmatch(line.text)
    if pressed is not None:
        found = find_button(said, pressed["label"])
        if found is None:
            raise BadScript(f"line {line.number}: no message so far has a button “{pressed['label']}”.")
        return Incoming(person, update_id, at, message_id=f"bot-{found[0].id}", press=found[1])
    filed = FILE.fullmatch(line.text)
    if filed is not None:
        path = script.folder / filed["path"]
        try:
            attachment = Attachment(path.name, path.read_bytes())
        except OSError as error:
            raise BadScript(f"line {line.number}: {path} cannot be read: {error.strerror}.") from None
        return Incoming(person, update_id, at, message_id=f"me-{line.number}", file=attachment)
    return Incoming(person, update_id, at, message_id=f"me-{line.number}", text=line.text)
