"""Answers about meals: one meal's curve and score, the curves that new readings completed, best and worst."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from analysis.units import write_glucose
from bot.answers.days import end_of
from bot.answers.sides import names
from bot.answers.trials import with_trial
from bot.frames.occasions import is_food
from bot.language.texts import say
from bot.model.entries import Meal, Question
from bot.model.messages import Button, Outgoing, PictureSpec, show_pictures
from bot.model.naming import join, title
from bot.reminders.quiet_hours import day_began
from bot.reply import fixed, numbers
from bot.reply.cautions import SCORES_HIDDEN
from bot.reply.words import nutrients, teach_like
from bot.store import Logged, Person, Transaction

if TYPE_CHECKING:  # loading numpy can wait for the first curve
    from analysis.results import Serving

FIRST_BITE = "bite"
"""A button that moves a meal to another first bite: its id and the minute since 1970."""
CLOCK_MIN = 5
LOOK_BACK_MEALS = 300


def answer_best_and_worst(
    tx: Transaction, person: Person, since: datetime, until: datetime, slots: Collection[str] = ()
) -> Outgoing:
    """Answer with the most and the least even meals (of some slots) of [since, until), all in a picture."""
    if not person.scores:
        return Outgoing(person.id, say(SCORES_HIDDEN))
    from analysis.ranking import rank_meals
    from bot.frames.servings import servings_between
    from bot.reply.results import best_and_worst

    servings = servings_between(tx, person, since, until)
    of_slot = tuple(s for s in servings if s.slot in slots) if slots else servings
    ranking = rank_meals(of_slot)
    local = until.astimezone(person.zone)
    name = f"week-to-{local:%Y-%m-%d}"
    drawn = len(ranking.meals) > 1 and of_slot == servings  # the picture shows all meals
    picture = PictureSpec("week", name, since=since, until=until) if drawn else None
    return Outgoing(person.id, best_and_worst(ranking), picture=picture)


def answer_one_meal(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Answer with the latest meal that a question means."""
    found = find_meal(tx, person, question, now)
    if found is None:
        return _no_meal(tx, person, question, now)
    said = say_curve(tx, person, found, now)
    figures = nutrients(found.entry.nutrients) if is_food(found) and isinstance(found.entry, Meal) else ""
    if question.sort == "meal nutrients" and figures:  # what was asked for comes first
        rest = "\n".join(line for line in said.text.split("\n") if line != figures)
        said = replace(said, text=f"{figures}\n{rest}")
    return said


def find_meal(tx: Transaction, person: Person, question: Question, now: datetime) -> Logged | None:
    """Return the latest meal that a question means."""
    if question.since is None:
        meals = tx.log.last(person.id, n=LOOK_BACK_MEALS)
    else:
        meals = tx.log.between(person.id, ("meal",), question.since, end_of(question, now))[::-1]
    return next((meal for meal in meals if _fits(meal, question.subject)), None)


