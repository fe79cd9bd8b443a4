"""Scores the understanding of notes against the corpus (described in corpus.py).

    python -m tests.corpus.score [--part tuning|test|fresh|all] [--ids PREFIX] [--json] [--failures N]
        [--test-details] [--folder FOLDER]

It understands each note as the bot would, compares the outcome with what a careful person would record, and
prints for all notes and for each kind tag: notes fully right, notes with the right kinds of entry, foods
(precision, recall and F1 of the names), amounts and carbohydrate of found foods within range, whether an
amount counts as stated, times within tolerance with their mean absolute error, questions asked only where
they are due; then notes a second.

A quarter of the notes is set aside as test set: those for which int(sha1(id)[:8], 16) % 4 == 0, without
the "fresh" ones, which were scored blind batch by batch and tuned on afterwards. Whoever changes the
understanding looks at the other three quarters only, so notes that went wrong are listed for the tuning
part alone unless --test-details asks for more.
"""

import argparse
import json
import time
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from bot.commandline.understand import to_dict
from bot.foodtable import FoodTable, load_table
from bot.model.entries import Activity, Feeling, Meal, Reading, Sensor, Sleep, Sync, Understood
from bot.understanding import Context, understand
from tests.corpus.compare import Verdict, judge
from tests.corpus.corpus import Note, is_set_aside, load_notes, notes_of
from tests.corpus.tally import draw_table, sum_up_by_tag

STORED = (Meal, Activity, Reading, Sleep, Sync, Sensor, Feeling)


def context_of(note: Note, table: FoodTable) -> Context:
    """Build what the bot knows when the note comes in; an earlier note is understood first."""
    zone = ZoneInfo(note["tz"])
    now = datetime.fromisoformat(note["now"]).replace(tzinfo=zone)
    last = None
    if "before" in note:
        before = {"tz": note["tz"], **note["before"]}
        entries = understand(before["text"], context_of(before, table)).entries
        stored = [e for e in entries if isinstance(e, STORED)]
        last = next((e for e in reversed(stored) if isinstance(e, Meal)), stored[-1] if stored else None)
    return Context(now=now, zone=zone, table=table, unit=note.get("unit", "mmol/L"), last=last)


def understand_all(notes: list[Note], table: FoodTable) -> tuple[list[Understood], float]:
    """Understand the notes in order; return the outcomes and the seconds it took, contexts not counted."""
    contexts = [context_of(note, table) for note in notes]
    started = time.perf_counter()
    outcomes = [understand(note["text"], context) for note, context in zip(notes, contexts, strict=True)]
    return outcomes, time.perf_counter() - started


def judge_all(notes: list[Note], table: FoodTable) -> tuple[list[Verdict], float]:
    """Understand and judge the notes in order; return the verdicts and the seconds of understanding."""
    outcomes, seconds = understand_all(notes, table)
    verdicts = [
        judge(note["gold"], to_dict(outcome, ZoneInfo(note["tz"])))
        for note, outcome in zip(notes, outcomes, strict=True)
    ]
    return verdicts, seconds


def describe(note: Note, verdict: Verdict) -> Iterator[str]:
    """Say what went wrong with a note, line by line."""
    yield f"{note['id']}: {note['text'][:200]!r}"
    yield from (f"    {line}" for line in verdict.wrong)


def main(arguments: list[str] | None = None) -> None:
    """Score one part of the corpus and print the figures."""
    parser = argparse.ArgumentParser(prog="python -m tests.corpus.score")
    parser.add_argument("--part", choices=["tuning", "test", "fresh", "all"], default="tuning")
    parser.add_argument("--ids", default="", metavar="PREFIX", help="only notes whose ids begin so")
    parser.add_argument(
        "--folder", type=Path, help="notes from elsewhere, such as tests/corpus/blind: totals only"
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object only")
    parser.add_argument("--failures", type=int, default=0, metavar="N", help="list N notes that went wrong")
    parser.add_argument("--test-details", action="store_true", help="list notes of the test set, too")
    wanted = parser.parse_args(arguments)

    chosen = notes_of(wanted.part) if wanted.folder is None else load_notes(wanted.folder)
    notes = [n for n in chosen if n["id"].startswith(wanted.ids)]
    verdicts, seconds = judge_all(notes, load_table())
    figures = sum_up_by_tag((n["kind_tags"], v) for n, v in zip(notes, verdicts, strict=True))
    hard = [(["hard"], v) for n, v in zip(notes, verdicts, strict=True) if n["hard"]]
    figures |= {"hard": sum_up_by_tag(hard)["hard"]} if hard else {}
    wrong = [
        (note, verdict)
        for note, verdict in zip(notes, verdicts, strict=True)
        if not verdict.fully_right
        and (wanted.test_details or note.get("tuned") or not is_set_aside(note["id"]))
        and wanted.folder is None
    ][: wanted.failures]
    speed = len(notes) / seconds
    if wanted.json:
        told: dict[str, Any] = {"part": wanted.part, "figures": figures, "notes_per_s": speed}
        print(json.dumps(told | {"failures": [{"id": n["id"], "wrong": v.wrong} for n, v in wrong]}))
        return
    for note, verdict in wrong:
        print("\n".join(describe(note, verdict)))
    print(draw_table(figures))
    print(f"{speed:.0f} notes a second")


if __name__ == "__main__":
    main()
