"""Answers to “compare …”: the servings of two kinds against each other."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

from bot.answers.days import end_of
from bot.answers.sides import Side, find_sides, is_of, spell_side
from bot.language.texts import say
from bot.model.entries import Meal, Question
from bot.model.messages import Outgoing, PictureSpec
from bot.reply.cautions import SCORES_HIDDEN
from bot.store import Logged, Person, Transaction

if TYPE_CHECKING:  # loading numpy can wait for the first comparison
    from analysis.arms import Arms
    from analysis.results import Serving

Pair = tuple[Side, Side]
Groups = tuple[tuple["Serving", ...], tuple["Serving", ...]]


def answer_compare(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing | None:
    """Compare what a question names; None when it names no two sides and does not ask to compare."""
    from bot.frames.servings import occasions_between
    from bot.reply.results_compare import ONE_SIDE, not_found

    sides = find_sides(question.said)
    if sides and not person.scores:
        return Outgoing(person.id, say(SCORES_HIDDEN))
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
            return _compare(tx, person, pair, groups, now)
    pair, groups = pairs[0], _part(pairs[0], found)
    return (
        _compare(tx, person, pair, groups, now)
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


def _compare(tx: Transaction, person: Person, pair: Pair, groups: Groups, now: datetime) -> Outgoing:
    from analysis.arms import NEED_EACH
    from bot.reply.results_compare import compared, too_few

    labels = _labels(pair)
    first, second = (tuple(s for s in group if s.evenness is not None) for group in groups)
    if min(len(first), len(second)) < NEED_EACH:
        return Outgoing(person.id, too_few(labels, groups))
    arms, asked, differ = judge(tx, person, labels, (first, second))
    tx.comparisons.keep(person.id, _sides(labels), arms.p, now)
    text = compared(
        labels,
        arms,
        kinds=(len({s.key for s in first}), len({s.key for s in second})),
        days=(_days(first, person), _days(second, person)),
        differ=differ,
        questions=asked,
        unscored=sum(map(len, groups)) - len(first) - len(second),
    )
    ids = tuple(
        (label, tuple(s.entry_id for s in group))
        for label, group in zip(labels, (first, second), strict=True)
    )
    name = f"compare-to-{now.astimezone(person.zone):%Y-%m-%d-%H%M}"
    return Outgoing(person.id, text, picture=PictureSpec("compare", name, groups=ids))


def judge(
    tx: Transaction, person: Person, labels: tuple[str, str], sides: "Groups"
) -> "tuple[Arms, int, bool]":
    """Judge two sides of scored servings with all questions asked so far, this one among them.

    Returns how they compare, how many questions count, and whether the sides are told apart.
    Raises InsufficientData when a side has fewer than two servings.
    """
    from analysis.arms import compare_arms, tell_apart

    days = [[day.toordinal() for day in _days(side, person)] for side in sides]
    arms = compare_arms(*sides, days)
    asked = tx.comparisons.all(person.id) | {_sides(labels): arms.p}
    told = dict(zip(asked, tell_apart(list(asked.values())), strict=True))
    return arms, len(asked), told[_sides(labels)]


def _sides(labels: tuple[str, str]) -> str:
    """Return the name under which a comparison is counted, whichever side was named first."""
    return " | ".join(sorted(label.lower() for label in labels))


def _days(side: "Sequence[Serving]", person: Person) -> list[date]:
    return [serving.at.astimezone(person.zone).date() for serving in side]


def _labels(pair: Pair) -> tuple[str, str]:
    return pair[0].label, pair[1].label
