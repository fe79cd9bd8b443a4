"""What a clause may be, weighed: each reader proposes an entry, food is one more, the cheapest wins."""

from collections.abc import Iterator
from dataclasses import dataclass

from bot.foodtable import FoodTable
from bot.understanding.context import Context
from bot.understanding.foods.said import EATING
from bot.understanding.notes.so_far import SoFar
from bot.understanding.pieces.drafts import Draft, bare_span, moment_of
from bot.understanding.pieces.pieces import Amount, Clause, Moment, Piece
from bot.understanding.states import activities, feelings, readings, sleep_and_sensor
from bot.understanding.states.activities import read_activity
from bot.understanding.states.feelings import read_feeling
from bot.understanding.states.readings import read_reading
from bot.understanding.states.sleep_and_sensor import (
    LAST_HOUR,
    hours_in,
    read_sensor,
    read_sleep,
    read_sync,
    works_now,
)
from bot.understanding.words.costs import cost_of
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.movements import MOVEMENT_WORDS
from bot.understanding.words.plain_words import is_plain

_CUES = {
    "activity": activities.CUES | MOVEMENT_WORDS,
    "reading": readings.CUES,
    "feeling": feelings.CUES,
    "sleep": sleep_and_sensor.CUES,
    "sync": sleep_and_sensor.CUES,
    "sensor": sleep_and_sensor.CUES,
}
_ANY_CUE = frozenset().union(*_CUES.values())
_SAYS_NOTHING = TAGS.filler | TAGS.glue | TAGS.eating | TAGS.serving | TAGS.article | TAGS.describing
_MOST_MINUTES = 240


@dataclass(frozen=True, slots=True)
class Proposal:
    """What a clause may be: an entry of another kind than food, or None for food; and what that costs."""

    draft: Draft | None
    cost: float


def choose(clause: Clause, so_far: SoFar, context: Context) -> Draft | None:
    """Return what a clause most likely is, None where that is food or nothing."""
    proposals = [Proposal(d, _cost(d, clause, so_far, context)) for d in _drafts(clause, so_far, context)]
    if not proposals:
        return None
    proposals.append(Proposal(None, _cost_of_food(clause, context.table)))
    return min(proposals, key=lambda proposal: proposal.cost).draft


def _drafts(clause: Clause, so_far: SoFar, context: Context) -> Iterator[Draft]:
    after_food = so_far.last_food is not None
    last = so_far.last_draft
    found = (
        works_now(clause, last),
        read_sync(clause, so_far.names_sensor),
        _read_bare_night(clause, last),
        _read_same_again(clause, last),
        read_reading(clause, after_food, context.table, context.unit),
        read_sensor(clause, last, so_far.names_sensor),
        read_sleep(clause),
        read_feeling(clause),
        read_activity(clause),
    )
    yield from (draft for draft in found if draft is not None)


def _cost(draft: Draft, clause: Clause, so_far: SoFar, context: Context) -> float:
    """Return what it costs to take a clause for an entry of another kind than food."""
    cues = _CUES[draft.kind]
    said = clause.words
    if draft.kind == "reading":
        behind = readings.words_behind_side(clause)
        said = [word for word in _without_when(said) if word not in behind]
    words = (_words_of_food(clause, context.table) & set(said)) - cues
    others = [w for w in said if w not in cues and w not in _SAYS_NOTHING and w not in words]
    cost = cost_of("word", "food") * len(words)
    cost += sum(cost_of("word", "plain" if is_plain(word) else "unknown") for word in others)
    if draft.kind == "reading" and _is_bare_value(draft, clause):
        cost += cost_of("clause", "bare_value")
    if draft.kind == "activity" and not clause.words:
        cost += cost_of("clause", "same_again")
    return cost


def _without_when(words: list[str]) -> list[str]:
    """Leave out what a value was taken before or after: "7.4 half an hour after a beer"."""
    return words[: next((k for k, word in enumerate(words) if word in TAGS.sides_accounting), len(words))]


def _is_bare_value(draft: Draft, clause: Clause) -> bool:
    """Tell whether nothing but its place says that a number is glucose."""
    if draft.unit is not None or set(clause.words) & readings.NAMES or draft.value >= readings.LEAST_PEAK:
        return False
    return not any(isinstance(p, Amount) and p.decimal for p in clause.pieces)


def _cost_of_food(clause: Clause, table: FoodTable) -> float:
    """Return what it costs to take a clause for food."""
    eaten = _words_of_food(clause, table)
    words = [w for w in clause.words if w not in eaten and w not in _SAYS_NOTHING]
    cost = 0.0 if eaten else cost_of("clause", "nothing_eaten")
    cost += cost_of("clause", "eaten") if EATING & set(clause.words) and eaten else 0.0
    return cost + sum(
        cost_of("word", "cue" if word in _ANY_CUE else "plain" if is_plain(word) else "unknown")
        for word in words
    )


def _words_of_food(clause: Clause, table: FoodTable) -> set[str]:
    """Return the words of a clause that are in the names of foods."""
    words = clause.words
    found: set[str] = set()
    i = 0
    while i < len(words):
        known = 0 if words[i] in _SAYS_NOTHING else table.starts(words[i:])
        found.update(words[i : i + known])
        i += known or 1
    return found


def _read_bare_night(clause: Clause, last: Draft | None) -> Draft | None:
    """Read "23:50-06:40" by itself: only a night is told of like that; or any span behind "slept badly"."""
    only = clause.pieces[0]
    spans = [m for m in clause.moments if m.until is not None]
    night_told = last is not None and last.what in ("bad night", "good night")
    if night_told and all(isinstance(p, Moment) or is_plain(p) for p in _said(clause)):
        hours = hours_in(clause)
        span = spans[0] if len(spans) == 1 else bare_span(hours) if hours and not clause.moments else None
        if span is not None:
            return Draft("sleep", clause, "slept", moment=span)
    if len(clause.pieces) > 1 or not isinstance(only, Moment) or only.until is None or only.hour is None:
        return None
    surely = (only.padded or only.hour > LAST_HOUR) and only.until.padded and not only.until.half
    night = only.hour >= 21 or only.hour < 3
    return (
        Draft("sleep", clause, "slept", moment=only)
        if surely and night and 4 <= (only.until.hour or 0) <= 11
        else None
    )


def _said(clause: Clause) -> list[Moment | str]:
    return [*clause.moments, *clause.words]


def _read_same_again(clause: Clause, last: Draft | None) -> Draft | None:
    """Read "15 at 12" behind "walked 10 min at 8": the same movement, for so many minutes."""
    if last is None or last.kind != "activity" or last.minutes is None or set(clause.words) - {"another"}:
        return None
    bare = [p for p in clause.pieces if _is_count(p)]
    if len(bare) != 1 or not isinstance(bare[0], Amount) or not 0 < bare[0].value <= _MOST_MINUTES:
        return None
    moment = moment_of(clause)
    if moment is None or bare[0].decimal:
        return None
    return Draft("activity", clause, last.what, bare[0].value, last.effort, moment=moment)


def _is_count(piece: Piece) -> bool:
    return isinstance(piece, Amount) and (not piece.unit or piece.unit == "min") and not piece.article
