"""What stands in the report: sections of sentences, pictures and tables, from what the bot can answer."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from analysis.errors import InsufficientData
from analysis.foods.effects import FoodEffect
from analysis.habits.effects import LeverEffect, judge_levers_of, told_among
from analysis.ranking import rank_meals
from analysis.results import Ranking, Serving
from bot.answers.days import say_eating, say_fasting, say_summary
from bot.answers.drives import Judged, judge_between
from bot.answers.habits import takes_medicine
from bot.answers.over_run import say_felt, say_good_days, say_intakes, say_steadier
from bot.answers.pictured import say_run
from bot.answers.trials import agreed_trials, say_trial
from bot.answers.variants import answer_variants
from bot.frames.days import days_read
from bot.frames.servings import occasions_between
from bot.intake.photos import shrink_photo
from bot.language.texts import say
from bot.model.entries import Meal, Nutrients, Question
from bot.model.messages import Outgoing, PictureSpec
from bot.model.naming import join, title
from bot.reply import fixed, numbers
from bot.reply.cautions import SCORES_HIDDEN
from bot.reply.results import best_and_worst
from bot.reply.results_days import day_span
from bot.reply.results_foods import capital, drivers, figure, is_wide, no_rows
from bot.reply.results_habits import title_of, verdict
from bot.report import texts
from bot.report.earlier import beside_earlier
from bot.report.parts import Report, Section, Snapshot, Table
from bot.report.story import (
    keep_and_change,
    nutrients_of,
    tell_days,
    tell_rules,
    tell_run,
    tell_unknown,
)
from bot.store import Logged, Person, StoredTrial, Transaction
from bot.understanding.questions.sorts import ABOUT, Sort

MOST_FOODS, MOST_MEALS = 25, 25
HEAD = ("Meal", "Servings")
PHOTO_PX = 360


def gather(
    tx: Transaction, person: Person, since: datetime, until: datetime, *, rules: bool = True
) -> Report | None:
    """Return the report on [since, until), with the rules of eating or without; None for an empty record."""
    run = say_run(tx, person, since, until)
    if run.picture is None:
        return None
    judged = judge_between(tx, person, since, until)
    levers = [] if judged is None else judge_levers_of(judged.fit, judged.occasions.rows)
    among = told_among(levers)
    told = sorted((one for one in levers if one.name in among), key=lambda one: one.p)
    occasions = occasions_between(tx, person, since, until)
    ranking = rank_meals([serving for serving, _ in occasions])
    sections = (
        Section("The run", (tell_run(tx, person, since, until, judged, told, ranking),)),
        _told("How complete it is", [run]),
        _told("The average day", tell_days(tx, person, since, until)),
        _told("Before breakfast", [say_fasting(tx, person, since, until)]),
        _foods(person, judged),
        _habits(tx, person, levers),
        _tests(tx, person, since, until),
        _told(
            "Versions of what you eat often",
            [answer_variants(tx, person, _ask("variants", since, until), until)],
        ),
        tell_unknown(judged, levers, told),
        *([keep_and_change(ranking)] if person.scores else []),
        replace(
            _meals(since, until, occasions, ranking, scores=person.scores),
            photos=tuple(_photos(tx, person, since, until)),
        ),
        *([tell_rules(tx, person, since, until, judged, ranking)] if rules else []),
        _told(
            "What your food holds", [say_intakes(tx, person, _ask("daily nutrients", since, until), until)]
        ),
        _told("When you ate", [say_eating(tx, person, since, until)]),
        _over_run(tx, person, since, until),
        _told("Summary measures", [say_summary(tx, person, since, until)]),
        beside_earlier(tx, person, since, until),
        Section("How this was computed", tuple(_methods(person))),
        Section("Before you act on it", fixed.REPORT_CAUTIONS),
    )
    return Report(
        f"Your run, {_days(tx, person, since, until)}", tuple(one for one in sections if not one.empty)
    )


def _methods(person: Person) -> Iterable[str]:
    yield fixed.REPORT_LEVEL
    if person.scores:
        yield fixed.REPORT_EVENNESS
    yield from (*fixed.REPORT_METHODS, texts.SOURCES)


def _tests(tx: Transaction, person: Person, since: datetime, until: datetime) -> Section:
    now = until - timedelta.resolution
    return _told("Tests", [say_trial(tx, person, one, now) for one in _trials(tx, person, since, until)])


def _over_run(tx: Transaction, person: Person, since: datetime, until: datetime) -> Section:
    now = until - timedelta.resolution
    return _told(
        "Over the run",
        [
            say_steadier(tx, person, Question("day", sort="progress"), now),
            say_good_days(tx, person, _ask("good days", since, until), until),
            say_felt(tx, person, _ask("felt", since, until), until),
        ],
    )


def _ask(sort: Sort, since: datetime, until: datetime) -> Question:
    return Question(ABOUT[sort], since, until, sort=sort)


def _trials(tx: Transaction, person: Person, since: datetime, until: datetime) -> list[StoredTrial]:
    agreed = agreed_trials(tx, person)
    return [one for one in agreed if one.agreed_at is not None and since <= one.agreed_at < until]


def _days(tx: Transaction, person: Person, since: datetime, until: datetime) -> str:
    try:
        first, last = days_read(tx, person, since, until)
    except InsufficientData:
        first, last = (at.astimezone(person.zone).date() for at in (since, until))
    return day_span(first, last)


def _told(title: str, said: Iterable[Outgoing]) -> Section:
    """Make a section of answers as the chat would give them."""
    messages = list(said)
    lines = [line for message in messages for line in message.text.splitlines() if line]
    specs = [message.picture for message in messages if message.picture is not None]
    return Section(title, tuple(lines), tuple(specs))


def _foods(person: Person, judged: Judged | None) -> Section:
    title = "What drives it: foods"
    if judged is None:
        return Section(title, (no_rows(0),))
    names = judged.occasions.names
    rows = tuple(
        (
            capital(names[one.food]),
            numbers.grams(one.grams),
            str(one.occasions),
            figure(one.estimate, person.unit),
            f"{figure(one.low, person.unit)} to {figure(one.high, person.unit)}",
            figure(one.nutrients_say, person.unit),
            _next(one, names),
        )
        for one in judged.found[:MOST_FOODS]
    )
    head = (
        "Food",
        "Your usual portion",
        "Meals",
        "Adds",
        "Likely range (9 in 10)",
        "Nutrients alone say",
        "Next",
    )
    caption = f"What your usual portion adds to the mean of the two hours after a meal, in {person.unit}"
    said = drivers(judged.found, names, person.unit)
    return Section(title, (said,), (judged.picture("foods"),), (Table(caption, head, rows),))


def _next(one: FoodEffect, names: Mapping[str, str]) -> str:
    if one.always_with:
        return f"never eaten without {join([names[food] for food in one.always_with])}"
    return "more servings would tell" if is_wide(one) else ""


def _habits(tx: Transaction, person: Person, found: Sequence[LeverEffect]) -> Section:
    title = "What drives it: habits"
    if not found:
        return Section(title, ("No habit was noted beside a meal with a curve of its own.",))
    told = told_among(found)
    rows = tuple(
        (
            capital(title_of(one.name)),
            f"{one.on} and {one.off}",
            _percent(one.effect.estimate),
            f"{_percent(one.effect.low)} to {_percent(one.effect.high)}",
            "" if one.plain is None else _percent(one.plain),
            verdict(one, among_all=one.name in told),
        )
        for one in found
    )
    head = (
        "Habit",
        "Meals with and without",
        "Change",
        "Likely range (9 in 10)",
        "Plain difference",
        "Verdict",
    )
    caption = "What a habit does to the two hours after a meal, the rest of the meal counted out"
    medicine = (fixed.REPORT_MEDICINE,) if takes_medicine(tx, person) else ()
    return Section(title, medicine, (), (Table(caption, head, rows),))


def _meals(
    since: datetime,
    until: datetime,
    occasions: Sequence[tuple[Serving, Logged]],
    ranking: Ranking,
    *,
    scores: bool,
) -> Section:
    held = {}
    for serving, logged in occasions:
        eaten = logged.entry.nutrients if isinstance(logged.entry, Meal) else Nutrients()
        held[serving.entry_id] = (eaten.carbs_g, eaten.fibre_g, eaten.protein_g, eaten.energy_kcal)
    holds = ("Carbohydrate", "Fibre", "Protein", "Energy")
    if not scores:
        often = sorted(ranking.meals, key=lambda meal: (-len(meal.servings), meal.title))
        plain = tuple(
            (capital(meal.title), str(len(meal.servings)), *nutrients_of(meal, held))
            for meal in often[:MOST_MEALS]
        )
        table = Table("Meals with a curve of their own, by how often you had them", (*HEAD, *holds), plain)
        return Section("Your meals", (say(SCORES_HIDDEN),), (), (table,) if plain else ())
    rows = tuple(
        (
            capital(meal.title),
            str(len(meal.servings)),
            f"{meal.score:.0f}",
            f"{meal.low:.0f} to {meal.high:.0f}",
            *nutrients_of(meal, held),
        )
        for meal in ranking.meals[:MOST_MEALS]
    )
    head = (*HEAD, "Evenness", "Likely range (9 in 10)")
    caption = "Meals from the most to the least even, all judged together; 100 is a line that stays flat"
    week = PictureSpec("week", "meals", since=since, until=until)
    found = bool(ranking.meals)
    tables = (Table(caption, head + holds, rows),) if found else ()
    return Section("Your meals", (best_and_worst(ranking),), (week,) if found else (), tables)


def _photos(tx: Transaction, person: Person, since: datetime, until: datetime) -> Iterator[Snapshot]:
    for photo, data in tx.photos.kept(person.id, since, until):
        noted = None if photo.entry_id is None else tx.log.get(photo.entry_id)
        jpeg = shrink_photo(data, PHOTO_PX)
        if noted is not None and isinstance(noted.entry, Meal) and jpeg is not None:
            day = noted.at.astimezone(person.zone).date()
            yield Snapshot(jpeg, capital(title(noted.entry)), day_span(day, day))


def _percent(change: float) -> str:
    return f"{numbers.points(change)} %"
