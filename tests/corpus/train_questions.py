"""Makes the weights of `bot/understanding/questions/asking.npz` again.

    python -m tests.corpus.train_questions [--check] [--without PREFIX]

Learns whether words ask something from the questions of the tuning notes and of asked.txt, against all
sentences of the tuning parts of notes and talks that ask nothing; and which sort a question is from those
whose gold names a sort. Then it tells how many sorts and abouts are right where the voice was not learnt
from. Needs scikit-learn (the extra "train"), the bot itself does not.
"""

import argparse
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, cast
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray
from sklearn.feature_extraction import DictVectorizer
from sklearn.linear_model import LogisticRegression

from bot.foodtable import FoodTable, load_table
from bot.understanding import Context
from bot.understanding.questions.learned import asking_features, sort_features
from bot.understanding.questions.questions import WEIGHT_LEARNED, cues_in, look_at, tagged
from bot.understanding.questions.sorts import ABOUT, Sort
from bot.understanding.search.stretches import sentences
from bot.understanding.words.tokens import read_tokens
from tests.corpus.corpus import Note, notes_of
from tests.talks.corpus import talks_of

OUT = Path(__file__).parents[2] / "bot" / "understanding" / "questions" / "asking.npz"
ASKED = Path(__file__).parents[1] / "bot" / "understanding" / "questions" / "asked.txt"
STRENGTH_OF_SORTS, STRENGTH_OF_ASKING = 3.0, 3.0
"""The inverse of how strongly weights are held near zero; chosen by voices not learnt from."""
LEAST = 0.02
"""Weights nearer to zero are left away."""
NEAR = 0.06
"""Weights made on another machine are the same when they differ by no more."""
FOLDS = 5
ASKING_THEMES = ("question", "several")
Learned = tuple[list[str], list[Any], NDArray[np.float64]]
NOWHERE = {"now": "2026-06-17T21:00", "tz": "Europe/London"}


@dataclass(frozen=True, slots=True)
class Asked:
    """One question: its features, the votes of its cues, what is right, and whose it is ("": nobody's)."""

    features: set[str]
    votes: dict[str, float]
    sorts: Sequence[str]
    abouts: Sequence[str]
    voice: str


def more_asked() -> Iterator[tuple[str, str]]:
    """Yield the sort ("none": no question) and the text of each line of asked.txt."""
    for line in ASKED.read_text(encoding="utf-8").splitlines():
        if not line.startswith("#"):
            sort, text = line.split(" | ")
            yield sort, text


def questions(table: FoodTable, without: str) -> Iterator[Asked]:
    """Yield the questions whose sort is known, but for notes whose ids begin with `without`."""
    for note in _notes(without):
        for entry in note["gold"]["entries"]:
            if "sort" in entry:
                voice = note["kind_tags"][-1] if note["id"].startswith("q33") else note["id"][:6]
                yield _asked(note, entry["sort"], entry["about"], voice, table)
    for sort, text in more_asked():
        if sort != "none":
            yield _asked({**NOWHERE, "text": text}, [sort], [ABOUT[cast(Sort, sort)]], "", table)


def _notes(without: str) -> list[Note]:
    return [n for n in notes_of("tuning") if not (without and n["id"].startswith(without))]


def _asked(note: Note, sorts: Sequence[str], abouts: Sequence[str], voice: str, table: FoodTable) -> Asked:
    zone = ZoneInfo(note["tz"])
    context = Context(datetime.fromisoformat(note["now"]).replace(tzinfo=zone), zone, table)
    tokens = read_tokens(note["text"])
    words, found = cues_in(tokens)
    said, _ = look_at(tokens, words, found, context)
    return Asked(sort_features(tagged(said), found.names), dict(found.votes), sorts, abouts, voice)


def asking(without: str) -> Iterator[tuple[set[str], bool]]:
    """Yield the features of words with whether they ask something."""
    for note in _notes(without):
        kinds = [entry["kind"] for entry in note["gold"]["entries"]]
        if kinds == ["question"]:
            yield _of_asking(note["text"]), True
        elif "question" not in kinds:
            yield from ((_of_asking(part), False) for part in _parts(note["text"]))
    yield from ((_of_asking(text), sort != "none") for sort, text in more_asked())
    for talk in talks_of("tuning"):
        for turn in talk["turns"] if talk["theme"] not in ASKING_THEMES else ():
            if "?" not in turn["say"]:
                yield from ((_of_asking(part), False) for part in _parts(turn["say"]))


def _parts(text: str) -> Iterator[str]:
    return (each.text for each in sentences(read_tokens(text), text) if each.has_words)


def _of_asking(text: str) -> set[str]:
    words, found = cues_in(read_tokens(text))
    return asking_features(words, found.names)


def _frequent(features: Sequence[set[str]]) -> set[str]:
    counts = Counter(name for each in features for name in each)
    return {name for name, count in counts.items() if count > 1}


