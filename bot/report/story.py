"""Sections of the report that draw things together: the run in a paragraph, what to keep, what stays open."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from statistics import fmean

from analysis.errors import InsufficientData
from analysis.habits.effects import LeverEffect
from analysis.results import RankedMeal, Ranking
from analysis.summaries import EDGES
from bot.answers.days import say_average, say_weekends
from bot.answers.drives import Judged
from bot.answers.pictured import answer_shifts
from bot.answers.rules import asks_first, propose
from bot.frames.days import fasting_between, shift_days, summary_between
from bot.frames.run import run_between
from bot.model.entries import Question
from bot.model.messages import Outgoing
from bot.model.naming import join
from bot.reply import numbers
from bot.reply.results_foods import figure, is_wide
from bot.reply.results_habits import title_of
from bot.report import texts
from bot.report.parts import Section
from bot.store import Person, Transaction

MOST_NAMED = 4


def tell_run(
    tx: Transaction,
    person: Person,
    since: datetime,
    until: datetime,
    judged: Judged | None,
    told: Sequence[LeverEffect],
    ranking: Ranking,
) -> str:
    """Tell the run in one paragraph: how complete it is, the level, and what stands out beyond chance."""
    run = run_between(tx, person, since, until)
    if run is None:
        return ""
    days = numbers.count(len(run.days), "day")
    meals = numbers.count(run.meals, "meal")
    noted = f"{run.scored} of {meals} {'has' if run.scored == 1 else 'have'} a score"
    said = [
        f"You kept this record for {days}; {numbers.percent(run.share)} of the time is read, and "
        f"{noted if person.scores else f'{meals} {_are(run.meals)} noted'}.",
        *_levels(tx, person, since, until),
        *_drives(person, judged),
    ]
    said += [
        f"{title_of(one.name)} went with about {abs(one.effect.estimate):.0f} % "
        f"{'less' if one.effect.estimate < 0 else 'more'} rise."
        for one in told[:MOST_NAMED]
    ]
    return " ".join([*said, *(_extremes(ranking) if person.scores else [])])


def _are(n: int) -> str:
    return "is" if n == 1 else "are"


def _extremes(ranking: Ranking) -> list[str]:
    if ranking.told_apart:
        best, worst = ranking.meals[0], ranking.meals[-1]
        return [
            f"Your most even meal was {best.title} ({best.score:.0f} of 100), your least even {worst.title} "
            f"({worst.score:.0f})."
        ]
    return ["Which of your meals is the most even can't be told yet."] if len(ranking.meals) > 1 else []


def _levels(tx: Transaction, person: Person, since: datetime, until: datetime) -> list[str]:
    try:
        found = summary_between(tx, person, since, until)
    except InsufficientData:
        return []
    low, high = (f"{edge:g}" for edge in EDGES[person.unit][1:3])
    said = [
        f"Your mean was {numbers.glucose_with_unit(found.mean_mmol, person.unit)}, with "
        f"{numbers.percent(found.ranges[f'{low} to {high}'])} of the time from {low} to {high}."
    ]
    try:
        fasting = fasting_between(tx, person, since, until)
    except InsufficientData:
        return said
    return [*said, f"Before breakfast it was {numbers.glucose_with_unit(fasting.mean_mmol, person.unit)}."]


def _drives(person: Person, judged: Judged | None) -> list[str]:
    sure = [] if judged is None else [one for one in judged.found if one.low > 0 and not is_wide(one)]
    if judged is None or not sure:
        return []
    one = max(sure, key=lambda each: each.estimate)
    low, high = figure(one.low, person.unit), figure(one.high, person.unit)
    return [
        f"Of single foods, {judged.occasions.names[one.food]} adds most: {figure(one.estimate, person.unit)} "
        f"{person.unit} over two hours for your usual {numbers.grams(one.grams)} (likely {low} to {high})."
    ]


def tell_days(tx: Transaction, person: Person, since: datetime, until: datetime) -> list[Outgoing]:
    """Return the average day, then the two commonest kinds of shift, or weekdays and weekends."""
    average = say_average(tx, person, since, until)
    try:
        kinds = list(shift_days(tx, person, since, until).values())
    except InsufficientData:
        kinds = []
    often = sorted(dict.fromkeys(kinds), key=lambda kind: -kinds.count(kind))[:2]
    if len(often) < 2:
        return [average, say_weekends(tx, person, since, until)]
    asked = Question("day", since, until, subject=often[0], against=often[1], sort="shifts")
    return [average, answer_shifts(tx, person, asked, until)]


def keep_and_change(ranking: Ranking) -> Section:
    """Name the meals that are more even than the person's usual ones beyond chance, and those less."""
    title = "Meals to keep, meals to change"
    meals = ranking.meals
    if len(meals) < 2:
        return Section(title)
    servings = [len(meal.servings) for meal in meals]
    usual = sum(n * meal.score for n, meal in zip(servings, meals, strict=True)) / sum(servings)
    keep = [meal for meal in meals if meal.low > usual]
    change = [meal for meal in meals if meal.high < usual]
    open_still = len(meals) - len(keep) - len(change)
    said = [f"Your usual meal has an evenness of {usual:.0f}."]
    if keep:
        said.append(f"More even than that beyond chance, so worth keeping: {_name(keep)}.")
    if change:
        said.append(
            f"Less even beyond chance, so worth a change: {_name(change)}. Half the portion, something "
            "beside it or a walk after it are milder than doing without."
        )
    if open_still:
        them = "it is" if open_still == 1 else "they are"
        said.append(f"Of {numbers.count(open_still, 'other meal')} I can't tell yet which {them}.")
    return Section(title, (" ".join(said), texts.NOT_ALL))


