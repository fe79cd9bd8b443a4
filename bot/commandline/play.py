"""Scripts played aloud: the talk on the terminal, the pictures in a folder, the differences at the end."""

import json
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

import bot
from bot.app import App
from bot.channels.saying import spoken
from bot.channels.script import Line, Play, Script, Sent, play, read_script
from bot.commandline.report import report as write_report
from bot.model.clock import SettableClock
from bot.model.errors import BadScript
from bot.model.files import write_private_in
from bot.model.messages import Picture

REPORTED = "6_days_and_comparisons"

Hear = Callable[[Line | Sent], None]
"""What is given every message of a play, as it is said."""


def demo_scripts() -> list[Path]:
    """Return the demo conversations that come with the bot, in order."""
    folder = Path(bot.__file__).parent.parent / "demo_conversations"
    scripts = sorted(folder.glob("*.chat"))
    if not scripts:
        raise BadScript(f"There are no conversations in {folder}.")
    return scripts


def report_script(scripts: list[Path]) -> Path:
    """Return the demo conversation whose report is shown: the one of most days with meals and readings."""
    return next(path for path in scripts if path.stem == REPORTED)


def play_aloud(
    path: Path,
    out: Path | None,
    *,
    as_json: bool = False,
    check: bool = True,
    db: str | None = None,
    person: str = "local",
    report: Path | None = None,
) -> int:
    """Play a script and print the talk; return how many of its `bot` lines found no message.

    out: folder for the pictures, None = draw none; db: None = a fresh one in memory
    report: where to write the report of what was played, None = nowhere
    """
    script = read_script(path)
    if not as_json:
        print(f"\n=== {script.name} ===\n")
    hear = _print_json if as_json else talker(script)
    result = play_through(script, hear, out, db=db, person=person, report=report)
    if check and not as_json:
        for line, waiting in result.missing:
            print(difference(path, script, line, waiting))
    return len(result.missing)


def play_through(
    script: Script,
    hear: Hear,
    out: Path | None,
    *,
    db: str | None = None,
    person: str = "local",
    report: Path | None = None,
) -> Play:
    """Play a script, draw its pictures and write its report; see `play_aloud` for what is given."""
    clock = SettableClock(script.start)
    app = App(db or "sqlite://", zone=script.zone.key, unit=script.unit, clock=clock)
    try:
        result = play(script, app, clock, person, hear)
        if out is not None:
            save_pictures(app, result, out)
        if report is not None:
            report.parent.mkdir(parents=True, exist_ok=True)
            write_report(app, person, None, None, report)
    finally:
        app.close()
    return result


def talker(script: Script, only: date | None = None) -> Hear:
    """Return what prints each message as it is said, under its day; `only` leaves out all other days."""
    shown = None

    def hear(said: Line | Sent) -> None:
        nonlocal shown
        local = said.at.astimezone(script.zone)
        if only not in (None, local.date()):
            return
        if local.date() != shown:
            shown = local.date()
            print(f"--- {local:%A %Y-%m-%d}")
        who, text = ("me", said.text) if isinstance(said, Line) else ("bot", spoken(said.message))
        head = f"{local:%H:%M} {who:>3}: "
        print(head + text.replace("\n", "\n" + " " * len(head)))

    return hear


def _print_json(said: Line | Sent) -> None:
    if isinstance(said, Sent):
        message = said.message
        print(
            json.dumps(
                {
                    "at": said.at.astimezone(UTC).isoformat(),
                    "text": message.shown,
                    "buttons": [button.label for button in message.buttons],
                    "picture": None if message.picture is None else message.picture.name,
                    "pictures": [picture.name for picture in message.pictures],
                    "reminder": message.reminder,
                    "kind": message.kind,
                },
                ensure_ascii=False,
            )
        )


def save_pictures(app: App, result: Play, out: Path) -> None:
    """Draw every picture of a play into a folder, with its words beside it."""
    out.mkdir(parents=True, exist_ok=True)
    for sent in result.sent:
        for picture in sent.message.drawn:
            save_picture(app.draw(picture, sent.message.person), out)


def save_picture(picture: Picture, out: Path) -> Path:
    """Write a picture into a folder, with its words beside it; return where it is."""
    place = write_private_in(out, picture.file, [picture.page or picture.png])
    write_private_in(out, place.with_suffix(".txt").name, [f"{picture.alt}\n".encode()])
    return place


def difference(path: Path, script: Script, line: Line, waiting: list[Sent]) -> str:
    """Show a `bot` line that found no message (-) and the messages it could have been (+)."""

    def stamp(at: datetime) -> str:
        return at.astimezone(script.zone).strftime("%Y-%m-%d %H:%M")

    shown = [f"{path}, line {line.number}:", f"- {stamp(line.at)} bot: {line.text}"]
    shown += [f"+ {stamp(sent.at)} bot: {spoken(sent.message)}" for sent in waiting[-4:]]
    return "\n".join(shown if waiting else [*shown, "+ (nothing was sent since the line before)"])
