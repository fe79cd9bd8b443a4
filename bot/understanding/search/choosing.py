"""The search: each stretch of a message as a note, a change, a question or a setting; the cheapest way is taken.

Stretches next to each other that are notes are read as one, since a note's times and foods lean on each other.
"""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from bot.model.entries import Correction, Entry, Meal, Nothing, Question, Understood
from bot.understanding.candidates import Candidate
from bot.understanding.context import Context
from bot.understanding.corrections.edits import apply, read_edits
from bot.understanding.corrections.elements import Plates, read_elements
from bot.understanding.notes.notes import read_notes
from bot.understanding.questions.questions import cost_unasked, join_questions, read_asked
from bot.understanding.search.stretches import Stretch, cuts, join, sentences
from bot.understanding.words.tokens import Token

Role = Literal["note", "edit", "question", "told"]
FRESH_MIN = 15
MOST_CHARS_EDITED = 300
"""Nobody corrects at greater length, in one sentence."""
MOST_CUT_TOKENS = 60


@dataclass(frozen=True, slots=True)
class Read:
    """A stretch and what it is taken for; a note is read later, with the notes beside it."""

    stretch: Stretch
    role: Role
    cost: float
    candidate: Candidate | None = None


@cache
def costs() -> dict[str, Any]:
    """Return the table of costs."""
    return tomllib.loads((files("bot.understanding.search") / "costs.toml").read_text(encoding="utf-8"))


def choose(tokens: Sequence[Token], text: str, context: Context) -> Understood:
    """Return the cheapest reading of a message."""
    reads: list[Read] = []
    for sentence in sentences(tokens, text):
        for read in _read_sentence(sentence, text, context):
            reads.append(read)
            if read.candidate is not None:
                for entry in read.candidate.entries:
                    context = apply(entry, context) if isinstance(entry, Correction) else context
    return _put_together(reads, text, context)


def _read_sentence(sentence: Stretch, text: str, context: Context) -> list[Read]:
    """Return the cheapest way to read a sentence: as one thing, or as two parted at a comma."""
    whole = _cheapest(sentence, text, context)
    if whole.cost < 1.0 or len(sentence.tokens) > MOST_CUT_TOKENS or not context.noted:
        if not (whole.role == "note" and sentence.asked):
            return [whole]
    best, best_cost = [whole], whole.cost
    for before, behind in cuts(sentence, text):
        if not (before.has_words and behind.has_words):
            continue
        tail = _cheapest(behind, text, context)
        if tail.role == "note" and not _could_change(before, text, context):
            continue
        head = _cheapest(before, text, context)
        cost = head.cost + tail.cost + costs()["cut"]["part"]
        if head.role != tail.role and cost < best_cost:
            best, best_cost = [head, tail], cost
    return best


def _could_change(stretch: Stretch, text: str, context: Context) -> bool:
    found = read_edits(stretch.text, context)
    return found is not None and found.cost < 2.0


def _cheapest(stretch: Stretch, text: str, context: Context) -> Read:
    """Return the cheapest reading of a stretch by itself."""
    asked = read_asked(stretch.text, context)
    unasked = 0.0 if asked is None else cost_unasked(asked)
    reads = [Read(stretch, "note", _note_cost(stretch, context) + unasked)]
    if asked is not None:
        reads.append(Read(stretch, "question", asked.cost, asked))
    if len(stretch.text) <= MOST_CHARS_EDITED and not stretch.asked:
        edit = read_edits(stretch.text, context)
        if edit is not None:
            reads.append(Read(stretch, "edit", edit.cost + costs()["edit"]["base"] + unasked, edit))
    return min(reads, key=lambda read: read.cost)


def _note_cost(stretch: Stretch, context: Context) -> float:
    """Return how odd it is to take a stretch for something new."""
    rules = costs()["note"]
    if not stretch.has_words:
        return 0.0
    entries, asks = read_notes(stretch.text, context)
    kept = [e for e in entries if not isinstance(e, Nothing)]
    cost = float(rules["base"]) if context.noted else 0.0
    cost += rules["asks"] * bool(asks)
    cost += rules["left_out"] * sum(len(e.said.split()) for e in entries if isinstance(e, Nothing))
    items = [item for e in kept if isinstance(e, Meal) for item in e.items]
    cost += rules["unknown_food"] * sum(item.food is None for item in items)
    if not kept and not asks:
        cost += rules["nothing"]
    return cost + (_cue_cost(stretch, context) if context.noted else 0.0)


def _cue_cost(stretch: Stretch, context: Context) -> float:
    """Return what it costs that words of change stand in a note, or foods that were only just noted."""
    rules = costs()["note"]
    elements = read_elements(stretch.text, context, Plates(context))
    tags = [e.tag for e in elements]
    cost = sum(rules["cue"].get(tag, 0.0) for tag in set(tags))
    foods = [e for e in elements if e.tag in "PKF"]
    if foods and all(e.tag == "P" for e in foods) and "m" not in tags:
        last = context.noted[-1]
        age = (context.now - last.touched_at).total_seconds() / 60
        on_last = all(any(entry_id == last.id for entry_id, _ in e.on) for e in foods)
        cost += rules["on_plate"] if on_last and age <= FRESH_MIN else rules["on_older_plate"]
    return cost


def _put_together(reads: Sequence[Read], text: str, context: Context) -> Understood:
    """Return what the chosen readings say, notes in a row read as one."""
    whole = Understood()
    k = 0
    while k < len(reads):
        read = reads[k]
        if read.role != "note":
            assert read.candidate is not None
            whole = _with(whole, read.candidate)
            k += 1
            continue
        n = k
        while n < len(reads) and reads[n].role == "note":
            n += 1
        found, more = read_notes(join([r.stretch for r in reads[k:n]], text), context)
        whole = _with(whole, Candidate(tuple(found), asks=tuple(more)))
        k = n
    return whole


def _with(whole: Understood, part: Candidate) -> Understood:
    entries: list[Entry] = list(whole.entries)
    for entry in part.entries:
        before = entries[-1] if entries else None
        if isinstance(entry, Question) and isinstance(before, Question):
            joined = join_questions(before, entry)
            if joined is not None:
                entries[-1] = joined
                continue
        entries.append(entry)
    return replace(
        whole,
        entries=tuple(entries),
        asks=whole.asks + tuple(ask for ask in part.asks if ask not in whole.asks),
        left_out=whole.left_out + part.left_out,
        told=whole.told + part.told,
        choice=whole.choice or part.choice,
    )
