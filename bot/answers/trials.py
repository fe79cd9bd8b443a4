"""Answers about trials: which one is proposed, how it stands, what counts, and what came out of it."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from bot.answers.drives import judge_between
from bot.answers.trial_wish import TESTED, Wish
from bot.model.entries import Fact, Meal
from bot.model.messages import Button, Outgoing, PictureSpec
from bot.reply import numbers
from bot.store import Person, StoredTrial, Transaction

if TYPE_CHECKING:  # loading numpy can wait for the first trial
    from bot.answers.trial_plan import Design
    from bot.frames.trials import Standing

LOOK_BACK = timedelta(days=60)
PRESSED = "trial"
"""What the data of a trial's button begins with: the act and the trial's number follow."""
OFTEN = 3
NO_TRIAL = (
    "No test runs. “Start a test” lets me choose one; or say what, like “test porridge with and without a "
    "walk”."
)


def meals_before(tx: Transaction, person: Person, now: datetime) -> list[Meal]:
    """Return what was eaten in the last weeks, oldest first."""
    noted = tx.log.between(person.id, ("meal",), now - LOOK_BACK, now + timedelta(minutes=1))
    return [one.entry for one in noted if isinstance(one.entry, Meal) and one.entry.items]


def own_noise(tx: Transaction, person: Person, now: datetime) -> tuple[float, int]:
    """Return how much like meals of a person vary, and by how many occasions (`analysis.trials.noise`)."""
    from analysis.trials.noise import own_cv

    judged = judge_between(tx, person, now - LOOK_BACK, now)
    return own_cv(None if judged is None else judged.fit)


def say_plan(
    person: Person, trial_id: int, made: "Design", facts: Sequence[Fact], why: str, df: int, *, reminded: bool
) -> Outgoing:
    """Word a proposal, with its buttons.

    df: how many repeats of the person's own its noise rests on; reminded: whether reminders are sent now
    """
    from analysis.trials.protocol import plan_pairs
    from bot.reply.results_trials import cautions, plan

    protocol = made.protocol
    chances = plan_pairs(protocol.noise_cv, protocol.pairs)
    warned = cautions(made.lever, facts)
    if not reminded:
        warned.append(
            "I remind you only with all reminders on and a sensor worn; else ask “which arm is next?”."
        )
    text = plan(protocol, chances, warned, why, own_noise=df > 0)
    buttons = [("Agree", "agree"), ("Change", "change"), ("Not now", "refuse")]
    return Outgoing(
        person.id,
        text,
        buttons=tuple(Button(label, f"{PRESSED}:{act},{trial_id}") for label, act in buttons),
    )


def choose_wish(tx: Transaction, person: Person, now: datetime) -> tuple[Wish, str] | str:
    """Return which trial would tell most, and why; or in words why there is none to propose.

    First a habit of which nothing can be told yet, then foods that were never eaten apart, then a walk.
    """
    from analysis.foods.effects import judge_foods
    from analysis.habits.effects import judge_levers
    from bot.answers.trial_plan import NOTHING_OFTEN, NOTHING_OPEN, find_plate
    from bot.frames.rows import rows_between

    meals = meals_before(tx, person, now)
    usual = find_plate("", meals, "", lambda _: None)
    if usual is None or usual.times < OFTEN:
        return NOTHING_OFTEN
    occasions = rows_between(tx, person, now - LOOK_BACK, now)
    levers = {one.name: one for one in judge_levers(occasions.rows)}
    undecided = [one for name, one in levers.items() if name in TESTED and not one.told]
    if undecided:
        one = max(undecided, key=lambda lever: (min(lever.on, lever.off), lever.name))
        each = f"{numbers.count(one.on, 'meal')} with it and {one.off} without"
        why = f" Of your {each} I can't tell yet what it does."
        return Wish(usual.title, NAMES.get(one.name, one.name), one.name, slot=usual.slot), why
    welded = {one.food: {*one.always_with} for one in judge_foods(occasions.rows)}
    held = {food for _, food, _ in usual.foods}
    for name, food, _ in reversed(usual.foods):  # what is named last is most easily left out
        if welded.get(food, set()) & held:
            why = f" You never had {name} without the rest, so I can't tell what of it does what."
            return Wish(usual.title, name, slot=usual.slot), why
    if "walk after" in levers:
        return NOTHING_OPEN
    why = " It is the meal you eat most often, and a walk after it is what I know least of."
    return Wish(usual.title, NAMES["walk after"], "walk after", slot=usual.slot), why


NAMES = {
    "walk after": "a walk", "walk before": "a walk before", "chores after": "chores after it",
    "chores before": "chores before it", "exercise after": "exercise after it",
    "exercise before": "exercise before it",
}  # fmt: skip


def say_progress(tx: Transaction, person: Person, now: datetime) -> Outgoing:
    """Say how the trial that runs stands, or the one that ended last."""
    trial = tx.trials.running(person.id) or _last_agreed(tx, person)
    return Outgoing(person.id, NO_TRIAL) if trial is None else say_trial(tx, person, trial, now)


def say_trial(tx: Transaction, person: Person, trial: StoredTrial, now: datetime) -> Outgoing:
    """Say how one trial stands, or what came out of it."""
    from bot.frames.trials import stand
    from bot.reply import results_trials as words

    found = stand(tx, person, trial, now)
    if trial.ended is not None:
        return say_end(person, found)
    text = words.progress(found.protocol, found.course, found.verdict, len(found.waiting))
    picture = None if found.verdict.look is None else picture_of(trial)
    return Outgoing(person.id, text, picture=picture)


def agreed_trials(tx: Transaction, person: Person) -> list[StoredTrial]:
    """Return the trials that were agreed to, in the order of time."""
    return [one for one in tx.trials.all(person.id) if one.agreed_at is not None]


def _last_agreed(tx: Transaction, person: Person) -> StoredTrial | None:
    return next(reversed(agreed_trials(tx, person)), None)


def say_end(person: Person, found: "Standing") -> Outgoing:
    """Say what came out of a trial that is over, with its picture where it was looked at."""
    from bot.reply import results_trials as words

    ended = found.trial.ended
    assert ended is not None
    if ended.what == "stopped":
        text = words.stopped(found.protocol, found.verdict)
    else:
        text = words.over(found.protocol, found.verdict)
    picture = None if found.verdict.look is None else picture_of(found.trial)
    return Outgoing(person.id, text, picture=picture)


def picture_of(trial: StoredTrial) -> PictureSpec:
    """Return the picture of a trial's pairs."""
    return PictureSpec("trial", f"test-{trial.id}", groups=(("trial", (trial.id,)),))


