"""The demo: one day as it happens, then what the other conversations came to, in a few lines."""

import sys
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path

from rich.console import Console
from rich.progress import Progress, TaskID

from bot.channels.script import Line, Script, Sent, read_script
from bot.commandline.play import Hear, demo_scripts, difference, play_through, report_script, talker

SHOWN, DAY = "2_full_week", date(2026, 3, 11)
"""The conversation and the day that are shown: early shift, a slip put right, and curves."""


@dataclass(frozen=True, slots=True)
class Summary:
    """What one conversation came to, and its replies that did not come as written."""

    name: str
    days: int
    said: int
    answered: int
    pictures: int
    folder: Path
    missing: list[str]


def show_demo(folder: Path, *, everything: bool) -> int:
    """Play all conversations, show the day or everything; return how many replies did not come as written.

    folder: where the pictures go, by conversation, and the report
    """
    paths = demo_scripts()
    scripts = {path: read_script(path) for path in paths}
    page, reported = folder / "report.html", report_script(paths)
    paths.sort(key=lambda path: path.stem != SHOWN and not everything)  # the day that is shown comes first
    summaries = {}
    with Progress(console=Console(), transient=True, disable=not sys.stdout.isatty()) as progress:
        steps = sum(line.who == "me" for script in scripts.values() for line in script.lines)
        task = progress.add_task("Playing the conversations", total=steps)
        for path in paths:
            aloud = _aloud(path, scripts[path], everything)
            summaries[path] = _play(
                path,
                scripts[path],
                folder / path.stem,
                page if path == reported else None,
                [partial(_count, progress, task), *([aloud] if aloud else [])],
            )
    _tell([summaries[path] for path in scripts])
    print(f"\nThe report of “{scripts[reported].name}” is {page}.")
    print("Talk to it yourself: tablenote chat")
    missing = [shown for summary in summaries.values() for shown in summary.missing]
    print("".join(f"\n{shown}" for shown in missing), end="\n" if missing else "")
    return len(missing)


def _count(progress: Progress, task: TaskID, said: Line | Sent) -> None:
    progress.advance(task, isinstance(said, Line))


def _play(path: Path, script: Script, folder: Path, report: Path | None, hearers: list[Hear]) -> Summary:
    heard: list[Line | Sent] = []

    def hear(said: Line | Sent) -> None:
        for one in (heard.append, *hearers):
            one(said)

    result = play_through(script, hear, folder, report=report)
    return Summary(
        script.name,
        len({said.at.astimezone(script.zone).date() for said in heard}),
        len(heard) - len(result.sent),
        len(result.sent),
        len({picture.name for sent in result.sent for picture in sent.message.drawn}),
        folder,
        [difference(path, script, line, waiting) for line, waiting in result.missing],
    )


def _aloud(path: Path, script: Script, everything: bool) -> Hear | None:
    """Return what prints a conversation as it is played, None = nothing of it is shown."""
    if everything:
        print(f"\n=== {script.name} ===\n")
        return talker(script)
    if path.stem != SHOWN:
        return None
    print(f"One day of “{script.name}”, as it happens:\n")
    return talker(script, DAY)


def _tell(summaries: list[Summary]) -> None:
    width = max(len(summary.name) for summary in summaries)
    print(f"\n{'Conversation':{width}}  days  said  answers  pictures  in")
    for one in summaries:
        counts = f"{one.days:4}  {one.said:4}  {one.answered:7}  {one.pictures:8}"
        print(f"{one.name:{width}}  {counts}  {one.folder}")
