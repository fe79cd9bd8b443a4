"""Every text of the bot with an example: `python -m tests.templates [WORDS]`.

Texts are the string literals and f-strings of two words and more in the rooms that word answers. An example
is what a message of the demo conversations says by it; where there is none, that is told.
`python -m tests.templates lost` lists only those whose text or room holds “lost”.
"""

import ast
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from bot.app import App
from bot.channels.script import play, read_script
from bot.commandline.play import demo_scripts
from bot.model.clock import SettableClock

ROOT = Path(__file__).parent.parent
ROOMS = ("bot/reply", "bot/reminders", "bot/talk", "bot/answers", "bot/report")
OUTSIDE = (
    "analysis/flags.py",
    "analysis/slowness.py",
    "analysis/curves.py",
    "analysis/overlap.py",
    "analysis/servings.py",
    "analysis/baseline.py",
    "analysis/bridging.py",
    "analysis/fasting.py",
    "analysis/shapes.py",
    "analysis/trials/accepting.py",
    "analysis/trials/verdict.py",
    "bot/understanding/phrasing.py",
    "bot/understanding/worth_asking.py",
)
"""Modules elsewhere whose texts are said as they are."""
PLACE = "{…}"
_NOT_SAID = {"compile", "fullmatch", "match", "search", "sub", "findall", "finditer", "split", "removeprefix"}
_NOT_SAID |= {"removesuffix", "startswith", "endswith", "replace", "partition", "strptime", "strftime"}
_LOGS = {"exception", "warning", "error", "info", "debug", "critical"}


@dataclass(frozen=True)
class Template:
    """A text: where it stands, and how it reads, its places as {…}."""

    path: str
    line: int
    text: str

    def pattern(self) -> re.Pattern[str]:
        """Return what finds the text in a message, its places filled with at most a line's part."""
        parts = [re.escape(part) for part in re.split(r"\{[^{}]*\}", self.text.strip())]
        return re.compile(r"[^\n]{1,70}?".join(parts))

    @property
    def longest(self) -> str:
        """The longest part of it without a place."""
        return max(re.split(r"\{[^{}]*\}", self.text.strip()), key=len)


@cache
def collect() -> tuple[Template, ...]:
    """Return the texts of all rooms, in order of the files."""
    paths = [path for room in ROOMS for path in sorted((ROOT / room).rglob("*.py"))]
    return tuple(one for path in [*paths, *(ROOT / each for each in OUTSIDE)] for one in texts_of(path))


def texts_of(path: Path) -> Iterator[Template]:
    """Yield the texts of one module."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    skipped: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            skipped.add(id(node.value))  # what documents
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            if node.func.attr in _NOT_SAID | _LOGS:
                skipped |= {id(each) for each in node.args}
        elif isinstance(node, ast.JoinedStr):
            skipped |= {id(each) for each in node.values}
        elif isinstance(node, ast.Compare | ast.Subscript):
            skipped |= {id(each) for each in ast.walk(node) if isinstance(each, ast.Constant)}
    for node in ast.walk(tree):
        if id(node) in skipped:
            continue
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
        elif isinstance(node, ast.JoinedStr):
            text = "".join(str(v.value) if isinstance(v, ast.Constant) else PLACE for v in node.values)
        else:
            continue
        if len(re.findall(r"[A-Za-z’']{2,}", re.sub(r"\{[^{}]*\}", " ", text))) >= 2 and " " in text.strip():
            yield Template(
                path.relative_to(ROOT).as_posix() if path.is_relative_to(ROOT) else path.name,
                node.lineno,
                text,
            )


@cache
def messages() -> tuple[str, ...]:
    """Return what the bot says in the demo conversations, each message once."""
    said: dict[str, None] = {}
    for path in demo_scripts():
        script = read_script(path)
        clock = SettableClock(script.start)
        app = App("sqlite://", zone=script.zone.key, unit=script.unit, clock=clock)
        try:
            result = play(script, app, clock, "local", lambda _: None)
            said |= dict.fromkeys(sent.message.text for sent in result.sent)
        finally:
            app.close()
    return tuple(said)


def example(template: Template) -> str | None:
    """Return the shortest line of a message that holds a text."""
    pattern = template.pattern()
    held = (message for message in messages() if template.longest in message)
    found = [hit[0] for message in held if (hit := pattern.search(message))]
    return min(found, key=len, default=None)


def main(words: list[str]) -> None:
    """Print the texts."""
    shown, with_example = 0, 0
    for one in collect():
        if words and not all(word.lower() in f"{one.path} {one.text}".lower() for word in words):
            continue
        said = example(one)
        shown, with_example = shown + 1, with_example + (said is not None)
        print(f"{one.path}:{one.line}\n  {one.text!r}")
        print(
            "  (no demo says it)"
            if said is None
            else f"  e.g. {said!r}" * (said != one.text) or "  (said so)"
        )
    print(f"{shown} texts, {with_example} of them in the demos")


if __name__ == "__main__":
    main(sys.argv[1:])
