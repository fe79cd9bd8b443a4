"""The search: each stretch of a message as a note, a change, a question or a setting; the cheapest way is taken.

Stretches next to each other that are notes are read as one, since a note's times and foods lean on each other.
"""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from math import exp, log
from typing import Any, Literal

from bot.model.entries import (
    Activity,
    Choice,
    Correction,
    Entry,
    Fact,
    Feeling,
    Meal,
    Question,
    Reading,
    Sleep,
    Stored,
    Understood,
)
from bot.understanding.candidates import Candidate
from bot.understanding.context import Context
from bot.understanding.corrections.edits import apply, name_entry
from bot.understanding.corrections.elements import amending
from bot.understanding.notes.notes import Notes
from bot.understanding.questions.questions import cost_unasked, join_questions, odds_of
from bot.understanding.search.kinds import Score
from bot.understanding.search.readers import Readers
from bot.understanding.search.stretches import Stretch, cuts, join, sentences, stretch_of
from bot.understanding.words.tokens import Token

Role = Literal["note", "edit", "question", "told", "talk"]
AGAIN_MIN = 8
UNSURE = 0.6
LEAST_LIKELY = 3.0
"""A glucose value below is rather another number (mmol/L)."""
MOST_CHARS_EDITED = 300
"""Nobody corrects at greater length, in one sentence."""
MOST_CUT_TOKENS = 60
MOST_USED = 8
MOST_SAID_BACK = 60
NOTHING_TO_NOTE = (
    "I noted nothing from that. If it was something you ate, tell me what, like “soup at 12:30”."
)


@dataclass(frozen=True, slots=True)
class Read:
    """A stretch and what it is taken for; a note is read later, with the notes beside it.

    doubt: another reading is about as likely and would store something else; rival: the change it may be
    """

    stretch: Stretch
    role: Role
    cost: float
    candidate: Candidate | None = None
    doubt: bool = False
    rival: Candidate | None = None


@cache
def costs() -> dict[str, Any]:
    """Return the table of costs."""
    return tomllib.loads((files(__package__) / "costs.toml").read_text(encoding="utf-8"))


def choose(tokens: Sequence[Token], text: str, context: Context) -> Understood:
    """Return the cheapest reading of a message."""
    start = readers = Readers(context)
    whole = _as_one_change(tokens, text, readers)
    reads: list[Read] = []
    for sentence in sentences(tokens, text):
        for read in _read_sentence(sentence, text, readers):
            reads.append(read)
            changes = () if read.candidate is None else read.candidate.entries
            for entry in changes:
                if isinstance(entry, Correction):
                    readers = readers.behind(apply(entry, readers.context))
    if readers.context.noted and any(read.role == "edit" for read in reads):
        # "Strike the feta. Goat cheese.": what has no time of its own may belong to the change.
        reads = [
            replace(r, doubt=True) if r.role == "note" and not _is_timed(r, readers) else r for r in reads
        ]
    if any(read.doubt for read in reads):
        # What "it" means hangs on the sentence that is not sure.
        reads = [replace(r, doubt=True, rival=r.candidate) if _hangs(r) else r for r in reads]
    if whole is not None and len(reads) > 1 and whole.cost < sum(read.cost for read in reads):
        reads = [whole]
    return _put_together(reads, text, start)


def _is_timed(read: Read, readers: Readers) -> bool:
    """Tell whether a note says its own time or meal, or notes nothing."""
    entries = readers.note(read.stretch.text).entries
    return all(getattr(entry, "timed", "stated") != "now" for entry in entries)


def _hangs(read: Read) -> bool:
    return read.role == "edit" and read.cost > costs()["doubt"]["hanging"]


def _as_one_change(tokens: Sequence[Token], text: str, readers: Readers) -> Read | None:
    """Read a message of several sentences as one change: "It was not the roll. It was the bun." """
    if not readers.context.noted or len(text) > MOST_CHARS_EDITED or tokens[-1].text == "?":
        return None
    edit = readers.edits(text)
    if edit is None:
        return None
    stretch = stretch_of(tokens, text)
    odds = _log_odds("change", stretch, readers) * costs()["learned"]["weight"]
    return Read(stretch, "edit", edit.cost + costs()["edit"]["base"] + max(-odds, 0.0), edit)


