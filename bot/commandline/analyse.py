"""The `analyse` command: an analysis of what is stored, as JSON values or in words, and its pictures."""

import json
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import combinations
from pathlib import Path
from zoneinfo import ZoneInfo

from analysis.errors import InsufficientData
from analysis.ranking import rank_meals
from analysis.results import Serving
from bot.answers import days as answering_days
from bot.answers.pictured import answer_shifts, answer_waking, say_run
from bot.app import App
from bot.commandline import analyse_drives as drives
from bot.commandline import over_run, results_json
from bot.commandline.bounds import read_bound
from bot.commandline.kinds import What
from bot.commandline.play import save_picture
from bot.commandline.request import EVER, MOVED_AROUND, Request
from bot.frames.days import (
    SensorWear,
    average_between,
    eating_between,
    fasting_between,
    sensors_between,
    shift_days,
)
from bot.model.entries import Question
from bot.model.errors import BadSetting
from bot.model.messages import Outgoing, PictureSpec
from bot.reply import numbers, results_fasting
from bot.reply.results import best_and_worst
from bot.reply.results_days import meal_line
from bot.store import Logged, Person, Transaction

WEEK = timedelta(days=7)
OFTEN, MOST_MEALS = 3, 6
"""The servings of a meal are shown together from so many on, for so many meals at most."""
MOST_CURVES = 50
"""So many curves are drawn at most: the newest; each takes a fifth of a second."""


def analyse(
    bot: App,
    person_id: str,
    what: What,
    since: str | None,
    until: str | None,
    *,
    as_json: bool,
    out: Path | None,
    protocol: bool = False,
) -> str:
    """Return an analysis as it is printed, in words or as JSON; its pictures go into `out`, if any.

    since, until: a day of the person's own (`until` is included) or an instant
    protocol: of trials, print each in full instead
    """
    if protocol and (what != "trials" or as_json or out is not None):
        raise BadSetting("--protocol goes with “analyse trials” and prints text: leave the rest out.")
    with bot.store.read() as tx:
        person = tx.people.get(person_id)
        zone = ZoneInfo(bot.zone) if person is None else person.zone
        start = read_bound(since, "--since", zone)
        end = read_bound(until, "--until", zone, included=True)
        if start is not None and end is not None and start >= end:
            raise BadSetting("--since must be before --until.")
        if person is None:
            alone = ("ranking", "fasting", "eating", "good-days", "intakes")
            empty = "{}" if what in alone else "[]"
            return empty if as_json else f"Nothing is noted for “{person_id}” yet."
        asked = Request(tx, person, start, end, bot.clock.now())
        lines = [json.dumps(_JSON[what](asked), ensure_ascii=False, allow_nan=False)] if as_json else []
        said = [] if as_json and out is None else (drives.print_trials if protocol else _WORDS[what])(asked)
    if not as_json:
        lines = [message.text for message in said if message.text]
    if out is not None:
        specs = set_apart([m.picture for m in said if m.picture is not None])
        for spec in specs:
            save_picture(bot.draw(spec, person_id), out)
        kept = (
            f"{numbers.count(len(specs), 'picture')} in {out}." if specs else "There is no picture of that."
        )
        lines += [] if as_json else [kept]
    return "\n".join(lines)


def set_apart(specs: Sequence[PictureSpec]) -> list[PictureSpec]:
    """Return pictures with names of their own, so that no file overwrites another: lunch, lunch-2."""
    taken: set[str] = set()
    named = []
    for spec in specs:
        name, n = spec.name, 1
        while name.casefold() in taken:
            n += 1
            name = f"{spec.name}-{n}"
        taken.add(name.casefold())
        named.append(replace(spec, name=name))
    return named