def _no_meal(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say that a meal is not noted, and which ones are."""
    last = next(iter(tx.log.last(person.id)), None)
    known = ""
    if last is not None and isinstance(last.entry, Meal):
        when = numbers.day_and_clock(last.at, person.zone, now)
        known = f" The last meal I have is {title(last.entry)}, {when}."
    when = "" if question.since is None else " in that time"
    return Outgoing(
        person.id,
        f"I have no {question.subject or 'meal'} noted{when}.{known} "
        "Note it with its time, like “soup at 12:30”.",
    )


def _fits(logged: Logged, subject: str) -> bool:
    """Tell whether a note is of `subject`; without one, whether it is a meal and not just a coffee."""
    meal = logged.entry
    if not isinstance(meal, Meal) or not meal.items:
        return False
    return names(subject, meal) if subject else meal.slot != "drink" or is_food(logged)


def say_curve(
    tx: Transaction, person: Person, logged: Logged, now: datetime, *, brief: bool = False
) -> Outgoing:
    """Answer with one meal's score and curve; without readings, say what is missing and how to get it.

    brief: without what another curve of the day explained
    """
    from bot.frames.servings import meal_of, serving_of
    from bot.reply.results import scored, scored_briefly

    found = serving_of(tx, person, logged)
    if found is None:
        return Outgoing(person.id, _say_no_curve(logged), entry_id=logged.id)
    serving, earlier = found
    logged = meal_of(tx, serving)
    text = (
        scored_briefly(serving, zone=person.zone, unit=person.unit, now=now, scores=person.scores)
        if brief
        else scored(serving, earlier, zone=person.zone, unit=person.unit, now=now, scores=person.scores)
    )
    held = nutrients(logged.entry.nutrients) if isinstance(logged.entry, Meal) else ""
    if held and serving.evenness is not None and not brief:
        text += f"\n{held}"
    if not len(serving.mmol):
        example = write_glucose(6.1, person.unit)
        text += f" Please sync and send me the readings, or type some, like “{example} at 13:15”."
        return Outgoing(person.id, text, entry_id=logged.id)
    local = logged.at.astimezone(person.zone)
    spec = PictureSpec("curve", f"{local:%Y-%m-%d-%H%M}-{serving.slot}", entry_id=logged.id)
    buttons = _offer_first_bite(serving, person, now)
    return Outgoing(person.id, text, buttons=buttons, picture=spec, entry_id=logged.id)


def _offer_first_bite(serving: "Serving", person: Person, now: datetime) -> tuple[Button, ...]:
    """Offer to move a meal that was noted late to where its rise began, to five minutes of the clock."""
    late_min = None if serving.curve is None else serving.curve.late_min
    if late_min is None:
        return ()
    began = round((serving.at.timestamp() / 60 - late_min) / CLOCK_MIN) * CLOCK_MIN
    clock = numbers.day_and_clock(datetime.fromtimestamp(began * 60, UTC), person.zone, now)
    label = f"The rise began about {clock}: use that time?"
    return (Button(label, f"{FIRST_BITE}:{serving.entry_id},{began}"),)


def _say_no_curve(logged: Logged) -> str:
    """Say why a note is not scored: it was taken back, its foods are not known, or it is only a drink."""
    meal = logged.entry
    if logged.removed_at is not None or not isinstance(meal, Meal):
        return fixed.TAKEN_BACK
    unknown = [item.name for item in meal.items if item.food is None]
    if not unknown:
        return f"I don't score {title(meal)}: there is next to no carbohydrate in it."
    names = join([f"“{name}”" for name in unknown])
    return f"I can't score that {meal.slot}: I don't know {names} yet. Teach it {teach_like(unknown[0])}."


def say_new_curves(
    tx: Transaction, person: Person, ids: Sequence[int], now: datetime, most: int = 3
) -> list[Outgoing]:
    """Answer with the curves that new readings completed: the latest `most`, the others by name."""
    meals = [logged for logged in (tx.log.get(i) for i in ids) if logged is not None]
    meals.sort(key=lambda logged: logged.at)
    rest, shown = meals[:-most], meals[-most:]
    explained = bool(shown) and person.talk == "short" and _saw_curve(tx, person, now)
    curves = []
    for logged in shown:
        curves.append(say_curve(tx, person, logged, now, brief=explained))
        explained = person.talk == "short"
    replies = with_trial(tx, person, ids, curves, now)
    if person.talk == "short":
        replies = _in_one(replies)
    if rest:
        replies.insert(
            0,
            Outgoing(
                person.id,
                f"{numbers.count(len(rest), 'earlier meal')} can be scored too: ask “best and worst this "
                "week”, or for one of them, like “how was lunch yesterday?”.",
            ),
        )
    return replies


def _saw_curve(tx: Transaction, person: Person, now: datetime) -> bool:
    """Tell whether the person was shown a curve today."""
    today = tx.outbox.since(person.id, day_began(now, person))
    return any(picture.kind == "curve" for message in today for picture in message.drawn)


def _in_one(replies: Sequence[Outgoing]) -> list[Outgoing]:
    """Return the curves among some messages as one, with an album; the others follow it."""
    curves = [one for one in replies if any(picture.kind == "curve" for picture in one.drawn)]
    if len(curves) < 2:
        return [*curves, *(one for one in replies if one not in curves)]
    joined = replace(
        curves[-1],
        text="\n".join(one.text for one in curves),
        buttons=tuple(button for one in curves for button in one.buttons),
    )
    album = show_pictures(joined, *(picture for one in curves for picture in one.drawn))
    return [album, *(one for one in replies if one not in curves)]
