"""When it is not sure whether words change something or are new: it asks, before anything is kept."""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from bot.model.entries import Activity, Choice, Correction, Entry, Meal, Stored
from bot.model.naming import join as join_names
from bot.understanding.candidates import Candidate
from bot.understanding.context import Context
from bot.understanding.corrections.entry_names import name_entry
from bot.understanding.corrections.oddness import AT_ONCE
from bot.understanding.corrections.parting import may_be_parts
from bot.understanding.search.readers import Readers
from bot.understanding.search.reads import Read
from bot.understanding.search.stretches import Stretch
from bot.understanding.search.weighing import costs

RECENT = timedelta(hours=18)
_MADE_WITH = re.compile("o?,?R?bt[FKA]")
"""What it "was with"."""
_EQUATES = re.compile("P[TS]?(?:b[FKAuy]|e[FK]|R?b?s)|^o?,?Fb[uy]|^o?[TS]?,?d[PK]|^s[PK]")
_MOVED = re.compile("o?[TS]*M[TS]*b")
"""A food of a plate that "was" another one, or so much, or such; a movement that "was" anything."""
_POINTS_BACK = re.compile(
    r"\W*(?:(?:no|oh|and|but|so|sorry|also|wait|actually|only|just|i|we)\W+)*"
    r"(?:(?:please )?(?:delete|remove|cancel|scrap|erase|undo|take (?:out|off)) (?:the|my|that|this|last)\b"
    r"|more like\b"
    r"|(?:made|had|cooked) (?:it|that|this)\b[^,:]*:|ingredients\b"
    r"|(?:the |that |this )?(?:first|second|third|other|last|latter|earlier|previous|morning|lunch|dinner"
    r"|breakfast|evening|sleep|walk) one\b"
    r"|(?:half|most|some|part|all|none|any|a \w+|one|two|three|\d+) of "
    r"(?:that|it|them|those|these|this|which)\b"
    r"|(?:left|leaving|couldn['\u2019]?t (?:eat|finish)|didn['\u2019]?t (?:eat|finish)) "
    r"(?:most|some|half|all|part|the rest|a bit|a few)\b)"
)
_ONE = re.compile(r"\W*(?:an? |the |it was )?(?:[a-z]+[ -]){1,3}one\W*")
"""Of which kind what was just noted was: "veggie one"."""
_BESIDE = re.compile(
    r"\W*(?:(?:that|it) was )?(?:right |just |shortly )?(?:after|before) (?:an? |the |my )?\w+\W*"
)
"""When what was just noted was: "after a walk"."""
FRESH = timedelta(minutes=20)
SAME_SITTING = timedelta(hours=4)
"""A meal that is only named is the one of that name that is noted so near."""
MOST_SAID_BACK = 60
ODDEST = 1.0
"""What is odder as something new is none, by an hour alone."""
APART = timedelta(minutes=45)
"""What was eaten so long before or after a meal is no part of it."""


def with_doubt(
    reads: Sequence[Read],
    odds: float,
    odd_note: float,
    *,
    timed: bool,
    back: bool = False,
    amends: bool = False,
    new: Sequence[Entry] = (),
) -> Read:
    """Return the cheapest reading, in doubt where a note may as well be a change.

    odds: the learned log-odds that words change something; odd_note: how odd they are as something new
    timed: a time of their own is said, which speaks for something new; new: what would be noted
    back: they point at what was noted; amends: they open as a correction does
    """
    note = next((r for r in reads if r.role == "note"), None)
    if note is not None and odd_note <= ODDEST and _is_elsewhen(new, reads):
        return note
    best, rules = reads[0], costs()["doubt"]
    change = next((r.candidate for r in reads if r.role == "edit"), None)
    # More on a plate or a meal of its own at that hour: the record is nearly the same.
    adds = best.role == "edit" and _only_adds(change)
    close = len(reads) > 1 and reads[1].cost - best.cost < rules["close_adding" if adds else "close"]
    both = {r.role for r in reads[:2]} == {"note", "edit"}
    unlike = best.role == "note" and odds > rules["odds"] and odd_note > 0
    unlike = unlike or (best.role in ("note", "talk") and odds >= rules["sure"])
    unlike = unlike and not (timed and odds < rules["timed"])
    unlike = unlike or (best.role == "note" and back)
    odd = best.role == "edit" and best.cost > rules["odd_edit"]
    settled = _only_adds(change) and (best.role == "edit" or odd_note == 0)
    # Nothing noted that it could change, and nothing odd as a note: to ask would offer one button.
    settled = settled or (change is None and best.role == "note" and odd_note == 0 and not amends)
    return replace(best, doubt=odd or (close and both) or (unlike and not settled), rival=change)


