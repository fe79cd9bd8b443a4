"""Answers to “compare …”: the servings of two kinds against each other."""

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from bot.answers.days import end_of
from bot.answers.sides import Side, find_sides, is_of, spell_side
from bot.model.entries import Meal, Question
from bot.model.messages import Outgoing, PictureSpec
from bot.store import Logged, Person, Transaction

if TYPE_CHECKING:  # loading numpy can wait for the first comparison
    from analysis.results import Serving

Pair = tuple[Side, Side]
Groups = tuple[tuple["Serving", ...], tuple["Serving", ...]]


def answer_compare(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing | None:
    """Compare what a question names; None when it names no two sides and does not ask to compare."""
    from bot.frames.servings import occasions_between
    from bot.reply.results_compare import ONE_SIDE, not_found

    sides = find_sides(question.said)
    if not sides:
        return Outgoing(person.id, ONE_SIDE) if "compar" in question.said.lower() else None
    until = end_of(question, now)
    first = next(iter(tx.log.between(person.id, ("meal",), question.since, until)), None)
    found = [] if first is None else occasions_between(tx, person, question.since or first.at, until)
    noted = [meal.entry for _, meal in found if isinstance(meal.entry, Meal)]
    pairs = [(spell_side(a, noted), spell_side(b, noted)) for a, b in sides]
    for pair in pairs:
        groups = _part(pair, found)
        if all(groups):
            return _compare(person, pair, groups, until)
    pair, groups = pairs[0], _part(pairs[0], found)
    return (
        _compare(person, pair, groups, until)
        if any(groups)
        else Outgoing(person.id, not_found(_labels(pair)))
    )


def _part(pair: Pair, occasions: "Sequence[tuple[Serving, Logged]]") -> Groups:
    """Return the servings of each side; what is of both (porridge and toast on one plate) is of neither."""
    groups: tuple[list[Serving], list[Serving]] = ([], [])
    for serving, logged in occasions:
        assert isinstance(logged.entry, Meal)
        of = [is_of(side, logged.entry, serving.activities) for side in pair]
        if sum(of) == 1:
            groups[of.index(True)].append(serving)
    return tuple(groups[0]), tuple(groups[1])


def _compare(person: Person, pair: Pair, groups: Groups, until: datetime) -> Outgoing:
    from analysis.contrast import NEED_EACH, contrast
    from analysis.evenness import NOISE_POINTS
    from bot.reply.results_compare import compared, too_few

    labels = _labels(pair)
    scored = [[s for s in group if s.evenness is not None] for group in groups]
    if min(map(len, scored)) < NEED_EACH:
        return Outgoing(person.id, too_few(labels, groups))
    scores = [[s.evenness.score for s in group if s.evenness is not None] for group in scored]
    areas = [[s.curve.area_2h for s in group if s.curve is not None] for group in scored]
    text = compared(
        labels,
        contrast(scores[0], scores[1], least_sd=NOISE_POINTS),
        contrast(areas[0], areas[1]),
        kinds=(len({s.key for s in scored[0]}), len({s.key for s in scored[1]})),
        unit=person.unit,
        unscored=sum(map(len, groups)) - sum(map(len, scored)),
    )
    ids = tuple(
        (label, tuple(s.entry_id for s in group)) for label, group in zip(labels, scored, strict=True)
    )
    name = f"compare-to-{until.astimezone(person.zone):%Y-%m-%d-%H%M}"
    return Outgoing(person.id, text, picture=PictureSpec("compare", name, groups=ids))


def _labels(pair: Pair) -> tuple[str, str]:
    return pair[0].label, pair[1].label
