"""When it is not sure whether words change something or are new: it asks, before anything is kept."""

from collections.abc import Sequence
from dataclasses import replace

from bot.model.entries import Choice, Correction, Stored
from bot.understanding.candidates import Candidate
from bot.understanding.corrections.edits import name_entry
from bot.understanding.search.readers import Readers
from bot.understanding.search.reads import Read
from bot.understanding.search.stretches import Stretch
from bot.understanding.search.weighing import costs

MOST_SAID_BACK = 60


def with_doubt(reads: Sequence[Read], odds: float, odd_note: float, *, timed: bool) -> Read:
    """Return the cheapest reading, in doubt where a note may as well be a change.

    odds: the learned log-odds that words change something; odd_note: how odd they are as something new
    timed: a time of their own is said, which speaks for something new
    """
    best, rules = reads[0], costs()["doubt"]
    change = next((r.candidate for r in reads if r.role == "edit"), None)
    close = len(reads) > 1 and reads[1].cost - best.cost < rules["close"]
    both = {r.role for r in reads[:2]} == {"note", "edit"}
    unlike = best.role == "note" and odds > rules["odds"] and odd_note > 0
    unlike = unlike or (best.role in ("note", "talk") and odds >= rules["sure"])
    unlike = unlike and not (timed and odds < rules["timed"])
    odd = best.role == "edit" and best.cost > rules["odd_edit"]
    return replace(best, doubt=(close and both) or unlike or odd, rival=change)


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
    if not any(read.doubt for read in reads):
        return reads
    least = costs()["doubt"]["hanging"]
    return [
        replace(r, doubt=True, rival=r.candidate) if r.role == "edit" and r.cost > least else r for r in reads
    ]


def ask_which(read: Read, readers: Readers) -> Candidate | None:
    """Ask whether words are a change or something new; None where there is nothing to choose from."""
    if read.rival is not None and read.rival.choice is not None:
        return Candidate(choice=read.rival.choice)
    new = [e for e in readers.note(read.stretch.text).entries if isinstance(e, Stored)]
    changes = () if read.rival is None else read.rival.entries
    targets = {getattr(change, "target", None) for change in changes}
    # Of several changes of one entry, the last carries them all.
    change = changes[-1 if len(targets) == 1 else 0] if changes else None
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