def with_trial(
    tx: Transaction, person: Person, ids: Sequence[int], replies: Sequence[Outgoing], now: datetime
) -> list[Outgoing]:
    """Return the answers about new curves, each of the trial's saying first whether it counts.

    A trial that is decided by them, or complete, ends: its result follows.
    """
    trial = tx.trials.running(person.id)
    if trial is None:
        return list(replies)
    from bot.frames.trials import stand
    from bot.reply.results_trials import counted

    found = stand(tx, person, trial, now)
    told = []
    for reply in replies:
        judged = None if reply.entry_id is None else found.of_notes([reply.entry_id])
        text = reply.text if judged is None else f"{counted(judged, found.protocol)}\n{reply.text}"
        told.append(replace(reply, text=text))
    shown = {reply.entry_id for reply in replies}
    others = [judged for one in ids if one not in shown and (judged := found.of_notes([one])) is not None]
    told = [Outgoing(person.id, counted(one, found.protocol)) for one in others] + told
    if not settle(tx, person, now):
        return told
    return [*told, say_progress(tx, person, now)]


def settle(tx: Transaction, person: Person, now: datetime) -> bool:
    """End the trial that runs where it is decided or complete; tell whether it ended now.

    It is not always new curves in the chat that show it: readings may be posted in quiet hours.
    """
    from bot.frames.trials import stand

    trial = tx.trials.running(person.id)
    if trial is None:
        return False
    found = stand(tx, person, trial, now)
    if found.verdict.decided_at is None and found.verdict.pairs < found.protocol.pairs:
        return False
    tx.trials.step(trial.id, "judged", "", now)
    return True


def print_last(tx: Transaction, person: Person, now: datetime) -> Outgoing:
    """Print the trial that runs or ended last, with all that a report of it should hold."""
    trial = tx.trials.running(person.id) or _last_agreed(tx, person)
    return Outgoing(person.id, NO_TRIAL) if trial is None else say_protocol(tx, person, trial, now)


def say_protocol(tx: Transaction, person: Person, trial: StoredTrial, now: datetime) -> Outgoing:
    """Print one trial with all that a report of it should hold."""
    from analysis.trials.cent import write_cent
    from bot.frames.trials import stand

    found = stand(tx, person, trial, now)
    text = write_cent(found.protocol, found.course, found.areas, clock=person.zone, unit=person.unit)
    return Outgoing(person.id, text)
