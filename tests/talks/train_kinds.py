"""Makes the weights of `bot/understanding/search/kinds.npz` again.

    python -m tests.talks.train_kinds [--check]

Learns from the tuning parts of the corpora: turns of talks, and notes and corrections of the corpus, each
behind another note as if said some time after it. Needs scikit-learn (the extra
"train"), the bot itself does not.
"""

import argparse
import hashlib
import io
from collections import Counter
from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import cache
from itertools import product
from pathlib import Path
from typing import NamedTuple
from zoneinfo import ZoneInfo

import numpy as np
from sklearn.feature_extraction import DictVectorizer
from sklearn.linear_model import LogisticRegression

from bot.foodtable import load_table
from bot.model.entries import Stored
from bot.model.units import GlucoseUnit
from bot.understanding import Context, understand
from bot.understanding.context import Noted
from bot.understanding.corrections.elements import read_elements
from bot.understanding.corrections.known_foods import Plates
from bot.understanding.search.kinds import Score, features
from tests.corpus.corpus import notes_of
from tests.talks.corpus import Talk, talks_of

OUT = Path(__file__).parents[2] / "bot" / "understanding" / "search" / "kinds.npz"
STRENGTH = 0.1
"""The inverse of how strongly weights are held near zero; chosen on a fifth of the tuning part."""
LEAST = 0.02
"""Weights nearer to zero are left away."""
NEAR = 0.02
"""Weights made on another machine are the same when they differ by no more."""
SCORES: tuple[Score, ...] = ("change", "other")
OTHERS = ("setting", "fact", "chat", "question")
CHANGING = ("correction", "older", "two", "amount")

Example = tuple[frozenset[str], bool]


class Said(NamedTuple):
    """A message: its words, when and where it was said, and the unit of who said it."""

    text: str
    now: datetime
    zone: ZoneInfo
    unit: GlucoseUnit = "mmol/L"


def examples(part: str, score: Score) -> Iterator[Example]:
    """Yield each message of a part with whether it changes something (or: has nothing to note)."""
    yield from _of_talks(part, score)
    yield from _of_notes(part, score)


def _of_talks(part: str, score: Score) -> Iterator[Example]:
    for talk in talks_of(part):
        zone, log = ZoneInfo(talk["tz"]), list[Noted]()
        for k, turn in enumerate(talk["turns"]):
            now = datetime.fromisoformat(turn["at"]).replace(tzinfo=zone)
            said = Said(turn["say"], now, zone, talk.get("unit", "mmol/L"))
            label = _changes(talk, k) if score == "change" else _is_other(talk, k)
            if label is not None and (log or score == "other"):
                yield _features(said, tuple(log)), label
            if not label:
                log += _noted(said, len(log))


def _changes(talk: Talk, k: int) -> bool | None:
    theme, last = talk["theme"], k == len(talk["turns"]) - 1
    if theme == "add" and last:
        return len(talk["gold"]["log"]) < len(talk["turns"])
    if theme == "correction" and k:
        return True
    if theme in CHANGING and last:
        return True
    return False if theme in (*CHANGING, "add") else None


def _is_other(talk: Talk, k: int) -> bool | None:
    """Tell whether a turn has nothing to note: none of the foods or doings of the gold is named in it."""
    if talk["theme"] not in OTHERS:
        return False if talk["theme"] in CHANGING and k == 0 else None
    said = talk["turns"][k]["say"].lower()
    if any(entry["kind"] in ("reading", "sleep", "sync", "sensor") for entry in talk["gold"]["log"]):
        return None  # which turn is the reading cannot be told by its words
    names = [n for e in talk["gold"]["log"] for item in e.get("items", []) for n in item["names"]]
    names += [n for e in talk["gold"]["log"] if "items" not in e for n in e["what"]]
    return not any(word in said for name in names for word in name.lower().split() if len(word) > 2)


def _of_notes(part: str, score: Score) -> Iterator[Example]:
    notes = notes_of(part)
    for note, other in zip(notes, [*notes[7:], *notes[:7]], strict=True):
        zone = ZoneInfo(note["tz"])
        now = datetime.fromisoformat(note["now"]).replace(tzinfo=zone)
        before = note.get("before")
        kinds = {e["kind"] for e in note["gold"]["entries"]}
        nothing = kinds <= {"none", "question"}
        if (nothing or "question" in kinds) if score == "change" else "correction" in kinds:
            continue
        earlier = now - timedelta(minutes=_age(note["id"]))
        text = before["text"] if before is not None else other["text"]
        if before is not None:
            earlier = datetime.fromisoformat(before["now"]).replace(tzinfo=zone)
        log = tuple(_noted(Said(text, earlier, zone), 0))
        if log:
            label = nothing if score == "other" else kinds == {"correction"}
            yield _features(Said(note["text"], now, zone), log), label


