"""The look back on a week: what it says beyond noise, in one message with one picture and one suggestion."""

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING

from analysis.errors import InsufficientData
from analysis.kept import keeping
from bot.answers.avoided import is_treated
from bot.answers.days import end_of
from bot.answers.drives import LOOK_BACK, Judged, judge_between
from bot.answers.plan import find_plan
from bot.model.entries import Fact, Meal, Question
from bot.model.messages import Button, Outgoing, PictureSpec
from bot.reminders.days import WEEK_DAYS, week_before
from bot.reminders.evenings import week_begins
from bot.reminders.rules import first_instant
from bot.reminders.trying import Serving
from bot.store import Person, Transaction

if TYPE_CHECKING:  # loading numpy can wait for the first review
    from analysis.foods.effects import FoodEffect
    from analysis.habits.effects import LeverEffect
    from analysis.phases import Change
    from analysis.plan.suggest import Suggestion
    from bot.frames.rows import Occasions
    from bot.reply.results_week import Found, Week

TRY, TEST, NO_MORE = "try", "test", "no reviews"
"""What the buttons of a review stand for: to be reminded of its suggestion, to test it, to end reviews."""
NO_MORE_BUTTON = Button("No more of these", NO_MORE)
TESTABLE = ("without", "alone", "lever")
LEAST_DAYS, MOST_DAYS = 2, 10
"""So many days a span may have to be looked back on as a week."""
FIRST_DAYS = 7


@dataclass(frozen=True, slots=True)
class Span:
    """A week: its first and last local day, and [since, until), which ends now where the week is not over."""

    first: date
    last: date
    since: datetime
    until: datetime


def review_due(tx: Transaction, person: Person, due_at: datetime, now: datetime) -> Outgoing | None:
    """Return the review that falls due at `due_at`, None where nothing was noted in its week."""
    days = week_before(due_at, week_begins(tx, person), person.zone)
    with keeping():
        said = _review(tx, person, _span(person, *days, now), now)
    return None if said is None else Outgoing(
        said.person, said.text, (*said.buttons, NO_MORE_BUTTON), said.picture, reminder=True
    )  # fmt: skip