def _read_sentence(sentence: Stretch, text: str, readers: Readers) -> list[Read]:
    """Return the cheapest way to read a sentence: as one thing, or as two parted at a comma."""
    whole = _cheapest(sentence, readers)
    if whole.cost < 1.0 or len(sentence.tokens) > MOST_CUT_TOKENS or not readers.context.noted:
        if not (whole.role == "note" and sentence.asked):
            return [whole]
    best, best_cost = [whole], whole.cost
    for before, behind in cuts(sentence, text):
        if not (before.has_words and behind.has_words):
            continue
        tail = _cheapest(behind, readers)
        if tail.role == "note" and not _could_change(before, readers):
            continue
        head = _cheapest(before, readers)
        cost = head.cost + tail.cost + costs()["cut"]["part"]
        if head.role != tail.role and cost < best_cost:
            best, best_cost = [head, tail], cost
    return best


def _could_change(stretch: Stretch, readers: Readers) -> bool:
    found = readers.edits(stretch.text)
    return found is not None and found.cost < 2.0


def _cheapest(stretch: Stretch, readers: Readers) -> Read:
    """Return the cheapest reading of a stretch by itself."""
    odds = _log_odds("change", stretch, readers) * costs()["learned"]["weight"]
    if readers.context.noted and _amends(stretch):
        odds = max(odds, costs()["learned"]["amending"])
    other = _log_odds("other", stretch, readers)
    note = readers.note(stretch.text)
    odd = _oddness(stretch, note, readers)
    new = min(odd, costs()["note"]["most"]) + max(odds, 0.0)
    asked, told = readers.asked(stretch.text), readers.told(stretch.text)
    cost = _cost_of_kinds(note, other, asked)
    untold = 0.0 if told is None else cost_unasked(told)
    unasked = _cost_beside(cost, "question")
    reads = [Read(stretch, "note", new + untold + cost["note"])]
    if not stretch.has_words:
        return reads[0]
    nothing = Candidate(asks=(NOTHING_TO_NOTE,), left_out=(" ".join(stretch.text.split()),))
    reads.append(Read(stretch, "talk", new + untold + cost["talk"], nothing))
    if asked is not None:
        reads.append(Read(stretch, "question", new + untold + cost["question"], asked))
    if told is not None:
        reads.append(Read(stretch, "told", told.cost + unasked, told))
    if len(stretch.text) <= MOST_CHARS_EDITED and not stretch.asked:
        edit = readers.edits(stretch.text)
        if edit is not None:
            of_edit = edit.cost + costs()["edit"]["base"] + max(-odds, 0.0) + unasked + untold
            reads.append(Read(stretch, "edit", of_edit, edit))
    reads.sort(key=lambda read: read.cost)
    return _with_doubt(reads, odds, odd, timed=bool(note.entries) and _is_timed(reads[0], readers))


def _cost_of_kinds(note: Notes, other: float, asked: Candidate | None) -> dict[str, float]:
    """Return what it costs to take words for a note, a question or neither, were they no change."""
    odds = {"note": 0.0, "talk": _odds("talk", note, other)}
    if asked is not None:
        odds["question"] = _odds("question", note, other) + costs()["question"]["asked"] * odds_of(asked)
    total = log(sum(exp(each) for each in odds.values()))
    return {kind: total - each for kind, each in odds.items()}


def _odds(kind: str, note: Notes, other: float) -> float:
    """Return the log-odds of a kind against a note: less for each word that says what would be noted."""
    rules = costs()[kind]
    odds = rules["bias"] + rules["other"] * other - rules["used"] * min(note.used, MOST_USED)
    odds += rules["nothing"] * (not note.entries and not note.asks)
    return float(odds - rules["done"] * any(not isinstance(e, Meal | Feeling) for e in note.entries))


def _cost_beside(cost: dict[str, float], kind: str) -> float:
    """Return what it costs that words are not of a kind."""
    return -log(max(1.0 - exp(-cost[kind]), 1e-4)) if kind in cost else 0.0


def _amends(stretch: Stretch) -> bool:
    """Tell whether words open like a correction and hardly anything else: "correction: ..."."""
    words = [t.text for t in stretch.tokens if t.kind != "mark"]
    if [t.text for t in stretch.tokens[:2]] == ["no", ","]:
        return True
    return any(" ".join(words[:n]) in amending() for n in (1, 2, 3, 4))