def _is_elsewhen(new: Sequence[Entry], reads: Sequence[Read]) -> bool:
    """Tell whether words only say what was had at another hour than all that they may put something on."""
    change = next((r.candidate for r in reads if r.role == "edit"), None)
    if not new or not (change is None or _only_adds(change)) or reads[0].role not in ("note", "edit", "talk"):
        return False
    changes = () if change is None else change.entries
    on = [e.after.at for e in changes if isinstance(e, Correction) and isinstance(e.after, Meal)]
    return all(
        isinstance(e, Meal) and e.timed == "stated" and e.at is not None and _is_apart(e.at, on) for e in new
    )


def _is_apart(at: datetime, others: Sequence[datetime | None]) -> bool:
    return all(other is not None and abs(at - other) > APART for other in others)


def _only_adds(change: Candidate | None) -> bool:
    """Tell whether a change only puts more on a plate: as something new it would note the same foods."""
    return change is not None and all(isinstance(e, Correction) and e.what == "add" for e in change.entries)


def is_addition(stretch: Stretch, readers: Readers) -> bool:
    """Tell whether words are like more of a meal that is noted: "and an egg", "at 8:30 there was tea too"."""
    last = readers.context.noted[-1] if readers.context.noted else None
    if any(e.tag in "ax" for e in readers.elements(stretch.text)) and _is_beside_noted(stretch, readers):
        return True
    if last is None or not isinstance(last.entry, Meal):
        return False
    elements = readers.elements(stretch.text)
    at_an_end = bool(elements) and (elements[0].tag == "a" or elements[-1].tag == "x")
    opens = at_an_end and not _has_hour(stretch, readers)
    points = any(e.tag == "x" and set(e.said.lower().split()) & {"it", "that"} for e in elements)
    return (opens or points) and readers.context.now - last.touched_at < (2 * APART if points else APART)


def _is_beside_noted(stretch: Stretch, readers: Readers) -> bool:
    """Tell whether all that words note would stand beside a meal of that hour or name that is noted."""
    meals = [n.entry for n in readers.context.noted if isinstance(n.entry, Meal)]
    new = readers.note(stretch.text).entries
    return bool(new) and all(
        isinstance(e, Meal) and e.timed != "now" and any(_is_one_meal(e, meal) for meal in meals) for e in new
    )


def _is_one_meal(new: Meal, noted: Meal) -> bool:
    if new.at is None or noted.at is None:
        return False
    apart = abs(new.at - noted.at)
    named = new.timed != "stated" and new.slot == noted.slot and new.slot not in ("snack", "drink")
    return apart <= AT_ONCE or (named and apart < SAME_SITTING)


def _has_hour(stretch: Stretch, readers: Readers) -> bool:
    entries = readers.note(stretch.text).entries
    return bool(entries) and all(getattr(entry, "timed", "now") == "stated" for entry in entries)


def points_back(stretch: Stretch, readers: Readers) -> bool:
    """Tell whether words begin with what can only be something noted: "half of that", "the first one"."""
    noted, said = readers.context.noted, stretch.text.lower()
    fresh = bool(noted) and readers.context.now - noted[-1].touched_at <= FRESH
    found = _POINTS_BACK.match(said) or ((_ONE.fullmatch(said) or _BESIDE.fullmatch(said)) if fresh else None)
    return bool(noted) and (found is not None or _is_told_anew(stretch, readers))


def _is_told_anew(stretch: Stretch, readers: Readers) -> bool:
    """Tell whether words say what a meal was that is noted already, or what it consisted of."""
    context, elements = readers.context, readers.elements(stretch.text)
    meals = [e for e in readers.note(stretch.text).entries if isinstance(e, Meal)]
    last = context.noted[-1]
    if len(meals) != 1 or not elements or elements[0].tag in "am":
        return False
    if elements[0].tag == "S" and elements[0].said.lower().endswith((" was", " were")):
        today = context.local_now.date()
        same = [n.entry for n in context.noted if isinstance(n.entry, Meal) and n.entry.slot == meals[0].slot]
        return any(e.at is not None and e.at.astimezone(context.zone).date() == today for e in same)
    soon = context.now - last.touched_at <= AT_ONCE and meals[0].timed == "now"
    return soon and isinstance(last.entry, Meal) and may_be_parts(meals[0].items, last.entry, context)


