"""The corpus of talks: short dialogues, and the diary that a careful person would have at their end.

Each line of talks/*.jsonl is {"id", "voice", "theme", "tz", "unit", "turns": [{"at", "say"}, ...], "gold"}. A
turn may answer an earlier one ("answers": its place) or be a new version of it ("edits"). The gold holds
"log", every live entry at the end (judged like the entries of `tests/corpus`), "asks" (true: the last turn
fits two entries and must be asked about; null: either), and where they matter "settings" and "about", what
the last turn asks.

The talks were written, gold first, by people who had not seen the rules. A third, those whose number can be
divided by three, is set aside: nobody looks at them, and their figures may not fall.
"""

import json
import re
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "talks"
Talk = dict[str, Any]


def load_talks(folder: Path = FOLDER) -> list[Talk]:
    """Return all talks, file by file."""
    return [
        json.loads(line)
        for path in sorted(folder.glob("*.jsonl"))
        for line in path.read_text(encoding="utf-8").splitlines()
    ]


def is_set_aside(talk_id: str) -> bool:
    """Tell whether a talk belongs to the test set.

    >>> is_set_aside("ta-003"), is_set_aside("ta-004")
    (True, False)
    """
    return int(re.findall(r"\d+", talk_id)[-1]) % 3 == 0


def talks_of(part: str, folder: Path = FOLDER) -> list[Talk]:
    """Return the talks of "tuning", "test" or "all"."""
    talks = load_talks(folder)
    return talks if part == "all" else [t for t in talks if is_set_aside(t["id"]) == (part == "test")]
