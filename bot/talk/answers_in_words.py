"""Words that answer a question with buttons: they do what the button would."""

import re
from collections.abc import Sequence
from dataclasses import replace

from bot.model.entries import Correction, Understood
from bot.model.messages import Outgoing
from bot.store import Asked, Pending
from bot.talk.another_entry import OTHER
from bot.talk.changing import OPEN_BUTTONS, WHICH
from bot.talk.heard import Heard
from bot.talk.offering import OFFER, REFUSED
from bot.talk.quick_fixes import apply_answer
from bot.understanding.corrections.portions import ASKED

NOTHING_STORED = "Nothing was noted or changed from those words, so there is nothing to take back."
LEFT = "Then I note and change nothing."
_SAY_NOTHING = frozenset(
    [
        "it",
        "was",
        "were",
        "is",
        "its",
        "the",
        "a",
        "an",
        "one",
        "ones",
        "that",
        "those",
        "they",
        "this",
        "these",
        "please",
        "i",
        "mean",
        "meant",
        "sorry",
        "for",
        "of",
        "to",
        "my",
        "at",
        "just",
        "in",
        "weighed",
        "definitely",
        "them",
    ]
)
_NEITHER = frozenset(["no", "nope", "neither", "none", "nothing"])
_YES = frozenset(["yes", "yeah", "yep", "yup", "sure", "right", "correct", "ok", "okay"])
_MEANS = dict.fromkeys(["separate", "another", "different", "extra", "additional"], "new")
_MEANS |= dict.fromkeys(["edit", "changed", "correction", "update", "same"], "change")
_PLACES = {"first": 0, "former": 0, "second": 1, "latter": 1, "third": 2, "fourth": 3}
_PLACES |= {"1st": 0, "2nd": 1, "3rd": 2, "4th": 3}
_EARLIER = frozenset(["earlier", "earliest", "older", "oldest", "old"])
_LATER = frozenset(["later", "latest", "last", "newer", "newest", "new", "recent"])
"""Which of two entries is meant, where each answer is of another one: they are offered in order of time."""


def answer_in_words(heard: Heard, pending: Pending) -> Outgoing | None:
    """Answer as the button would that the words name, None where they name none, or several."""
    asked = _open_question(heard, pending)
    if asked is None:
        return None
    words = set(_words(heard.incoming.text))
    if asked.about.startswith(WHICH) and words and words <= _NEITHER | _SAY_NOTHING and words & _NEITHER:
        return Outgoing(heard.person.id, LEFT)
    place = _chosen(words, asked.choices)
    target = heard.tx.log.get(asked.entry_id)
    if place is None or target is None:
        return None
    return replace(apply_answer(heard, asked, target, place), replaces=None)


def takes_back_nothing(heard: Heard, pending: Pending | None, understood: Understood) -> bool:
    """Tell whether words take back what was said last, of which nothing was stored but only asked."""
    asked = None if pending is None else _open_question(heard, pending)
    if asked is None or not asked.about.startswith(WHICH):
        return False
    undone = [e for e in understood.entries if isinstance(e, Correction) and e.what == "undo"]
    update_id, person = asked.about.removeprefix(WHICH), heard.person.id
    log, note = heard.tx.log, heard.tx.log.last_logged(person)
    done = [one.update_id for one in log.last_changes(person)] + ([] if note is None else [note.update_id])
    stored_nothing = not any(one == update_id or heard.tx.inbox.came_after(one, update_id) for one in done)
    return len(undone) == len(understood.entries) == 1 and undone[0].target is None and stored_nothing


def _open_question(heard: Heard, pending: Pending) -> Asked | None:
    """Return the question whose buttons were offered last, if that is what is open."""
    if pending.about not in (OPEN_BUTTONS, "time") and not pending.about.startswith(ASKED):
        return None
    waiting_for_a_button = (OTHER, OFFER, REFUSED)
    asked = heard.tx.asked.latest(heard.person.id, apart_from=waiting_for_a_button)
    if asked is None or asked.answer is not None:
        return None
    return asked if pending.entry_id in (None, asked.entry_id) else None


def _chosen(words: set[str], choices: Sequence[tuple[str, Correction]]) -> int | None:
    """Return which answer words name: by its label, by its place, or with yes where there is only one."""
    said = {word for _, change in choices for word in _words(change.said)}
    labels = [set(_words(label)) for label, _ in choices]
    named = {_MEANS.get(word, word) for word in words - _SAY_NOTHING}
    telling = named & set().union(*labels)
    if telling and named - said <= telling:
        fitting = [k for k, label in enumerate(labels) if telling <= label]
        return fitting[0] if len(fitting) == 1 else None
    if len(named) == 1 and (place := _PLACES.get(next(iter(named)), len(choices))) < len(choices):
        return place
    if named and (named <= _EARLIER or named <= _LATER) and _are_entries(choices):
        return 0 if named <= _EARLIER else len(choices) - 1
    return 0 if len(choices) == 1 and named and named <= _YES else None


def _are_entries(choices: Sequence[tuple[str, Correction]]) -> bool:
    """Tell whether the answers differ in which entry is changed."""
    targets = {change.target for _, change in choices}
    return None not in targets and len(targets) == len(choices) > 1


def _words(text: str) -> list[str]:
    """Return the words of a text, clock times as one each, without a leading zero."""
    found = re.findall(r"[^\W\d_]+|\d+(?:st|nd|rd|th)\b|\d+(?:[:.]\d+)?", text.lower())
    return [word.replace(".", ":").lstrip("0") or "0" for word in found]