def answer_week(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Look back on the week that was asked for, else on the last seven days."""
    until, today = end_of(question, now), now.astimezone(person.zone).date()
    days = today - timedelta(days=WEEK_DAYS - 1), today
    if question.since is not None:
        asked = (question.since.astimezone(person.zone).date(), _day_before(until, person))
        if LEAST_DAYS <= (asked[1] - asked[0]).days + 1 <= MOST_DAYS:
            days = max(asked[0], asked[1] - timedelta(days=WEEK_DAYS - 1)), asked[1]
    said = _review(tx, person, _span(person, *days, now), now)
    if said is None:
        return Outgoing(person.id, "Nothing is noted in these days, so there is nothing to look back on.")
    return said


def _day_before(until: datetime, person: Person) -> date:
    return (until - timedelta.resolution).astimezone(person.zone).date()


def _span(person: Person, first: date, last: date, now: datetime) -> Span:
    since, end = (first_instant(day, time(0), person.zone) for day in (first, last + timedelta(days=1)))
    return Span(first, last, since, min(end, now + timedelta.resolution))


def _review(tx: Transaction, person: Person, span: Span, now: datetime) -> Outgoing | None:
    """Return the look back on a week; None where nothing was noted in it."""
    meals = tx.log.between(person.id, ("meal",), span.since, span.until)
    if not any(isinstance(one.entry, Meal) and one.entry.items for one in meals):
        return None
    span = _without_before(tx, person, span, meals[0].at)
    from bot.reply.results_week import review

    plan, occasions, _ = find_plan(tx, person, now)
    facts = tx.facts.all(person.id)
    chosen = None if _eats_in_care(facts) or not plan.suggestions else plan.suggestions[0]
    text = review(_look(tx, person, span), chosen, occasions.names, person.unit)
    buttons = () if chosen is None else _buttons(tx, person, chosen, occasions, facts)
    name = f"look-back-to-{span.last:%Y-%m-%d}"
    picture = PictureSpec("review", name, since=span.since, until=span.until)
    return Outgoing(person.id, text, buttons=buttons, picture=picture)


def _without_before(tx: Transaction, person: Person, span: Span, first_meal_at: datetime) -> Span:
    """Return a week without its days before somebody came, had readings, or noted a meal."""
    read = tx.readings.arrays(person.id, span.since, span.until)[0]
    began = [person.created_at, first_meal_at]
    began += [datetime.fromtimestamp(min(read), UTC)] if len(read) else []
    first = min(began).astimezone(person.zone).date()
    return span if first <= span.first else replace(span, first=first)


def _eats_in_care(facts: list[Fact]) -> bool:
    """Tell whether what to eat next is nothing for a bot to say."""
    return any(fact.what == "eating disorder" for fact in facts)


def _buttons(
    tx: Transaction, person: Person, chosen: "Suggestion", occasions: "Occasions", facts: list[Fact]
) -> tuple[Button, ...]:
    """Return the button that starts a suggestion: a test where it makes one, else a word before that meal."""
    from bot.frames.rows import food_of

    for row in reversed(occasions.rows):
        plate = tx.log.get(row.entry_id)
        if plate is not None and isinstance(plate.entry, Meal):
            foods = [food_of(item) for item in plate.entry.items]
            if {*foods} == {*chosen.foods}:
                break
    else:  # it was only eaten beside other notes
        return ()
    of = str(foods.index(chosen.of)) if chosen.of in foods else chosen.of
    serving = Serving(chosen.kind, of, plate.id)
    free = tx.trials.running(person.id) is None and not is_treated(facts)
    if chosen.kind in TESTABLE and free:
        return (Button("Test it", f"{TEST}:{serving.written}"),)
    return (Button("Remind me of it", f"{TRY}:{serving.written}"),)


def _look(tx: Transaction, person: Person, span: Span) -> "Week":
    """Look up and judge all that a week's review may say."""
    from analysis.intakes import describe_intakes
    from analysis.ranking import rank_meals
    from bot.frames.sensors import wear_between
    from bot.frames.servings import servings_between
    from bot.frames.whole_days import intakes_between
    from bot.reply.results_week import Week

    servings = servings_between(tx, person, span.since, span.until)
    worn = wear_between(tx, person, span.since, span.until)
    before_today = first_instant(_day_before(span.until, person), time(0), person.zone)
    change, first_week = _against_first(tx, person, span)
    first = None
    if first_week is not None:
        first = describe_intakes(intakes_between(tx, person, *first_week))
    return Week(
        first=span.first,
        last=span.last,
        meals=len(servings),
        scored=sum(one.evenness is not None for one in servings),
        covered=None if worn is None else worn.share,
        covered_from=None if worn is None else _later_day(worn.since, person, span),
        ranking=rank_meals(servings if person.scores else ()),
        found=_found(tx, person, span),
        trial=_trial(tx, person, span.until),
        change=change,
        eaten=describe_intakes(intakes_between(tx, person, span.since, before_today)),
        eaten_first=first,
    )


def _later_day(since: datetime, person: Person, span: Span) -> date | None:
    """Return the day that readings begin on, None where it is the week's first."""
    day = since.astimezone(person.zone).date()
    return day if day > span.first else None


def _found(tx: Transaction, person: Person, span: Span) -> "Found":
    """Return which foods and habits stand out by the week's end, and which of them did not before it."""
    from bot.reply.results_week import Found

    judged = judge_between(tx, person, span.until - LOOK_BACK, span.until)
    if judged is None:
        return Found()
    before = judge_between(tx, person, span.since - LOOK_BACK, span.since)
    of_week = [
        row
        for row, serving in zip(judged.occasions.rows, judged.occasions.servings, strict=True)
        if serving.at >= span.since
    ]
    eaten = {one.food for row in of_week for one in row.eaten}
    foods = [one for one in _stand_out(judged) if one.food in eaten]
    known = set() if before is None else {one.food for one in _stand_out(before)}
    levers, known_levers = _told(judged), {one.name for one in ([] if before is None else _told(before))}
    return Found(
        foods=tuple(one for one in foods if one.food not in known) or tuple(foods[:1]),
        new_foods=bool({one.food for one in foods} - known),
        levers=tuple(one for one in levers if one.name not in known_levers) or tuple(levers[:1]),
        new_levers=bool({one.name for one in levers} - known_levers),
        names=judged.occasions.names,
    )


def _stand_out(judged: Judged) -> "list[FoodEffect]":
    """Return the foods that add something wherever in its interval the truth lies, the most first."""
    from analysis.foods.effects import NEED
    from bot.reply.results_foods import LITTLE, add_up, ends

    return [one for one in add_up([o for o in judged.found if o.occasions >= NEED]) if ends(one)[0] > LITTLE]


def _told(judged: Judged) -> "list[LeverEffect]":
    """Return the habits that are beyond chance among all, the surest first."""
    from analysis.habits.effects import judge_levers_of, told_among

    found = judge_levers_of(judged.fit, judged.occasions.rows)
    told = told_among(found)
    return sorted((one for one in found if one.name in told), key=lambda one: one.p)


def _trial(tx: Transaction, person: Person, until: datetime) -> str:
    """Say in one sentence how far the test is that runs; "" where none does."""
    trial = tx.trials.running(person.id)
    if trial is None:
        return ""
    from bot.frames.trials import stand
    from bot.reply.results_week import say_test

    found = stand(tx, person, trial, until)
    return say_test(found.protocol, found.course, found.verdict)


def _against_first(
    tx: Transaction, person: Person, span: Span
) -> "tuple[Change | None, tuple[datetime, datetime] | None]":
    """Return how the week's swings differ from those of the first week, and when that was.

    None for both where this is the first week; None for the change where either has too few whole days.
    """
    from bot.frames.whole_days import compare_spans, whole_days_between

    whole = whole_days_between(tx, person, span.since - LOOK_BACK, span.until)
    if not whole.days:
        return None, None
    ends = whole.days[0] + timedelta(days=FIRST_DAYS)
    if ends > span.first:
        return None, None
    since, until = (first_instant(day, time(0), person.zone) for day in (whole.days[0], ends))
    first = [day for day in whole.days if day < ends]
    try:
        changes = compare_spans(whole, first, [day for day in whole.days if span.first <= day <= span.last])
    except InsufficientData:
        return None, (since, until)
    return next(one for one in changes if one.measure == "spread"), (since, until)
