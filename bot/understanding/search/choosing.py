"""The search: each stretch of a message as a note, a change, a question or a setting; the cheapest is taken.

Stretches beside each other that are notes are read as one, since a note's times and foods lean on each other.
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import islice
from math import inf

from bot.model.entries import Correction, Entry, Fact, Meal, Question, Reading, Sleep, Stored, Understood
from bot.understanding.candidates import Candidate
from bot.understanding.context import Context
from bot.understanding.corrections.cues import amending
from bot.understanding.corrections.edits import apply
from bot.understanding.corrections.retiming import later_bed
from bot.understanding.questions.questions import SURE_COST, join_questions
from bot.understanding.search.heads import LONG, question_of, with_heads
from bot.understanding.search.readers import Readers
from bot.understanding.search.reads import Read, Role
from bot.understanding.search.stretches import Stretch, cuts, join, sentences, stretch_of
from bot.understanding.search.unsure import (
    ask_which,
    equates,
    is_addition,
    is_timed,
    points_back,
    with_doubt,
    with_hanging,
)
from bot.understanding.search.weighing import Sense, cost_of_neither, costs, costs_of_kinds, sense_of
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import Token

MOST_CHARS_EDITED = 300
"""Nobody corrects at greater length, in one sentence."""
LEAST_TOLD, MOST_TOLD = 3, 60
"""So many tokens tell something of oneself, and so many sentences of a long message are tried for it."""
MOST_CUT_TOKENS = 60
MOST_CUTS = 6
MOST_CHARS_LEANING, MOST_CHARS_JOINED = 80, 300
"""Longer sentences make sense by themselves."""
ODD = 0.4
"""What is odder by itself may be so because it leans on the note before it: "Back by 4." """
SURE_BESIDE, SURE_MEAL = 1.0, 1.5
"""What costs less is a note or a change beside something told of oneself; surer is a meal of known foods."""
COULD_CHANGE = 2.0
"""A head that costs less as a change is parted from a tail that is a note."""
_OF_ONESELF = re.compile(r"\s*i(?:['\u2019]?(?:m|ve)| am)?\b", re.IGNORECASE)
"""How a question begins that tells something first: "I take tablets for it, is that important?"."""
ASKED_FOR = ("trial", "plan", "habit", "help")
OF_HEALTH = ("medicine", "pregnancy", "eating disorder")


def choose(tokens: Sequence[Token], text: str, context: Context) -> Understood:
    """Return the cheapest reading of a message."""
    start = readers = Readers(context)
    reads: list[Read] = []
    for k, sentence in enumerate(with_heads(sentences(tokens, text), text, readers)):
        if len(text) > 2 * LONG or sentence.tokens[-1].end > LONG:
            reads.append(_read_in_passing(sentence, text, readers, may_tell=k < MOST_TOLD))
            continue
        found = _read_sentence(sentence, text, readers, reads[-1] if reads else None)
        reads += found
        readers = _behind(found, readers)
    reads = with_hanging(reads, readers)
    if len(reads) > 1 and not any(_is_surely_neither(read) for read in reads):
        whole = _as_one_change(tokens, text, start, sum(read.cost for read in reads))
        reads = reads if whole is None else [whole]
    return _pinned(_put_together(reads, text, start), context)


def _pinned(understood: Understood, context: Context) -> Understood:
    """Name the entry that is taken back where something new is noted beside: that is stored first."""
    if not context.noted or not any(isinstance(entry, Stored) for entry in understood.entries):
        return understood
    beds = ((later_bed(e, context) if isinstance(e, Sleep) else None, e) for e in understood.entries)
    understood = replace(understood, entries=tuple(moved or e for moved, e in beds))
    last = context.noted[-1].id
    entries = tuple(
        replace(e, target=last) if isinstance(e, Correction) and e.what == "undo" and e.target is None else e
        for e in understood.entries
    )
    return replace(understood, entries=entries)


def _behind(reads: Sequence[Read], readers: Readers) -> Readers:
    """Return the readers for what stands behind some readings, whose changes hold already."""
    for read in reads:
        for entry in () if read.candidate is None else read.candidate.entries:
            if isinstance(entry, Correction):
                readers = readers.behind(apply(entry, readers.context))
    return readers


def _is_surely_neither(read: Read) -> bool:
    """Tell whether a sentence is a setting or surely a question, so that it is no part of a change."""
    asked = read.role == "question" and read.candidate is not None and read.candidate.cost < SURE_COST
    return asked or read.role == "told"


def _read_in_passing(sentence: Stretch, text: str, readers: Readers, *, may_tell: bool) -> Read:
    """Read a sentence of a long message: a note is read later, all of them together."""
    may_tell = may_tell and len(sentence.tokens) >= LEAST_TOLD and not sentence.asked
    if may_tell and readers.told(sentence.text) is not None:
        read = _cheapest(sentence, text, readers)
        if read.role == "told":
            return replace(read, doubt=False)
    asked = readers.asked(sentence.text) if sentence.asked else None
    if asked is None or asked.cost >= SURE_COST:
        return Read(sentence, "note", 0.0)
    return Read(sentence, "question", asked.cost, asked)


def _as_one_change(tokens: Sequence[Token], text: str, readers: Readers, most: float) -> Read | None:
    """Read a message of several sentences as one change: "It was not the roll. It was the bun."

    most: what it costs to read them one by one; None where one change is no cheaper
    """
    if not readers.context.noted or len(text) > MOST_CHARS_EDITED or tokens[-1].text == "?":
        return None
    odds = readers.log_odds("change", text) * costs()["learned"]["weight"]
    beside = costs()["edit"]["base"] + max(-odds, 0.0)
    edit = readers.edits(text, most - beside)
    if edit is None or edit.cost + beside >= most:
        return None
    cost = edit.cost + beside
    doubt = cost > costs()["doubt"]["odd_edit"]
    return Read(stretch_of(tokens, text), "edit", cost, edit, doubt=doubt, rival=edit)


def _read_sentence(sentence: Stretch, text: str, readers: Readers, before: Read | None) -> list[Read]:
    """Return the cheapest way to read a sentence: as one thing, or as several parted at commas."""
    whole = _cheapest(sentence, text, readers, before)
    noted = _noted_before(whole, text, readers, before)
    if noted is not None:
        return [noted, whole]
    asked_behind = whole.role == "note" and sentence.asked
    may_be_two = whole.cost >= 1.0 and bool(readers.context.noted)
    # "2 eggs, and I am vegetarian": what is told of oneself must not swallow what was eaten, nor be left out.
    both = _is_mixed(whole, readers)
    may_be_two = may_be_two or both
    short = len(sentence.tokens) <= MOST_CUT_TOKENS and len(text) <= LONG
    if not short or not (may_be_two or asked_behind):
        return [whole]
    best, best_cost = [whole], whole.cost
    for first, second in islice(cuts(sentence, text), MOST_CUTS):
        if not (first.has_words and second.has_words):
            continue
        tail = _cheapest(second, text, readers)
        if tail.role == "note" and whole.role != "told" and not _could_change(first, readers):
            continue
        head = _cheapest(first, text, readers, before)
        cost = head.cost + tail.cost + costs()["cut"]["part"]
        if both and _tells_and_more(head, tail, readers):
            cost = min(cost, best_cost - 0.01)  # both are kept
        if head.role != tail.role and cost < best_cost:
            best, best_cost = [head, tail], cost
    if len(best) == 1:
        return best
    # "The chicken was 120, also 300 ml juice, and quiet from 11": what stands in front may be several, too.
    head, tail = best
    heads = _read_sentence(head.stretch, text, readers, before)
    return [*heads, *_read_sentence(tail.stretch, text, _behind(heads, readers), heads[-1])]


def _noted_before(whole: Read, text: str, readers: Readers, before: Read | None) -> Read | None:
    """Return what was had, done or measured in front of a question about it: "6.8 now, is it bad?"."""
    if whole.role != "question" or not whole.stretch.asked or len(text) > LONG:
        return None
    for first, second in islice(cuts(whole.stretch, text), MOST_CUTS):
        words = [t.text for t in second.tokens[:3]]
        if not TAGS.turns_back & set(words) or first.tokens[0].text in TAGS.only_if:
            continue
        note = readers.note(first.text)
        had = bool(TAGS.eating & {t.text for t in first.tokens})
        told = [e for e in note.entries if not isinstance(e, Meal) or had or any(i.stated for i in e.items)]
        if told and len(told) == len(note.entries) and not note.left_out and not note.asks:
            head = _cheapest(first, text, readers, before)
            return head if head.role == "note" else None
    return None


def _is_mixed(whole: Read, readers: Readers) -> bool:
    """Tell whether words taken for a setting note something too, or a note leaves a setting out."""
    note = readers.note(whole.stretch.text)
    if whole.role == "told":
        return bool(note.entries)
    unused = bool(note.left_out) or any(isinstance(e, Meal) and not _is_known(e) for e in note.entries)
    return whole.role == "note" and unused and readers.told(whole.stretch.text) is not None


def _tells_and_more(head: Read, tail: Read, readers: Readers) -> bool:
    """Tell whether one of two stretches tells something of oneself and the other surely is for the diary."""
    other = tail if head.role == "told" else head
    entries = readers.note(other.stretch.text).entries if other.role == "note" else ()
    eaten = bool(entries) and all(_is_known(entry) for entry in entries)
    most = SURE_MEAL if eaten else SURE_BESIDE
    return "told" in (head.role, tail.role) and other.role in ("note", "edit") and other.cost < most


def _is_known(entry: Entry) -> bool:
    return isinstance(entry, Meal) and all(item.food is not None for item in entry.items)


def _could_change(stretch: Stretch, readers: Readers) -> bool:
    found = readers.edits(stretch.text, COULD_CHANGE)
    return found is not None and found.cost < COULD_CHANGE


def _cheapest(stretch: Stretch, text: str, readers: Readers, before: Read | None = None) -> Read:
    """Return the cheapest reading of a stretch; before: what stands in front of it is taken for."""
    asked, told = readers.asked(stretch.request or stretch.text), readers.told(stretch.text)
    if stretch.has_words and all(t.kind in ("number", "mark") for t in stretch.tokens):
        asked = None  # "6.4??"
    if not stretch.has_words:
        return Read(stretch, "note", 0.0) if asked is None else Read(stretch, "question", asked.cost, asked)
    odds = readers.log_odds("change", stretch.text) * costs()["learned"]["weight"]
    as_note = readers.note(stretch.text)
    value = any(isinstance(e, Reading) for e in as_note.entries) and set(stretch.text) & set(".,")
    if value and not any(c.isalpha() for c in stretch.text):
        odds = min(odds, 0.0)  # "5.4", two hours after a meal
    amends = bool(readers.context.noted) and _amends(stretch)
    if amends:
        odds = max(odds, costs()["learned"]["amending"])
    sense = _sense(stretch, text, readers, before)
    back = equates(stretch, readers) or points_back(stretch, readers)
    if back:
        sense = replace(sense, odd=sense.odd + costs()["note"]["back"])
    if is_addition(stretch, readers):
        sense = replace(sense, odd=sense.odd + costs()["note"]["adding"])
    if stretch.asked or (asked is not None and question_of(asked).against):
        sense = replace(sense, whole=False, apart=False)  # "rice and beans?", "banana vs apple"
    tells = asked is not None and not stretch.asked and question_of(asked).about not in ASKED_FOR
    if tells and _heads_foods(stretch, text, readers):
        asked = None
    kinds = costs_of_kinds(sense, readers.log_odds("other", stretch.text), asked, told)
    odd, changes = min(sense.odd, costs()["note"]["most"]), max(odds, 0.0)
    # What cannot be noted as it is ("1e9 g rice") is asked about, whatever it is taken for.
    asks = () if as_note.entries else as_note.asks
    nothing = Candidate(left_out=(" ".join(stretch.text.split()),), asks=asks)
    found: dict[Role, Candidate | None] = {"note": None, "talk": nothing, "question": asked, "told": told}
    # Words that sound like a change may as well be one of the settings.
    reads = [
        Read(stretch, kind, odd + kinds[kind] + changes * (kind != "told"), found[kind])
        for kind in found
        if kind in kinds
    ]
    short = len(stretch.text) <= MOST_CHARS_EDITED and len(text) <= LONG
    if short and not stretch.asked:
        beside = costs()["edit"]["base"] + max(-odds, 0.0) + cost_of_neither(kinds)
        # Where nothing is noted yet, only the message before can be meant.
        if not readers.context.noted:
            own = bool(as_note.entries) and not _amends(stretch)
            part, rules = len(stretch.text) < len(text.strip()), costs()["edit"]
            beside += rules["beside"] if part else rules["instead"] * own
        # What cannot come close is not looked for, on a long diary, unless it may have to be asked about.
        rules = costs()["doubt"]
        near = min(read.cost for read in reads) + rules["close"] - beside
        edit = readers.edits(stretch.text, inf if odds > min(rules["odds"], rules["sure"]) else near)
        if edit is not None:
            reads.append(Read(stretch, "edit", edit.cost + beside, edit))
    reads.sort(key=lambda read: read.cost)
    timed = bool(as_note.entries) and is_timed(stretch, readers)
    return with_doubt(reads, odds, sense.odd, timed=timed, back=back, amends=amends, new=as_note.entries)


def _heads_foods(stretch: Stretch, text: str, readers: Readers) -> bool:
    """Tell whether known foods alone stand behind a colon: "first proper meal of the day: fry up"."""
    colon = next((k for k, t in enumerate(stretch.tokens) if t.text == ":"), None)
    if colon is None or colon + 1 == len(stretch.tokens):
        return False
    behind = stretch_of(stretch.tokens[colon + 1 :], text)
    return sense_of(readers.note(behind.text), readers.context).whole


def _sense(stretch: Stretch, text: str, readers: Readers, before: Read | None) -> Sense:
    """Return what sense a stretch makes as something new, by itself or behind the note before it."""
    context = readers.context
    alone = sense_of(readers.note(stretch.text), context)
    leans = alone.odd > ODD and len(stretch.text) <= MOST_CHARS_LEANING
    if not leans or before is None or before.role != "note":
        return alone
    both = join([before.stretch, stretch], text)
    if len(both) > MOST_CHARS_JOINED or not before.stretch.has_words:
        return alone
    first = sense_of(readers.note(before.stretch.text), context)
    behind = sense_of(readers.note(both), context).beside(first)
    return behind if behind.odd < alone.odd else alone


def _amends(stretch: Stretch) -> bool:
    """Tell whether words open like a correction and hardly anything else: "correction: ..."."""
    words = [t.text for t in stretch.tokens if t.kind != "mark"]
    if "*" in (stretch.text.strip()[-1:], stretch.text.strip()[:1]):  # "pear*"
        return True
    if [t.text for t in stretch.tokens[:2]] == ["no", ","]:
        return True
    return any(" ".join(words[:n]) in amending() for n in (1, 2, 3, 4))


def _put_together(reads: Sequence[Read], text: str, readers: Readers) -> Understood:
    """Return what the chosen readings say, notes in a row read as one."""
    whole = Understood()
    k = 0
    while k < len(reads):
        read = reads[k]
        if read.doubt and readers.context.noted:
            asked = ask_which(read, readers)
            if asked is not None and whole.choice is not None:
                asked = Candidate(left_out=(" ".join(read.stretch.text.split()),))  # one question at a time
            if asked is not None:
                whole = _with(whole, asked)
                k += 1
                continue
        if read.role != "note":
            assert read.candidate is not None
            tells_too = read.role == "question" and _OF_ONESELF.match(read.stretch.text)
            told = _of_health(read.stretch.text, readers) if tells_too else ()
            whole = _with(whole, replace(read.candidate, told=read.candidate.told + told))
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


def _of_health(note: str, readers: Readers) -> tuple[Fact, ...]:
    """Return what a note says of medicines and the like: that counts even beside food."""
    told = readers.told(note)
    facts = () if told is None else told.told
    return tuple(f for f in facts if isinstance(f, Fact) and f.what in OF_HEALTH)


def _with(whole: Understood, part: Candidate) -> Understood:
    entries: list[Entry] = list(whole.entries)
    for entry in part.entries if part.finish is None else part.finish():
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