def equates(stretch: Stretch, readers: Readers) -> bool:
    """Tell whether words say what something noted was: as something new it would stand there twice."""
    context, elements = readers.context, readers.elements(stretch.text)
    tags = "".join(e.tag for e in elements)
    recent = {n.id for n in context.noted if context.now - n.touched_at < RECENT}
    if any(e.tag == "P" and not recent & {entry_id for entry_id, _ in e.on} for e in elements):
        return False
    moved = any(isinstance(n.entry, Activity) for n in readers.context.noted)
    return (
        _EQUATES.search(tags) is not None
        or _MADE_WITH.match(tags) is not None
        or (moved and _MOVED.match(tags) is not None)
    )


def is_timed(stretch: Stretch, readers: Readers) -> bool:
    """Tell whether all that words note has a time or meal of its own."""
    entries = readers.note(stretch.text).entries
    return all(getattr(entry, "timed", "stated") != "now" for entry in entries)


def with_hanging(reads: list[Read], readers: Readers) -> list[Read]:
    """Put in doubt what hangs on another sentence.

    Beside a change, what has no time of its own may belong to it ("Strike the feta. Goat cheese."); beside a
    sentence that is in doubt, nobody knows what "it" means.
    """
    if readers.context.noted and any(read.role == "edit" for read in reads):
        reads = [
            replace(r, doubt=True) if r.role == "note" and not is_timed(r.stretch, readers) else r
            for r in reads
        ]
    if len(reads) < 2 or not any(read.doubt for read in reads):
        return reads
    least = costs()["doubt"]["hanging"]
    rivals = [_naming_last(r, readers.context) if r.role == "edit" else None for r in reads]
    return [
        replace(r, doubt=True, rival=rival)
        if rival is not None and (r.cost > least or rival != r.candidate)
        else r
        for r, rival in zip(reads, rivals, strict=True)
    ]


def _naming_last(read: Read, context: Context) -> Candidate | None:
    """Name the newest entry where words take back one unnamed: "I took the plum home, so leave it out"."""
    if read.candidate is None or not context.noted:
        return read.candidate
    last = context.noted[-1].id
    entries = tuple(
        replace(e, target=last) if isinstance(e, Correction) and e.what == "undo" and e.target is None else e
        for e in read.candidate.entries
    )
    return replace(read.candidate, entries=entries)


def ask_which(read: Read, readers: Readers) -> Candidate | None:
    """Ask whether words are a change or something new; None where there is nothing to choose from."""
    options: list[tuple[str, Correction]] = []
    changes = [] if read.rival is None else _one_each(read.rival.entries)
    if changes:
        names = dict.fromkeys(name_entry(change, readers.context) for change in changes)
        options.append((f"change {join_names(list(names))}", _together(changes)))
    note = readers.note(read.stretch.text)
    new = [e for e in note.entries if isinstance(e, Stored) and _has_time(e)]
    if new and len(new) == len(note.entries):
        notes = [Correction("note", said=read.stretch.text, after=entry) for entry in new]
        options.append(("something new", _together(notes)))
    if read.rival is not None and read.rival.choice is not None:
        choice = read.rival.choice
        text = f"{choice.text.removesuffix('?')}, or something new?" if options else choice.text
        return Candidate(choice=Choice(text, (*choice.options, *options)))
    if not options:
        return None
    said = " ".join(read.stretch.text.split())[:MOST_SAID_BACK]
    if read.rival is not None and read.rival.asks and not changes:
        return Candidate(choice=Choice(f"{read.rival.asks[0]} Is “{said}” something new?", tuple(options)))
    which = f"a change of {options[0][0].removeprefix('change ')}" if len(options) == 2 else options[0][0]
    text = (
        f"Is “{said}” {which}, or something new?"
        if len(options) == 2
        else f"I am not sure about “{said}”: {which}?"
    )
    return Candidate(choice=Choice(text, tuple(options)))


def _one_each(entries: Sequence[Entry]) -> list[Correction]:
    """Return the last change of each entry: it carries those before it."""
    found: dict[int, Correction] = {}
    for entry in entries:
        if isinstance(entry, Correction) and entry.target is not None:
            found[entry.target] = entry
    return list(found.values())


def _together(corrections: Sequence[Correction]) -> Correction:
    first, *others = corrections
    return replace(first, also=tuple(others))


def _has_time(entry: Stored) -> bool:
    """Tell whether something new can be noted without a further question."""
    return any(getattr(entry, name, None) is not None for name in ("at", "from_at", "to_at"))
