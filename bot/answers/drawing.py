"""From what a picture is to show to the picture: looks the data up, draws it, words it."""

from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from itertools import pairwise

from bot.reply.pictures import Drawn, to_picture  # isort: skip  # first: it settles the font cache
from analysis.arms import NEED_EACH
from analysis.errors import InsufficientData
from analysis.foods.contrasts import respond_to_portions
from analysis.kept import keeping
from analysis.plots.average import alt_average, draw_average
from analysis.plots.compare import alt_compare, draw_compare
from analysis.plots.curve import alt_curve, draw_curve
from analysis.plots.day import alt_day, draw_day
from analysis.plots.difference import Judged
from analysis.plots.eating import alt_eating, draw_eating
from analysis.plots.fasting import alt_fasting, draw_fasting
from analysis.plots.foods import alt_foods, draw_foods
from analysis.plots.lever import alt_lever, draw_lever
from analysis.plots.portion import alt_portion, draw_portion
from analysis.plots.review import alt_review, draw_review
from analysis.plots.run import alt_run, draw_run
from analysis.plots.servings import alt_servings, draw_servings
from analysis.plots.text import write_days, writing_times
from analysis.plots.trial import alt_trial, draw_trial
from analysis.plots.two import alt_two, draw_two
from analysis.plots.variants import alt_variants, draw_variants
from analysis.plots.week import alt_week, draw_week
from analysis.ranking import rank_meals
from analysis.results import Serving
from analysis.variants.effects import judge_variants
from analysis.variants.staples import Staple
from bot.answers import ours
from bot.answers.compare import judge
from bot.answers.drives import compare_meant, judge_between, judge_parts
from bot.answers.foods_meant import Dish, find_meant, foods_meant
from bot.answers.habits import lever_with_meals
from bot.answers.pictured import portion_all
from bot.answers.variants import shown_scores
from bot.frames.days import (
    average_between,
    days_read,
    eating_between,
    fasting_between,
    from_waking,
    lines_by_day,
)
from bot.frames.one_day import trace_day
from bot.frames.rows import rows_between
from bot.frames.run import run_between
from bot.frames.servings import HIDDEN, as_shown, occasions_between, serving_of, servings_between
from bot.frames.trials import stand
from bot.language.texts import speaking, spoken
from bot.language.times import write_hour, write_minute
from bot.model.entries import Meal
from bot.model.messages import Picture, PictureKind, PictureSpec
from bot.reminders.rules import first_instant
from bot.reply.results_choices import dish_headline, two_headline
from bot.reply.results_compare import verdict
from bot.reply.results_foods import headline
from bot.reply.results_habits import lever_words
from bot.reply.results_ours import sides_of
from bot.reply.results_trials import trial_headline
from bot.reply.results_variants import picture_words
from bot.store import Logged, Person, Transaction

OF_SCORES = ("week", "compare", "ours")
"""Pictures that are of scores and nothing else."""
WEEKENDS = ("weekday", "weekend")


def draw(tx: Transaction, spec: PictureSpec, person_id: str) -> Picture:
    """Draw what `spec` names for one person; LookupError when the person or what it shows is gone."""
    person = tx.people.get(person_id)
    if person is None:
        raise LookupError(f"no person {person_id}")
    figure, alt = figure_of(tx, person, spec)
    return to_picture(spec.name, figure, alt, dark=person.pictures == "dark")


