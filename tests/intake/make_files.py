"""Writes the files of this folder and what must come out of each: `python -m tests.intake.make_files`.

Layouts are made up here; the readings are invented. What is expected is written down from the readings that a
file was made of, never from what the bot made of it.
"""

import json
from pathlib import Path

from tests.intake.cases import CASES

FOLDER = Path(__file__).parent / "files"
EXPECTED = Path(__file__).parent / "expected.json"


def main() -> None:
    """Write all files anew."""
    FOLDER.mkdir(exist_ok=True)
    for old in FOLDER.iterdir():
        old.unlink()
    for case in CASES:
        (FOLDER / case.name).write_bytes(case.data)
    EXPECTED.write_text(write_expected(), encoding="utf-8")


def write_expected() -> str:
    """Return what is expected of all files, one a line."""
    lines = [f"{json.dumps(c.name)}: {json.dumps(c.expected, ensure_ascii=False)}" for c in CASES]
    return "{\n" + ",\n".join(lines) + "\n}\n"


if __name__ == "__main__":
    main()