def _meals_json(asked: Request) -> list[results_json.Json]:
    meals = asked.meals
    if not meals:
        return []
    expected = asked.expected()
    servings = {one: serving for serving, _ in expected for one in serving.entry_ids}
    by_note = {one: e for serving, e in expected for one in serving.entry_ids}
    moves = asked.tx.log.between(
        asked.person.id, ("activity",), meals[0].at - MOVED_AROUND, meals[-1].at + MOVED_AROUND
    )
    starts = [move.at for move in moves]
    zone = asked.person.zone

    def around(meal: Logged) -> list[Logged]:
        return moves[
            bisect_left(starts, meal.at - MOVED_AROUND) : bisect_right(starts, meal.at + MOVED_AROUND)
        ]

    return [
        results_json.write_meal(
            meal, servings.get(meal.id), around(meal), zone, expected=by_note.get(meal.id)
        )
        for meal in meals
    ]


def _ranking_json(asked: Request) -> results_json.Json:
    return results_json.write_ranking(rank_meals(_week(asked).servings()))


def _week(asked: Request) -> Request:
    """Return the request with the last seven days where no span is asked for."""
    whole = asked.since is None and asked.until is None
    return replace(asked, since=asked.ends - WEEK) if whole else asked


def _day_json(asked: Request) -> list[results_json.Json]:
    try:
        whole, parted = (
            average_between(asked.tx, asked.person, asked.since, asked.until, weekends=weekends)
            for weekends in (False, True)
        )
    except InsufficientData:
        return []
    return results_json.write_day(whole, parted)


def _fasting_json(asked: Request) -> results_json.Json:
    try:
        return results_json.write_fasting(fasting_between(asked.tx, asked.person, asked.since, asked.until))
    except InsufficientData as few:
        return results_json.write_few_fasting(few)


def _eating_json(asked: Request) -> results_json.Json:
    found = eating_between(asked.tx, asked.person, asked.since, asked.until)
    return results_json.write_eating(found, asked.person.zone)


def _wear_json(asked: Request) -> list[results_json.Json]:
    return [results_json.write_sensor(sensor, asked.person.zone) for sensor in _sensors(asked)]


def _sensors(asked: Request) -> tuple[SensorWear, ...]:
    return sensors_between(asked.tx, asked.person, asked.since, asked.ends)


def _say_meals(asked: Request) -> list[Outgoing]:
    """List the meals, then the best and the worst; pictures of the ranking and of the newest curves."""
    person, meals, servings = asked.person, asked.meals, asked.servings()
    if not meals:
        return [Outgoing(person.id, "No meal is noted in that time.")]
    by_id = asked.servings_by_note()
    days = [numbers.day(meal.at, person.zone) for meal in meals]
    lines = [
        f"{day} {meal_line(meal, by_id.get(meal.id), person.zone)}"
        for day, meal in zip(days, meals, strict=True)
    ]
    ranking = rank_meals(servings)
    week = PictureSpec("week", "meals", since=asked.since or EVER, until=asked.ends)
    said = [
        Outgoing(person.id, "\n".join(lines)),
        Outgoing(person.id, best_and_worst(ranking), picture=week if ranking.meals else None),
    ]
    curves = [s for s in servings if s.curve is not None]
    if len(curves) > MOST_CURVES:
        few = f"Of {len(curves)} curves only the newest {MOST_CURVES} are drawn: name a span for others."
        said.append(Outgoing(person.id, few))
    for serving in curves[-MOST_CURVES:]:
        local = serving.at.astimezone(person.zone)
        name = f"{local:%Y-%m-%d-%H%M}-{serving.slot}"
        said.append(Outgoing(person.id, "", picture=PictureSpec("curve", name, entry_id=serving.entry_id)))
    return said + _show_servings(asked, servings)