def figure_of(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    """Return the figure that `spec` names, with what it shows in words; LookupError where that is gone."""
    if spec.kind in OF_SCORES and not person.scores:
        raise LookupError(HIDDEN)
    try:
        with keeping(), speaking(spoken(), person.clock), writing_times(write_minute, write_hour):
            return _DRAW[spec.kind](tx, person, spec)
    except InsufficientData as few:
        raise LookupError(str(few)) from few


def _curve(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    found = serving_of(tx, person, _meal(tx, spec.entry_id))
    if found is None:
        raise LookupError(f"entry {spec.entry_id} is no meal to be scored")
    serving, earlier = as_shown(person, found[0]), [as_shown(person, one) for one in found[1]]
    figure = draw_curve(serving, earlier, person.unit, person.zone)
    return figure, alt_curve(serving, earlier, person.unit, person.zone)


def _week(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    ranking = rank_meals(servings_between(tx, person, *_span(spec)))
    figure = draw_week(ranking, person.unit, person.zone)
    return figure, alt_week(ranking, person.unit, person.zone)


def _day(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    trace = trace_day(tx, person, *_span(spec))
    figure = draw_day(trace, person.unit, person.zone)
    return figure, alt_day(trace, person.unit, person.zone)


def _review(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    (since, until), zone = _span(spec), person.zone
    first, last = (at.astimezone(zone).date() for at in (since, until - timedelta.resolution))
    starts = [first_instant(first + timedelta(days=k), time(0), zone) for k in range((last - first).days + 2)]
    traces = [trace_day(tx, person, start, min(end, until)) for start, end in pairwise(starts)]
    return draw_review(traces, person.unit), alt_review(traces, person.unit)


def _average(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    since, until = _span(spec)
    day = average_between(tx, person, since, until)
    lines = list(lines_by_day(tx, person, since, until).values())
    title = f"Average day, {_days(tx, person, since, until)}"
    figure = draw_average(day, lines, person.unit, title)
    return figure, alt_average(day, lines, person.unit, title)


def _waking(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    since, until = _span(spec)
    day, lines = from_waking(tx, person, since, until)
    title = f"Average day from waking, {_days(tx, person, since, until)}"
    figure = draw_average(day, lines, person.unit, title, waking=True)
    return figure, alt_average(day, lines, person.unit, title, waking=True)


def _two(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    since, until = _span(spec)
    days = _days(tx, person, since, until)
    if not spec.groups:
        day = average_between(tx, person, since, until, weekends=True)
        tags, title = WEEKENDS, f"Week and weekend, {days}"
    else:
        (name_a, _), (name_b, _) = spec.groups
        tagged = {date.fromordinal(n): name for name, numbers in spec.groups for n in numbers}
        day = average_between(tx, person, since, until, tags=tagged)
        tags, title = (name_a, name_b), f"{name_a[:1].upper()}{name_a[1:]} against {name_b}, {days}"
    return draw_two(day, person.unit, title, tags), alt_two(day, person.unit, title, tags)


def _compare(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    (name_a, ids_a), (name_b, ids_b) = spec.groups
    meals = {entry_id: _meal(tx, entry_id) for entry_id in (*ids_a, *ids_b)}
    times = [meal.at for meal in meals.values()]
    found = servings_between(tx, person, min(times), max(times) + datetime.resolution)
    servings = {serving.entry_id: serving for serving in found}
    # a meal that was taken back since is no longer among them
    a, b = ([servings[i] for i in ids if i in servings] for ids in (ids_a, ids_b))
    if not (a and b):
        raise LookupError("the meals of one side were taken back")
    names = name_a, name_b
    judged = _judged(tx, person, names, (a, b))
    figure = draw_compare(a, b, names, person.unit, person.zone, judged)
    return figure, alt_compare(a, b, names, person.unit, person.zone, judged)


def _judged(
    tx: Transaction, person: Person, names: tuple[str, str], sides: tuple[list[Serving], list[Serving]]
) -> Judged | None:
    """Judge two sides as the answer did; None where one has come to have too few scores."""
    first, second = (tuple(s for s in side if s.evenness is not None) for side in sides)
    if min(len(first), len(second)) < NEED_EACH:
        return None
    arms, asked, differ = judge(tx, person, names, (first, second))
    return Judged(arms, verdict(names, arms, differ=differ, questions=asked), differ)


def _fasting(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    found = fasting_between(tx, person, *_span(spec))
    return draw_fasting(found, person.unit), alt_fasting(found, person.unit)


def _run(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    run = run_between(tx, person, *_span(spec))
    if run is None:
        raise LookupError("nothing is on record in that time")
    return draw_run(run.days), alt_run(run.days)


def _eating(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    found = eating_between(tx, person, *_span(spec))
    if not found.days:
        raise LookupError("nothing was eaten in that time")
    return draw_eating(found), alt_eating(found)


def _servings(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    ((words, ids),) = spec.groups
    times = [_meal(tx, entry_id).at for entry_id in ids]
    found = occasions_between(tx, person, min(times), max(times) + datetime.resolution)
    chosen = [
        (as_shown(person, serving), logged.entry)
        for serving, logged in found
        if serving.entry_id in ids and isinstance(logged.entry, Meal) and serving.mmol.size
    ]
    if not chosen:
        raise LookupError("the meals were taken back")
    portions, of = portion_all(words, chosen)
    about = (portions, of, words, person.unit, person.zone)
    return draw_servings(*about), alt_servings(*about)


def _foods(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    """Draw what foods add: all, those of one dish or name, or two side by side."""
    judged = judge_between(tx, person, *_span(spec))
    if judged is None:
        raise LookupError("no meal has a curve of its own in that time")
    names, words = judged.occasions.names, [label for label, _ in spec.groups]
    if not words:
        found, title = judged.found, headline(judged.found, names)
    elif len(words) == 2:
        sides = words[0], words[1]
        two = compare_meant(judged, sides)
        if two is None:
            raise LookupError(f"{sides} are no two foods any more")
        found = judged.of([food for side in sides for food in foods_meant(side, judged.occasions)])
        title = two_headline(two, sides, person.unit)
    else:
        meant = find_meant(tx, person, words[0], judged.occasions)
        if meant is None:
            raise LookupError(f"{words[0]} is no food or dish any more")
        if isinstance(meant, Dish):
            found = judged.of(meant.parts)
            title = dish_headline(meant.name, judge_parts(judged, meant), person.unit)
        else:
            others = {other for one in judged.of(meant) for other in one.always_with}
            found = judged.of([*meant, *others])
            title = headline(found, names)
    about = (found, names, person.unit, title)
    return draw_foods(*about), alt_foods(*about)


def _portion(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    judged = judge_between(tx, person, *_span(spec))
    ((words, _),) = spec.groups
    meant = None if judged is None else find_meant(tx, person, words, judged.occasions)
    if judged is None or meant is None:
        raise LookupError(f"{words} is no food with a curve any more")
    one = judged.of(meant.parts if isinstance(meant, Dish) else meant)[0]
    about = (respond_to_portions(judged.fit, one.food), judged.occasions.names[one.food], person.unit)
    return draw_portion(*about), alt_portion(*about)


def _variants(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    ((what, ids),) = spec.groups
    occasions = rows_between(tx, person, *_span(spec))
    rows = occasions.rows

    def shared(one: Staple) -> int:
        return len({rows[k].entry_id for version in one.versions for k in version.rows} & {*ids})

    judged = max(judge_variants(rows), key=lambda one: shared(one.staple), default=None)
    if judged is None or not shared(judged.staple):
        raise LookupError("the meals were taken back")
    scores, words = shown_scores(person, judged, occasions), picture_words(judged, occasions.names, what)
    area = [row.area for row in rows]
    figure = draw_variants(judged, area, scores, words, person.unit)
    return figure, alt_variants(judged, scores, words, person.unit)


def _ours(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    """Draw a meal of two people; one that is shared no more is drawn no more."""
    ((words, (share_id,)),) = spec.groups
    share, now = tx.shares.get(share_id), spec.until
    if share is None or person.id not in (share.person, share.other) or now is None:
        raise LookupError("that is shared no more")
    sides = ours.look(tx, person, share, now)
    names = sides_of(words)
    arms, differ = ours.judge(tx, person, sides)
    judged = None
    if arms is not None:
        judged = Judged(arms, verdict(names, arms, differ=differ, questions=1), differ, alike=False)
    about = (*sides, names, person.unit, None, judged)
    return draw_compare(*about), alt_compare(*about)


def _lever(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    ((name, _),) = spec.groups
    judged = judge_between(tx, person, *_span(spec))
    found = None if judged is None else lever_with_meals(judged, name)
    if found is None:
        raise LookupError(f"{name} went with too few meals by now")
    one, seen = found
    return draw_lever(seen, lever_words(one)), alt_lever(seen, lever_words(one))


def _meal(tx: Transaction, entry_id: int | None) -> Logged:
    logged = None if entry_id is None else tx.log.get(entry_id)
    if logged is None:
        raise LookupError(f"no meal {entry_id}")
    return logged


def _span(spec: PictureSpec) -> tuple[datetime, datetime]:
    assert spec.since is not None
    assert spec.until is not None
    return spec.since, spec.until


def _days(tx: Transaction, person: Person, since: datetime, until: datetime) -> str:
    """Name the days that hold readings: 2 to 15 March, 28 March to 3 April."""
    return write_days(*days_read(tx, person, since, until))


def _trial(tx: Transaction, person: Person, spec: PictureSpec) -> Drawn:
    ((_, (trial_id,)),) = spec.groups
    trial = tx.trials.get(trial_id)
    if trial is None:
        raise LookupError(f"no trial {trial_id}")
    newest = tx.readings.last_at(person.id)
    found = stand(tx, person, trial, trial.proposed_at if newest is None else newest)
    protocol, verdict = found.protocol, found.verdict
    about = (
        verdict,
        found.areas,
        protocol.order,
        protocol.pairs,
        person.unit,
        trial_headline(protocol, verdict),
    )
    return draw_trial(*about), alt_trial(*about)


_DRAW: dict[PictureKind, Callable[[Transaction, Person, PictureSpec], Drawn]] = {
    "curve": _curve,
    "week": _week,
    "day": _day,
    "review": _review,
    "average": _average,
    "waking": _waking,
    "two": _two,
    "compare": _compare,
    "fasting": _fasting,
    "run": _run,
    "servings": _servings,
    "eating": _eating,
    "trial": _trial,
    "foods": _foods,
    "portion": _portion,
    "variants": _variants,
    "ours": _ours,
    "lever": _lever,
}