def _with_doubt(reads: list[Read], odds: float, odd_note: float, *, timed: bool) -> Read:
    """Return the cheapest reading, in doubt where a note may as well be a change."""
    best, rules = reads[0], costs()["doubt"]
    change = next((r.candidate for r in reads if r.role == "edit"), None)
    close = len(reads) > 1 and reads[1].cost - best.cost < rules["close"]
    both = {r.role for r in reads[:2]} == {"note", "edit"}
    unlike = best.role == "note" and odds > rules["odds"] and (odd_note > 0 or odds >= rules["sure"])
    unlike = unlike and not timed  # what says its own time is something new
    odd = best.role == "edit" and best.cost > rules["odd_edit"]
    return replace(best, doubt=(close and both) or unlike or odd, rival=change)


def _oddness(stretch: Stretch, note: Notes, readers: Readers) -> float:
    """Return how odd it is to take a stretch for something new."""
    rules = costs()["note"]
    if not stretch.has_words:
        return 0.0
    kept, asks = note.entries, note.asks
    cost = rules["asks"] * bool(asks)
    cost += rules["left_out"] * len(" ".join(note.left_out).split())
    items = [item for e in kept if isinstance(e, Meal) for item in e.items]
    cost += rules["unknown_food"] * sum(item.food is None for item in items)
    cost += rules["unsure_food"] * sum(item.food is not None and item.sure <= UNSURE for item in items)
    cost += rules["again"] * any(_said_again(e, readers.context) for e in kept)
    cost += rules["implausible"] * any(isinstance(e, Reading) and e.mmol < LEAST_LIKELY for e in kept)
    if not kept and not asks:
        cost += rules["nothing"]
    return float(cost)


def _said_again(entry: Entry, context: Context) -> bool:
    """Tell whether the same kind of thing was noted only just: nobody sleeps twice in five minutes."""
    if not isinstance(entry, Sleep | Activity) or not context.noted:
        return False
    last = context.noted[-1]
    age = (context.now - last.touched_at).total_seconds() / 60
    return type(last.entry) is type(entry) and age <= AGAIN_MIN


def _log_odds(score: Score, stretch: Stretch, readers: Readers) -> float:
    return readers.log_odds(score, stretch.text) if stretch.has_words else 0.0


def _put_together(reads: Sequence[Read], text: str, readers: Readers) -> Understood:
    """Return what the chosen readings say, notes in a row read as one."""
    whole = Understood()
    k = 0
    while k < len(reads):
        read = reads[k]
        if read.doubt and readers.context.noted:
            asked = _ask_which(read, readers)
            if asked is not None:
                whole = _with(whole, asked)
                k += 1
                continue
        if read.role != "note":
            assert read.candidate is not None
            whole = _with(whole, read.candidate)
            k += 1
            continue
        n = k
        while n < len(reads) and not (n > k and reads[n].doubt) and reads[n].role == "note":
            n += 1
        said = join([r.stretch for r in reads[k:n]], text)
        note = readers.note(said)
        told = _of_health(said, readers)
        whole = _with(whole, Candidate(note.entries, told, asks=note.asks, left_out=note.left_out))
        k = n
    return whole


def _ask_which(read: Read, readers: Readers) -> Candidate | None:
    """Ask whether words are a change or something new; nothing is stored before the answer."""
    new = [e for e in readers.note(read.stretch.text).entries if isinstance(e, Stored)]
    change = None if read.rival is None else next(iter(read.rival.entries), None)
    options: list[tuple[str, Correction]] = []
    if isinstance(change, Correction) and change.target is not None:
        options.append((f"change {name_entry(change, readers.context)}", change))
    if len(new) == 1:
        options.append(("something new", Correction("note", said=read.stretch.text, after=new[0])))
    if not options:
        return None
    said = " ".join(read.stretch.text.split())[:MOST_SAID_BACK]
    which = f"a change of {options[0][0].removeprefix('change ')}" if len(options) == 2 else options[0][0]
    text = (
        f"Is “{said}” {which}, or something new?"
        if len(options) == 2
        else f"I am not sure about “{said}”: {which}?"
    )
    return Candidate(choice=Choice(text, tuple(options)))


def _of_health(note: str, readers: Readers) -> tuple[Fact, ...]:
    """Return what a note says of medicines and the like: that counts even beside food."""
    told = readers.told(note)
    facts = () if told is None else told.told
    return tuple(
        f for f in facts if isinstance(f, Fact) and f.what in ("medicine", "pregnancy", "eating disorder")
    )


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