def _age(note_id: str) -> int:
    return 3 + int(hashlib.sha1(note_id.encode(), usedforsecurity=False).hexdigest()[:6], 16) % 400


def _noted(said: Said, known: int) -> list[Noted]:
    return [Noted(known + n + 1, entry, said.now) for n, entry in enumerate(_entries(said))]


@cache  # both scores learn from the same messages
def _entries(said: Said) -> tuple[Stored, ...]:
    context = Context(said.now, said.zone, load_table(), said.unit)
    return tuple(e for e in understand(said.text, context).entries if isinstance(e, Stored))


@cache
def _features(said: Said, log: tuple[Noted, ...]) -> frozenset[str]:
    context = Context(said.now, said.zone, load_table(), said.unit, log=log)
    return frozenset(features(read_elements(said.text, context, Plates(context)), said.text, context))


def train(score: Score) -> dict[str, float]:
    """Return the weights of one score by name, the bias under ""."""
    told = list(examples("tuning", score))
    seen = DictVectorizer()
    counts = Counter(name for found, _ in told for name in found)
    x = seen.fit_transform([dict.fromkeys((n for n in sorted(f) if counts[n] > 1), 1.0) for f, _ in told])
    x.indices, x.indptr = x.indices.astype(np.int32), x.indptr.astype(np.int32)
    y = np.array([label for _, label in told])
    model = LogisticRegression(
        C=STRENGTH, max_iter=2000, class_weight="balanced", solver="liblinear", random_state=1
    )
    model.fit(x, y)
    weights = dict(zip(seen.feature_names_, np.round(model.coef_[0], 3), strict=True))
    counting = {name: float(w) for name, w in sorted(weights.items()) if abs(w) >= LEAST}
    return {"": round(float(model.intercept_[0]), 3)} | counting


def train_all() -> dict[str, float]:
    """Return the weights of all scores by their names in the file."""
    return {f"{score}|{name}": w for score in SCORES for name, w in train(score).items()}


def kept() -> dict[str, float]:
    """Return the weights that the bot reads."""
    with np.load(OUT) as held:
        return dict(zip(held["names"].tolist(), held["values"].tolist(), strict=True))


def differences(made: dict[str, float], held: dict[str, float]) -> list[str]:
    """Return the names of the weights that only one side has, or that are not near each other."""
    both = made.keys() & held.keys()
    return sorted(
        (made.keys() ^ held.keys()) | {name for name in both if abs(made[name] - held[name]) > NEAR}
    )


def as_bytes(weights: dict[str, float]) -> bytes:
    """Return the weights as the file that the bot reads."""
    out = io.BytesIO()
    np.savez_compressed(
        out, names=np.array(list(weights)), values=np.array(list(weights.values()), dtype=np.float32)
    )
    return out.getvalue()


def main(arguments: list[str] | None = None) -> None:
    """Write the weights, or compare them with those that are there, and say how well they part."""
    parser = argparse.ArgumentParser(prog="python -m tests.talks.train_kinds")
    parser.add_argument("--check", action="store_true")
    wanted = parser.parse_args(arguments)
    weights = train_all()
    if wanted.check:
        unlike = differences(weights, kept())
        print(f"not the same: {', '.join(unlike)}" if unlike else "the same")
    else:
        OUT.write_bytes(as_bytes(weights))
    for score, part in product(SCORES, ("tuning", "test")):
        told = [
            (weights[f"{score}|"] + sum(weights.get(f"{score}|{name}", 0.0) for name in found), label)
            for found, label in examples(part, score)
        ]
        right = np.mean([(value > 0) == label for value, label in told])
        sure = [(value > 0) == label for value, label in told if abs(value) > 2]
        surely = f"of the {len(sure)} surer ones {np.mean(sure):.3f}"
        print(f"{score}, {part}: {len(told)} messages, right {right:.3f}; {surely}")


if __name__ == "__main__":
    main()