def _show_servings(asked: Request, servings: Sequence[Serving]) -> list[Outgoing]:
    """Show all servings of each meal that was eaten often, by portion."""
    by_meal: dict[str, list[Serving]] = {}
    for serving in servings:
        if serving.mmol.size:
            by_meal.setdefault(serving.key, []).append(serving)
    often = sorted((of for of in by_meal.values() if len(of) >= OFTEN), key=lambda of: -len(of))
    return [
        Outgoing(
            asked.person.id,
            "",
            picture=PictureSpec(
                "servings", f"servings-{n}", groups=((of[-1].title, tuple(s.entry_id for s in of)),)
            ),
        )
        for n, of in enumerate(often[:MOST_MEALS], 1)
    ]


def _say_ranking(asked: Request) -> list[Outgoing]:
    week = _week(asked)
    ranking = rank_meals(week.servings())
    picture = PictureSpec("week", "ranking", since=week.since or EVER, until=week.ends)
    return [Outgoing(week.person.id, best_and_worst(ranking), picture=picture if ranking.meals else None)]


def _say_day(asked: Request) -> list[Outgoing]:
    """Say one day as such, several by the average day, weekdays against weekends, and a summary."""
    tx, person, since, until = asked.tx, asked.person, asked.since or EVER, asked.ends
    if until - since <= answering_days.LONGEST_DAY:
        return [answering_days.say_day(tx, person, since, until)]
    return [
        answering_days.say_average(tx, person, since, until),
        answering_days.say_weekends(tx, person, since, until),
        *_beside(tx, person, since, until),
        answering_days.say_summary(tx, person, since, until),
    ]


def _beside(tx: Transaction, person: Person, since: datetime, until: datetime) -> list[Outgoing]:
    """Say the day from waking where nights were noted, and two shifts where there are two."""
    told = sorted(set(shift_days(tx, person, since, until).values()))
    shifts = [Question("day", since, until, a, sort="shifts", against=b) for a, b in combinations(told, 2)]
    said = [answer_waking(tx, person, Question("day", since, until, sort="waking"), until)]
    said += [answer_shifts(tx, person, question, until) for question in shifts]
    return [message for message in said if message.picture is not None]


def _say_fasting(asked: Request) -> list[Outgoing]:
    return [answering_days.say_fasting(asked.tx, asked.person, asked.since or EVER, asked.ends)]


def _say_eating(asked: Request) -> list[Outgoing]:
    return [answering_days.say_eating(asked.tx, asked.person, asked.since or EVER, asked.ends)]


def _say_wear(asked: Request) -> list[Outgoing]:
    said = results_fasting.wear(_sensors(asked), asked.person.zone, asked.person.unit)
    run = say_run(asked.tx, asked.person, asked.since or EVER, asked.ends)
    return [Outgoing(asked.person.id, said), run] if run.picture else [Outgoing(asked.person.id, said)]


_JSON: dict[What, Callable[[Request], object]] = {
    "meals": _meals_json,
    "foods": drives.foods_json,
    "habits": drives.habits_json,
    "variants": drives.variants_json,
    "ranking": _ranking_json,
    "day": _day_json,
    "fasting": _fasting_json,
    "eating": _eating_json,
    "wear": _wear_json,
    "trials": drives.trials_json,
    "plan": drives.plan_json,
    "feelings": over_run.JSON["feelings"],
    "progress": over_run.JSON["progress"],
    "good-days": over_run.JSON["good-days"],
    "intakes": over_run.JSON["intakes"],
}
_WORDS: dict[What, Callable[[Request], list[Outgoing]]] = {
    "meals": _say_meals,
    "foods": drives.say_foods,
    "habits": drives.say_habits,
    "variants": drives.say_variants,
    "ranking": _say_ranking,
    "day": _say_day,
    "fasting": _say_fasting,
    "eating": _say_eating,
    "wear": _say_wear,
    "trials": drives.say_trials,
    "plan": drives.say_plan,
    "feelings": over_run.WORDS["feelings"],
    "progress": over_run.WORDS["progress"],
    "good-days": over_run.WORDS["good-days"],
    "intakes": over_run.WORDS["intakes"],
}
