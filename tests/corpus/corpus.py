"""The corpus of notes: one JSON object a line in notes/*.jsonl, grouped by theme.

A note is {"id", "now", "tz", "text", "kind_tags", "hard", "gold"}, with "unit" where the person reads mg/dL
and "before" (text and now) where an earlier note is needed to understand it. "gold" is what a careful
person would record: {"entries": [...], "asks": true | false | null (either will do)}. In an entry

- "at" is judged within "at_tol_min"; null means no time may be made up; without the key it is not judged,
- "slot", "what", "about", "since" and "until" list every value that will do,
- an item has "names" that will do (lower case), ranges for "grams" and "carbs_g" around a careful figure
  (null: not judged), "stated" (null: either) and, where a dish may as well be taken apart, its "parts",
- "optional" entries and items may be missing, and "items": null leaves the items unjudged.

Where the figures come from: weights of household measures and portions are from memory of such tables, for
about twenty common foods looked up in USDA household weights. Carbohydrate per 100 g is read from a generic
row of FoodData Central for about 65 foods; for the others it is from memory, compared afterwards with the
rows of that name where there are any and widened where a row of the same food lay outside; some dishes have
no such row and are plain judgement. Amounts stated in g or ml are good within 7 %, counted measures within
30 %, portions not stated within 50 %, wider where careful people would differ; carbohydrate accordingly
with 8 % for the choice of row, or 5 g if that is wider. The gold was reread once beside what an early
parser made of the tuning part.

A quarter of the notes is set aside as test set by a hash of the id; tuning looks at the other three
quarters only. The notes in fresh_*.jsonl are marked "tuned": each batch was written with its gold before
the understanding saw it, scored once blind (the figures are in DEVELOPERS.md), and tuned on afterwards, so
that they are in the tuning part whatever their hash; 8 to 10, 21 and 22 are meals and 11 to 17 all else, by
two other authors. After the blind scoring their gold was reread once: figures were widened where the table's
row of that food lay outside, names of brands were replaced, and notes with no single right reading were left
out.
"""

import hashlib
import json
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "notes"
Note = dict[str, Any]


def load_notes(folder: Path = FOLDER) -> list[Note]:
    """Return all notes, theme by theme; a line that is no JSON object is a ValueError."""
    return [
        json.loads(line)
        for path in sorted(folder.glob("*.jsonl"))
        for line in path.read_text(encoding="utf-8").splitlines()
    ]


def is_set_aside(note_id: str) -> bool:
    """Tell whether a note belongs to the test set.

    >>> is_set_aside("activities-001"), is_set_aside("activities-004")
    (True, False)
    """
    return int(hashlib.sha1(note_id.encode(), usedforsecurity=False).hexdigest()[:8], 16) % 4 == 0


def notes_of(part: str) -> list[Note]:
    """Return the notes of "tuning", "test", "all", or "fresh": scored blind once, tuned on since."""
    if part in ("all", "fresh"):
        return [n for n in load_notes() if part == "all" or n.get("tuned", False)]
    return [
        n for n in load_notes() if (part == "test") == (is_set_aside(n["id"]) and not n.get("tuned", False))
    ]
