"""Rules of eating that a person may draw: proposed only where a difference is beyond chance."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from bot.answers.drives import judge_between
from bot.answers.trials import agreed_trials
from bot.reply import numbers
from bot.store import Person, Transaction

if TYPE_CHECKING:  # loading numpy can wait for the first such question
    from analysis.habits.effects import LeverEffect
    from analysis.results import Ranking
    from bot.answers.drives import Judged

LOOK_BACK = timedelta(days=92)
MOST = 5
ASKS_FIRST = frozenset({"medicine", "pregnancy", "eating disorder"})
"""Who told one of these is proposed nothing: that is for a clinician to do."""
LESS_WITH = {
    "walk after": "Walk after meals.",
    "walk before": "Walk before meals.",
    "chores after": "Do some chores after meals.",
    "chores before": "Do some chores before meals.",
    "exercise after": "Exercise after meals.",
    "exercise before": "Exercise before meals.",
    "vegetables first": "Eat the vegetables first.",
    "vinegar": "Have vinegar with meals.",
    "cinnamon": "Have cinnamon with meals.",
    "lemon juice": "Have lemon juice with meals.",
}
MORE_WITH = {
    "late meal": "Have the last meal of the day earlier.",
    "short sleep": "Give the night enough hours.",
    "sitting after": "Get up and move a little after meals.",
}


@dataclass(frozen=True, slots=True)
class Proposal:
    """A rule that what was noted and read supports: its words, and why."""

    text: str
    why: str


def asks_first(tx: Transaction, person: Person) -> bool:
    """Tell whether a person told of something for which rules of eating are a clinician's to give."""
    return any(fact.what in ASKS_FIRST for fact in tx.facts.all(person.id))


def propose_now(tx: Transaction, person: Person, now: datetime) -> list[Proposal]:
    """Return what the last months support."""
    from analysis.ranking import rank_meals
    from bot.frames.servings import servings_between

    since, until = now - LOOK_BACK, now + timedelta.resolution
    ranking = rank_meals(servings_between(tx, person, since, until))
    return propose(tx, person, judge_between(tx, person, since, until), ranking, since, until)


def propose(
    tx: Transaction,
    person: Person,
    judged: "Judged | None",
    ranking: "Ranking",
    since: datetime,
    until: datetime,
) -> list[Proposal]:
    """Return what [since, until) supports: tests that are clear, habits, and meals told apart."""
    if asks_first(tx, person):
        return []
    found = [*_of_tests(tx, person, since, until), *_of_habits(judged)]
    return [*found, *(_of_meals(ranking) if person.scores else [])][:MOST]


def _of_tests(tx: Transaction, person: Person, since: datetime, until: datetime) -> list[Proposal]:
    from bot.frames.trials import stand

    proposals = []
    for trial in agreed_trials(tx, person):
        if trial.agreed_at is None or not since <= trial.agreed_at < until:
            continue
        found = stand(tx, person, trial, until - timedelta.resolution)
        verdict = found.verdict
        if verdict.word != "clear" or verdict.difference is None:
            continue
        first, second = (arm.name for arm in found.protocol.arms)
        better, other = (second, first) if verdict.difference.estimate < 0 else (first, second)
        pairs = numbers.count(verdict.pairs, "pair")
        proposals.append(
            Proposal(f"Rather {better} than {other}.", f"Your own test of {pairs} is clear about it.")
        )
    return proposals


def _of_habits(judged: "Judged | None") -> list[Proposal]:
    from analysis.habits.effects import judge_levers_of, told_among

    found = [] if judged is None else judge_levers_of(judged.fit, judged.occasions.rows)
    told = told_among(found)
    beyond = sorted((one for one in found if one.name in told), key=lambda one: one.p)
    return [Proposal(words, _why(one)) for one in beyond if (words := _rule_of(one))]


def _rule_of(one: "LeverEffect") -> str:
    return (LESS_WITH if one.effect.estimate < 0 else MORE_WITH).get(one.name, "")


def _why(one: "LeverEffect") -> str:
    low, high = sorted(abs(end) for end in (one.effect.low, one.effect.high))
    way = "less" if one.effect.estimate < 0 else "more"
    meals = numbers.count(one.on, "meal")
    return (
        f"With it the rise of two hours was about {abs(one.effect.estimate):.0f} % {way} at like meals "
        f"(likely {low:.0f} to {high:.0f} %; {meals} with it)."
    )


def _of_meals(ranking: "Ranking") -> list[Proposal]:
    if not ranking.told_apart:
        return []
    best, worst = ranking.meals[0], ranking.meals[-1]
    if best.title == worst.title:
        return [Proposal(f"A smaller portion of {worst.title}.", "Your portions of it differ beyond chance.")]
    text = f"More often {best.title}, less often {worst.title}."
    return [Proposal(text, f"Their evenness, {best.score:.0f} and {worst.score:.0f}, differs beyond chance.")]
