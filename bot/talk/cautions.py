"""Cautions: said where they bear on what was said, each once a week at most unless it got worse."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from math import inf

from analysis.errors import InsufficientData
from bot.answers.day_list import day_around
from bot.language.texts import say
from bot.model.entries import Concern, ConcernKind, Correction, Fact, Meal, Question, Understood
from bot.model.messages import Button, Outgoing
from bot.reply import cautions as words
from bot.store import Change, Person, Transaction
from bot.talk.heard import Heard

SCORES = "scores"
HIDE_SCORES = Button("Hide scores", f"{SCORES}:hide")
TINY_G = 10.0
MANY_TINY = 6
"""So many changes of an amount by less than ten grams in a day are many."""
LOOK_BACK = timedelta(days=14)
REPEATED = 2
_OF_FACTS: dict[tuple[str, str], Concern] = {
    ("medicine", ""): Concern("medicine"),
    ("pregnancy", ""): Concern("pregnancy"),
    ("eating disorder", ""): Concern("eating", 3),
    ("health", "breastfeeding"): Concern("breastfeeding"),
}
_MOST_CHANGES = 40


def say_due(tx: Transaction, person: Person, concerns: Iterable[Concern], now: datetime) -> list[str]:
    """Return the cautions that are to be said now, and keep that they were."""
    gravest: dict[ConcernKind, Concern] = {}
    for concern in concerns:
        if concern.kind not in gravest or gravest[concern.kind].level < concern.level:
            gravest[concern.kind] = concern
    said = []
    for concern in gravest.values():
        if tx.cautions.is_due(person.id, concern, now):
            tx.cautions.say(person.id, concern, now)
            said.append(words.word_caution(concern, person.unit))
    return said


def concerns_in(heard: Heard, understood: Understood) -> list[Concern]:
    """Return what the words of a message call for; of values, the notes themselves say it."""
    facts = [told for told in understood.told if isinstance(told, Fact)]
    of_facts = [_OF_FACTS.get((f.what, "")) or _OF_FACTS.get((f.what, f.value)) for f in facts]
    found = [*understood.concerns, *(concern for concern in of_facts if concern is not None)]
    if any(isinstance(e, Correction) for e in understood.entries):
        found += concerns_of_changes(heard)
    if any(isinstance(e, Question) and e.about == "fasting" for e in understood.entries):
        found += concerns_of_fasting(heard.tx, heard.person, heard.incoming.sent_at)
    return found


def with_cautions(heard: Heard, replies: Sequence[Outgoing], concerns: Sequence[Concern]) -> list[Outgoing]:
    """Return the replies with the cautions that are due: at the end of the first, or alone where none is."""
    eating = any(concern.kind == "eating" for concern in concerns)
    said = say_due(heard.tx, heard.person, concerns, heard.incoming.sent_at)
    if not said and replies:
        return list(replies)
    first, *rest = replies or [Outgoing(heard.person.id, "")]
    if not said and not first.text:
        said = [say(words.NOTHING_NOTED if eating else words.NO_DOSES)] if concerns else []
    text = "\n".join([*([first.text] if first.text else []), *said])
    hides = heard.person.scores and any(say(text) in said for text in (words.KIND, words.EATING))
    buttons = (*first.buttons, HIDE_SCORES) if hides else first.buttons
    return [replace(first, text=text, buttons=buttons), *rest]


def concerns_of_fasting(
    tx: Transaction, person: Person, now: datetime, highest: float = inf
) -> list[Concern]:
    """Return the concern that repeated high levels before breakfast are; none where they are not.

    `highest` (mmol/L) is that of the values that only just came: none below the line can have brought it, and
    the mornings of two weeks take longer to find than all the rest of a turn.
    """
    if highest < words.FASTING_MMOL:
        return []
    since = now - LOOK_BACK
    if not any(r.mmol >= words.FASTING_MMOL for r in tx.readings.between(person.id, since, now)):
        return []
    from bot.frames.days import fasting_between

    try:
        mornings = fasting_between(tx, person, since, now).values
    except InsufficientData:
        return []
    high = [morning for morning in mornings if morning.mmol >= words.FASTING_MMOL]
    return [Concern("fasting")] if len(high) >= REPEATED else []


def concerns_of_changes(heard: Heard) -> list[Concern]:
    """Return the concern that many changes of tiny amounts within a day are."""
    since, _ = day_around(heard.incoming.sent_at, heard.person)
    changes = heard.tx.log.last_changes(heard.person.id, _MOST_CHANGES)
    tiny = [change for change in changes if change.at >= since and _is_tiny(change)]
    return [Concern("eating")] if len(tiny) >= MANY_TINY else []


def _is_tiny(change: Change) -> bool:
    """Tell whether a change is of amounts only, each by a few grams."""
    if not (isinstance(change.before, Meal) and isinstance(change.after, Meal)):
        return False
    before, after = change.before.items, change.after.items
    if [item.name for item in before] != [item.name for item in after]:
        return False
    steps = [abs(a.grams - b.grams) for a, b in zip(before, after, strict=True) if a.grams != b.grams]
    return bool(steps) and max(steps) < TINY_G
