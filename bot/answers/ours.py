"""One meal of two people side by side, as both agreed: of the other's, only curves and scores are looked at.

What crosses is made by `strip`: no id, no time, no amount, no title, nothing that went with it. It is looked
up anew for each answer and each picture, and kept nowhere.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from bot.answers.sides import names
from bot.language.texts import say
from bot.model.entries import Meal
from bot.model.messages import Outgoing, PictureSpec
from bot.reply.cautions import SCORES_HIDDEN
from bot.store import Person, Share, Transaction

if TYPE_CHECKING:  # loading numpy can wait
    from analysis.arms import Arms
    from analysis.results import Serving

BACK = timedelta(days=120)
NO_DAY = datetime(1970, 1, 1, tzinfo=UTC)
_APART = 10_000_000
"""Days of the other are counted from here: the same day of two people is not one day."""


def answer_ours(tx: Transaction, person: Person, share: Share, now: datetime) -> Outgoing:
    """Set a meal of two people side by side; the share is agreed to."""
    if not person.scores:
        return Outgoing(person.id, say(SCORES_HIDDEN))
    from bot.reply.results_ours import say_ours

    sides = look(tx, person, share, now)
    arms, differ = judge(tx, person, sides)
    text = say_ours(share.words, [scores(side) for side in sides], arms, differ=differ)
    if not all(any(s.minutes.size for s in side) for side in sides):
        return Outgoing(person.id, text)
    name = f"ours-to-{now.astimezone(person.zone):%Y-%m-%d-%H%M}"
    spec = PictureSpec("ours", name, until=now, groups=((share.words, (share.id,)),))
    return Outgoing(person.id, text, picture=spec)


def look(
    tx: Transaction, person: Person, share: Share, now: datetime
) -> "tuple[list[Serving], list[Serving]]":
    """Return the servings of a person and of the other, both stripped; LookupError where one is gone."""
    beside = share.beside(person.id)
    other = None if beside is None else tx.people.get(beside)
    if other is None or share.agreed_at is None:
        raise LookupError("nobody shares that")
    return _strip_all(tx, person, share.words, now), _strip_all(tx, other, share.words, now)


def _strip_all(tx: Transaction, whose: Person, words: str, now: datetime) -> "list[Serving]":
    """Return the servings of one person of which every note names the meal, stripped."""
    from analysis.flags import UNFIT
    from bot.frames.servings import occasions_between

    found = []
    days: dict[int, int] = {}
    for serving, _ in occasions_between(tx, whose, now - BACK, now + timedelta.resolution):
        notes = [tx.log.get(one) for one in serving.entry_ids]
        if not all(n is not None and isinstance(n.entry, Meal) and names(words, n.entry) for n in notes):
            continue
        flags = () if serving.curve is None else serving.curve.flags
        if serving.curve is None or any(part in flag for flag in flags for part in UNFIT):
            continue
        day = serving.at.astimezone(whose.zone).toordinal()
        found.append(strip(serving, words, days.setdefault(day, len(days))))
    return found


def strip(serving: "Serving", words: str, day: int) -> "Serving":
    """Return what may cross of a serving: its curve from half an hour before to 2 h 30 min after, its score.

    day: which of the days with this meal it was, counted from 0; it stands in place of the time
    """
    from analysis.plots.field import AFTER_MIN, BEFORE_MIN
    from analysis.results import Serving

    assert serving.curve is not None
    within = (serving.minutes >= BEFORE_MIN) & (serving.minutes <= AFTER_MIN)
    return Serving(
        entry_id=0,
        at=NO_DAY + timedelta(days=day),
        slot="",
        title=words,
        key="",
        carbs_g=None,
        minutes=serving.minutes[within],
        mmol=serving.mmol[within],
        curve=replace(serving.curve, flags=()),
        evenness=serving.evenness,
    )


def judge(
    tx: Transaction, person: Person, sides: "Sequence[Sequence[Serving]]"
) -> "tuple[Arms | None, bool]":
    """Return how the two compare, and whether they are told apart, all comparisons of the person counted.

    It is not kept among these comparisons: nothing of the other's stays when the sharing ends.
    """
    from analysis.arms import NEED_EACH, compare_arms, tell_apart

    mine, theirs = ([s for s in side if s.evenness is not None] for side in sides)
    if min(len(mine), len(theirs)) < NEED_EACH:
        return None, False
    days = [[s.at.toordinal() for s in mine], [s.at.toordinal() + _APART for s in theirs]]
    arms = compare_arms(mine, theirs, days)
    return arms, tell_apart([*tx.comparisons.all(person.id).values(), arms.p])[-1]


def scores(side: "Sequence[Serving]") -> list[float]:
    """Return what servings scored."""
    return [s.evenness.score for s in side if s.evenness is not None]
