"""Texts that the bot says in English only, past the catalogues: `python -m tests.bot.language.english_only`.

Of each module with such texts `english_only.txt` beside this file says how many there are. With `--update`
smaller numbers are written there; a larger one is a text that is to be said by `say`.
"""

import ast
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from tests.templates import ROOMS, ROOT, Template, texts_of

SAYS = {"say", "say_count", "later"}
CHANNEL = ("telegram_busy", "telegram_handling", "telegram_limits", "telegram_requests", "telegram_telling")
"""Modules of the channels with sentences for people; the others have those for who runs the bot."""
KNOWN = Path(__file__).with_suffix(".txt")


def find_english_only() -> list[Template]:
    """Return the texts that are handed to no catalogue, in order of the files."""
    paths = [path for room in ROOMS for path in sorted((ROOT / room).rglob("*.py"))]
    paths += [ROOT / f"bot/channels/{name}.py" for name in CHANNEL]
    return [one for path in paths for one in in_file(path)]


def in_file(path: Path) -> Iterator[Template]:
    """Yield those of one module."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    said = {
        (part.lineno, part.value)
        for call in ast.walk(tree)
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in SAYS
        for part in ast.walk(call)
        if isinstance(part, ast.Constant)
    }
    yield from (one for one in texts_of(path) if (one.line, one.text) not in said)


def counts() -> Counter[str]:
    """Return how many there are in each module."""
    return Counter(one.path for one in find_english_only())


def known() -> Counter[str]:
    """Return how many there may be in each module."""
    lines = [line.split() for line in KNOWN.read_text(encoding="utf-8").splitlines()]
    return Counter({path: int(n) for path, n in lines})


def main() -> None:
    """Print them, or take over smaller numbers."""
    if "--update" in sys.argv:
        fewer = counts() & known()
        KNOWN.write_text("".join(f"{path} {n}\n" for path, n in sorted(fewer.items())), encoding="utf-8")
        return
    for one in find_english_only():
        print(f"{one.path}:{one.line} {one.text!r}")


if __name__ == "__main__":
    main()