def learn(features: Sequence[set[str]], labels: Sequence[object], strength: float, **how: object) -> Learned:
    """Return a logistic regression: names of features ("" first, the bias), classes and weights."""
    frequent = _frequent(features)
    seen = DictVectorizer(dtype=np.float64)
    x = seen.fit_transform([dict.fromkeys(sorted(each & frequent), 1.0) for each in features])
    x.indices, x.indptr = x.indices.astype(np.int32), x.indptr.astype(np.int32)
    model = LogisticRegression(C=strength, max_iter=1000, random_state=1)
    model.fit(x, labels, **how)
    values = np.vstack([model.intercept_, model.coef_.T])
    return ["", *seen.feature_names_], list(model.classes_), np.where(abs(values) < LEAST, 0.0, values)


def learn_sorts(asked: Sequence[Asked]) -> Learned:
    """Return the weights of the sorts; a question that may be of several counts for each in part."""
    each = [(a.features, sort, 1 / len(a.sorts)) for a in asked for sort in a.sorts]
    features, sorts, weights = zip(*each, strict=True)
    return learn(features, sorts, STRENGTH_OF_SORTS, sample_weight=weights)


def train(table: FoodTable, without: str = "") -> dict[str, NDArray[Any]]:
    """Return the arrays of the file that the bot reads."""
    names, sorts, values = learn_sorts(list(questions(table, without)))
    told = list(asking(without))
    asking_names, _, asking_values = learn([f for f, _ in told], [a for _, a in told], STRENGTH_OF_ASKING)
    kept, kept_asking = values.any(axis=1), asking_values[:, 0] != 0.0
    return {
        "sorts": np.array(sorts),
        "names": np.array(names)[kept],
        "values": values[kept].round(2).astype(np.float16),
        "asking_names": np.array(asking_names)[kept_asking],
        "asking_values": asking_values[kept_asking, 0].round(2).astype(np.float16),
    }


def as_table(arrays: Mapping[str, NDArray[Any]]) -> dict[str, float]:
    """Return weights by name: "sort|feature", or "asking|feature"."""
    told = {
        f"{sort}|{name}": float(w)
        for name, row in zip(arrays["names"], arrays["values"], strict=True)
        for sort, w in zip(arrays["sorts"], row, strict=True)
    }
    named = zip(arrays["asking_names"], arrays["asking_values"], strict=True)
    return told | {f"asking|{name}": float(w) for name, w in named}


def kept() -> dict[str, float]:
    """Return the weights that the bot reads."""
    with np.load(OUT) as held:
        return as_table(held)


def differences(made: dict[str, float], held: dict[str, float]) -> list[str]:
    """Return the names of the weights that are not near each other; one that is left away is 0."""
    names = made.keys() | held.keys()
    return sorted(name for name in names if abs(made.get(name, 0.0) - held.get(name, 0.0)) > NEAR)


def cross_validate(asked: Sequence[Asked]) -> tuple[float, float]:
    """Return the shares of abouts and of sorts that are right for voices that were not learnt from."""
    voices = sorted({a.voice for a in asked if a.voice})
    right: list[tuple[bool, bool]] = []
    for fold in range(FOLDS):
        aside = set(voices[fold::FOLDS])
        names, sorts, values = learn_sorts([a for a in asked if a.voice not in aside])
        rows = {name: k for k, name in enumerate(names)}
        for each in (a for a in asked if a.voice in aside):
            scores = values[[0, *(rows[f] for f in each.features if f in rows)]].sum(axis=0)
            weighed = dict(zip(sorts, WEIGHT_LEARNED * scores, strict=True))
            best = max(sorts, key=lambda sort: each.votes.get(sort, 0.0) + weighed[sort])
            right.append((ABOUT[best] in each.abouts, best in each.sorts))
    abouts, exact = np.mean(right, axis=0)
    return float(abouts), float(exact)


def main(arguments: list[str] | None = None) -> None:
    """Write the weights, or compare them with those that are there, and say how well they do."""
    parser = argparse.ArgumentParser(prog="python -m tests.corpus.train_questions")
    parser.add_argument("--check", action="store_true")
    parser.add_argument("--without", default="", metavar="PREFIX", help="leave out notes whose ids begin so")
    wanted = parser.parse_args(arguments)
    table = load_table()
    made = train(table, wanted.without)
    if wanted.check:
        unlike = differences(as_table(made), kept())
        print(f"not the same: {', '.join(unlike)}" if unlike else "the same")
    else:
        np.savez_compressed(OUT, **made)  # type: ignore[arg-type]
    abouts, exact = cross_validate(list(questions(table, wanted.without)))
    print(f"voices not learnt from: about {abouts:.3f}, sort {exact:.3f}")


if __name__ == "__main__":
    main()
