"""Answers to “versions of my breakfast” and “which way of my porridge is kindest?”."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from bot.answers.days import end_of
from bot.answers.sides import Side, names, spell_side
from bot.model.entries import Question
from bot.model.messages import Outgoing, PictureSpec
from bot.store import Person, Transaction

if TYPE_CHECKING:  # loading numpy can wait for the first such question
    from analysis.variants.effects import Judged
    from bot.frames.rows import Occasions

LOOK_BACK = timedelta(days=120)
ANY = "meals"


def answer_variants(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say what the versions of a staple do; the staple is found, whether it is named or not."""
    from analysis.variants.effects import judge_variants
    from bot.frames.rows import rows_between
    from bot.reply.results_variants import no_staple

    since, until = question.since or now - LOOK_BACK, end_of(question, now)
    occasions = rows_between(tx, person, since, until)
    words = spell_side(Side(question.subject), list(occasions.meals.values())).words
    judged = judge_variants(occasions.rows)
    chosen = choose_staple(judged, occasions, words)
    if chosen is None:
        meant = [meal for meal in occasions.meals.values() if not words or names(words, meal)]
        lost = [one for one, _ in occasions.left_out if not words or words in (one.slot, "")]
        known = judged[0].staple if judged else None
        said = no_staple(words or ANY, len(meant), len(lost), known, occasions.names)
        return Outgoing(person.id, said)
    return say_staple(person, chosen, occasions, words, (since, until))


def say_staple(
    person: Person, judged: "Judged", occasions: "Occasions", words: str, span: tuple[datetime, datetime]
) -> Outgoing:
    """Say what the versions of one staple do, with their picture."""
    from bot.reply.results_variants import say_versions

    what = words or judged.staple.slot or "meal"
    text = say_versions(judged, shown_scores(person, judged, occasions), occasions.names, person.unit, what)
    if len(judged.versions) < 2:
        return Outgoing(person.id, text)
    ids = tuple(occasions.rows[k].entry_id for k in judged.usual.version.rows)
    name = f"versions-to-{span[1].astimezone(person.zone):%Y-%m-%d-%H%M}"
    spec = PictureSpec("variants", name, since=span[0], until=span[1], groups=((what, ids),))
    return Outgoing(person.id, text, picture=spec)


def choose_staple(judged: "Sequence[Judged]", occasions: "Occasions", words: str) -> "Judged | None":
    """Return the staple that words mean, by most servings of that name; without words the most eaten."""
    if not words:
        return next(iter(judged), None)
    counted = []
    for each in judged:
        rows = [occasions.rows[k] for one in each.versions for k in one.version.rows]
        counted.append((sum(names(words, occasions.meals[row.entry_id]) for row in rows), each))
    most, best = max(counted, key=lambda pair: pair[0], default=(0, None))
    return best if best is not None and 2 * most > best.staple.servings else None


def shown_scores(person: Person, judged: "Judged", occasions: "Occasions") -> list[list[float]]:
    """Return the evenness of the servings of each version; none where scores are hidden."""
    return scores_of(judged, occasions) if person.scores else [[] for _ in judged.versions]


def scores_of(judged: "Judged", occasions: "Occasions") -> list[list[float]]:
    """Return the evenness of the servings of each version, of those that have one."""
    servings = [[occasions.servings[k] for k in one.version.rows] for one in judged.versions]
    return [[s.evenness.score for s in each if s.evenness is not None] for each in servings]