def _name(meals: Sequence[RankedMeal]) -> str:
    named = [
        f"{_portion(meal)} ({meal.score:.0f}, likely {meal.low:.0f} to {meal.high:.0f})" for meal in meals
    ]
    rest = len(meals) - MOST_NAMED
    return join(named[:MOST_NAMED] + ([f"{numbers.count(rest, 'other')}"] if rest > 0 else []))


def _portion(meal: RankedMeal) -> str:
    """Name a meal by its foods and its portion: the same foods may be there in another one."""
    known = [serving.carbs_g for serving in meal.servings if serving.carbs_g is not None]
    return f"{meal.title} with {numbers.grams(fmean(known))} carbohydrate" if known else meal.title


def tell_unknown(judged: Judged | None, found: Sequence[LeverEffect], told: Sequence[LeverEffect]) -> Section:
    """Say what this run leaves open: foods never apart, foods seen too seldom, habits without a verdict."""
    title = "What stays unknown"
    if judged is None:
        return Section(title)
    names = judged.occasions.names
    welded = [one for one in judged.found if one.always_with]
    groups = dict.fromkeys(
        tuple(sorted((names[one.food], *(names[f] for f in one.always_with)))) for one in welded
    )
    seldom = [names[one.food] for one in judged.found if is_wide(one) and not one.always_with]
    untold = [title_of(one.name).lower() for one in found if one not in told]
    said = []
    if groups:
        pairs = join([f"{' and '.join(group)}" for group in list(groups)[:MOST_NAMED]])
        said.append(f"Never eaten apart, so that one can't be told from the other: {pairs}.")
    if seldom:
        said.append(f"Seen too seldom for a figure that helps: {join(seldom[: 2 * MOST_NAMED])}.")
    if untold:
        said.append(f"Too early to judge: {join(untold)}.")
    if said:
        said.append("“What should I try next?” in the chat names the servings that would tell most.")
    return Section(title, tuple(said))


def tell_rules(
    tx: Transaction,
    person: Person,
    since: datetime,
    until: datetime,
    judged: Judged | None,
    ranking: Ranking,
) -> Section:
    """List the person's rules, and what of this run could become one."""
    kept = [rule.text for rule in tx.rules.all(person.id)]
    proposed = [one for one in propose(tx, person, judged, ranking, since, until) if one.text not in kept]
    said = []
    if not kept:
        said.append(texts.NO_RULES)
    if asks_first(tx, person):
        said.append(texts.RULES_CLINICIAN)
    if proposed:
        said.append(texts.RULES_PROPOSED)
        said += [f"“{one.text}” {one.why}" for one in proposed]
    return Section("Your rules of eating", tuple(said), points=tuple(kept))


def nutrients_of(meal: RankedMeal, held: Mapping[int, tuple[float | None, ...]]) -> list[str]:
    """Return the mean of what a meal's servings hold, in words: carbohydrate, fibre, protein and energy."""
    of = [held[serving.entry_id] for serving in meal.servings if serving.entry_id in held]
    means = []
    for amounts in zip(*of, strict=True):
        known = [amount for amount in amounts if amount is not None]
        means.append(fmean(known) if known else None)
    if not means:
        means = [None] * 4
    *grams, kcal = means
    words = ["not known" if amount is None else numbers.grams(amount) for amount in grams]
    return [*words, "not known" if kcal is None else f"{kcal:.0f} kcal"]
