"""Trials in the talk: proposed, changed, agreed to, put off, ended; each in words and by button."""

import re
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial

from bot.answers import trials as answers
from bot.answers.trial_wish import Wish, read_wish
from bot.model.entries import Meal, Question
from bot.model.messages import Button, Outgoing
from bot.reminders import days
from bot.reminders.planning import reminds
from bot.reminders.quiet_hours import quiet_of
from bot.reminders.trials import next_due
from bot.reminders.trying import Serving
from bot.reply import numbers
from bot.store import Pending, Person, Step, StoredTrial, Transaction
from bot.talk.heard import Heard
from bot.talk.trial_words import agrees_by_name, asks_turn, is_not_today, plain, read_change, read_reply
from bot.understanding import Context, understand
from bot.understanding.questions.trials import TrialAct, read_act

_WHOLE_WISH = re.compile(r"(?:please )?test .+ with and without .+")
OPEN, OPEN_CHANGE = "trial ", "trial change "
"""What is open while a proposal waits for an answer, or for what to change: its number follows."""
ANSWER_WITHIN = timedelta(days=1)
NOISE = "noise"
"""What how much like meals vary is called where it is looked up."""
STILL_OPEN = timedelta(days=2)
"""So old a proposal may be that is agreed to by name."""
WHAT_TO_CHANGE = (
    "What should be different? Say the number of pairs, the meal or an amount, like “8 pairs”, “at lunch” or "
    "“50 g oats”."
)
AGREED_BEFORE = "That test was agreed to before. “How is the test going?” tells where it is."
ASKS_BACK: dict[str, tuple[str, str]] = {
    "trial stop": ("stop", "Shall I end your test ({question})? What was counted so far stays on record."),
    "trial later": ("later", "Shall I put your test ({question}) off for today? The lot stays as it is."),
}
"""What is asked before words that only sound so end a trial or put it off, with the act of its button."""
REFUSED = "Then no test. Ask for one whenever you like."
GOES_ON = " “Undo” lets it go on."


def hear_trial(heard: Heard, question: Question) -> Outgoing:
    """Answer a question about a trial: do what its words want."""
    act = read_act(question.said)
    if act is None and question.sort in ASKS_BACK:
        return _ask_back(heard, *ASKS_BACK[question.sort])
    return _ACTS[act or _guess(heard, question)](heard, question)


def _ask_back(heard: Heard, act: str, asks: str) -> Outgoing:
    """Ask whether words that are only likely to end a trial, or to put it off, are meant so."""
    running = heard.tx.trials.running(heard.person.id)
    if running is None:
        return Outgoing(heard.person.id, answers.NO_TRIAL)
    text = asks.format(question=running.protocol["protocol"]["question"])
    yes, no = (f"{answers.PRESSED}:{each},{running.id}" for each in (act, "keep"))
    return Outgoing(heard.person.id, text, buttons=(Button("Yes", yes), Button("No", no)))


def _guess(heard: Heard, question: Question) -> TrialAct:
    """Return what words that are likely about a trial want."""
    if question.sort == "trial progress":
        return "progress"
    if read_wish(question.said) is not None:
        return "start"
    return "progress" if heard.tx.trials.running(heard.person.id) is not None else "propose"


def _progress(heard: Heard, question: Question | None) -> Outgoing:
    answers.settle(heard.tx, heard.person, heard.incoming.sent_at)
    return answers.say_progress(heard.tx, heard.person, heard.incoming.sent_at)


def _print(heard: Heard, question: Question) -> Outgoing:
    return answers.print_last(heard.tx, heard.person, heard.incoming.sent_at)


def _propose(heard: Heard, question: Question) -> Outgoing:
    open_one = _open_proposal(heard)
    if open_one is not None and agrees_by_name(plain(question.said)):
        return _agree(heard, open_one)
    running = heard.tx.trials.running(heard.person.id)
    person, now = heard.person, heard.incoming.sent_at
    noise = {NOISE: partial(_own_noise, person, now)}
    found = heard.answers.look_up(person, "wish", partial(_choose_wish, person, now), **noise)
    if isinstance(found, str) and running is None:
        return Outgoing(heard.person.id, found)
    return _design(heard, *((Wish(""), "") if isinstance(found, str) else found))


def _choose_wish(person: Person, now: datetime, tx: Transaction) -> tuple[Wish, str] | str:
    return answers.choose_wish(tx, person, now)


def _own_noise(person: Person, now: datetime, tx: Transaction) -> tuple[float, int]:
    return answers.own_noise(tx, person, now)


def _start(heard: Heard, question: Question) -> Outgoing:
    from bot.answers.trial_plan import WHAT_TO_TEST

    wish = read_wish(question.said)
    return Outgoing(heard.person.id, WHAT_TO_TEST) if wish is None else _design(heard, wish, "")


def _design(heard: Heard, wish: Wish, why: str) -> Outgoing:
    """Propose what a wish asks for; one trial runs at a time."""
    from bot.answers.trial_plan import design
    from bot.frames.trials import write_protocol

    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    answers.settle(tx, person, now)
    running = tx.trials.running(person.id)
    if running is not None:
        question = running.protocol["protocol"]["question"]
        return Outgoing(
            person.id,
            f"One test runs at a time, and yours is {question}. “How is the test going?” tells where it is, "
            "“stop the test” ends it.",
        )
    noise_cv, df = heard.answers.look_up(person, NOISE, partial(_own_noise, person, now))
    facts = tx.facts.all(person.id)
    made = design(
        wish,
        answers.meals_before(tx, person, now),
        facts,
        noise_cv=noise_cv,
        seed=f"{person.id} {now.isoformat()}",
        look_up=lambda words: _look_up(heard, words),
    )
    if isinstance(made, str):
        return Outgoing(person.id, made)
    trial_id = tx.trials.propose(person.id, write_protocol(made.protocol, made.foods), now)
    tx.pending.ask(person.id, f"{OPEN}{trial_id}", None, now, now + ANSWER_WITHIN)
    return answers.say_plan(person, trial_id, made, facts, why, df, reminded=reminds(tx, person, now))


def propose_serving(heard: Heard, serving: Serving, plate: Meal) -> Outgoing:
    """Propose a test of a plate against its change: without one of its foods, or with a lever."""
    from bot.reply.results_plan import TESTED_NAMES

    names = [item.name for item in plate.items]
    place = int(serving.of) if serving.of.isdecimal() and int(serving.of) < len(names) else 0
    main = beside = names[0]
    if serving.kind == "lever":
        beside = TESTED_NAMES.get(serving.of, serving.of)
    elif len(names) > 1:
        other = names[1] if place == 0 else names[0]
        main, beside = (other, names[place]) if serving.kind == "without" else (names[place], other)
    wish = read_wish(f"test {main} with and without {beside}")
    return _design(heard, wish or Wish(main, beside), "")


def _look_up(heard: Heard, words: str) -> Meal | None:
    """Return a usual portion of what the food table knows by these words."""
    context = Context(now=heard.incoming.sent_at, zone=heard.person.zone, table=heard.table())
    found = [entry for entry in understand(words, context).entries if isinstance(entry, Meal)]
    return found[0] if len(found) == 1 and all(item.food for item in found[0].items) else None


def _open_proposal(heard: Heard) -> StoredTrial | None:
    """Return the proposal made last, where it is young and no trial came of it or runs."""
    known = heard.tx.trials.all(heard.person.id)
    if not known or any(trial.runs for trial in known):
        return None
    last = known[-1]
    young = heard.incoming.sent_at - last.proposed_at <= STILL_OPEN
    return last if young and not last.steps else None


def answer_trial(heard: Heard, pending: Pending | None) -> Outgoing | None:
    """Answer words that agree to a proposal, change or refuse it, or put off what is due today."""
    said = plain(heard.incoming.text)
    trial = _pending_trial(heard, pending)
    if trial is not None:
        match read_reply(said):
            case "agree":
                return _agree(heard, trial)
            case "refuse":
                return Outgoing(heard.person.id, REFUSED)
            case "change":
                return _ask_change(heard, trial)
        asked = pending is not None and pending.about.startswith(OPEN_CHANGE)
        return _change(heard, trial, said, asked=asked)
    if _WHOLE_WISH.match(said) and read_wish(said) is not None:
        return _start(heard, Question("trial", said=heard.incoming.text))  # “without a walk” takes none back
    if agrees_by_name(said) and (open_one := _open_proposal(heard)) is not None:
        return _agree(heard, open_one)
    if heard.tx.trials.running(heard.person.id) is not None:
        if is_not_today(said):
            return _later(heard, None)
        if asks_turn(said):
            return _progress(heard, None)
    return None


def _pending_trial(heard: Heard, pending: Pending | None) -> StoredTrial | None:
    if pending is None or not pending.about.startswith(OPEN):
        return None
    trial = heard.tx.trials.get(int(pending.about.split()[-1]))
    return trial if trial is not None and not trial.steps else None


def _agree(heard: Heard, trial: StoredTrial) -> Outgoing:
    """Begin a trial, and say which arm the lot drew first."""
    from bot.answers.trial_plan import refuse_protocol
    from bot.frames.trials import read_protocol

    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    if trial.agreed_at is not None:
        return Outgoing(person.id, AGREED_BEFORE)
    if tx.trials.running(person.id) is not None:
        return Outgoing(person.id, "Another test runs by now, and one runs at a time.")
    refused = refuse_protocol(read_protocol(trial), tx.facts.all(person.id))
    if refused:  # told since it was proposed
        return Outgoing(person.id, refused)
    tx.trials.step(trial.id, "agreed", heard.incoming.update_id, now)
    running = tx.trials.get(trial.id)
    assert running is not None
    protocol = read_protocol(running)
    lines = [f"Agreed. The lot says first: {protocol.arms[protocol.order[0]].name}."]
    if reminds(tx, person, now):
        at = next_due(tx, person, running, now)
        lines.append(f"I'll remind you {_when(heard, at)}.")
    lines.append("“Not today” puts it off, “stop the test” ends it.")
    return Outgoing(person.id, " ".join(lines))


def _when(heard: Heard, at: datetime) -> str:
    zone, now = heard.person.zone, heard.incoming.sent_at
    days_ahead = (at.astimezone(zone).date() - now.astimezone(zone).date()).days
    day = {0: "today", 1: "tomorrow"}.get(days_ahead, f"on {numbers.day(at, zone)}")
    return f"{day} at {numbers.clock(at, zone)}"


def _ask_change(heard: Heard, trial: StoredTrial) -> Outgoing:
    now = heard.incoming.sent_at
    heard.tx.pending.ask(heard.person.id, f"{OPEN_CHANGE}{trial.id}", None, now, now + ANSWER_WITHIN)
    return Outgoing(heard.person.id, WHAT_TO_CHANGE)


def _change(heard: Heard, trial: StoredTrial, said: str, *, asked: bool) -> Outgoing | None:
    """Propose a trial anew with what the words change of it; None where they change nothing."""
    from bot.answers.trial_plan import Design, refuse_more
    from bot.frames.trials import read_protocol, write_protocol

    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    before = read_protocol(trial)
    after = read_change(said, before, asked=asked)
    if isinstance(after, str):
        return replace(_ask_change(heard, trial), text=after)
    if after == before:
        return None
    known = map(read_protocol, tx.trials.all(person.id))
    too_much = refuse_more(after, next(one for one in known if one.seed == before.seed))
    if too_much:
        return replace(_ask_change(heard, trial), text=too_much)
    foods = trial.protocol["foods"]
    lever = next((lever for arm in after.arms for lever in arm.levers), "")
    trial_id = tx.trials.propose(person.id, write_protocol(after, foods), now)
    tx.pending.ask(person.id, f"{OPEN}{trial_id}", None, now, now + ANSWER_WITHIN)
    _, df = heard.answers.look_up(person, NOISE, partial(_own_noise, person, now))
    made, facts = Design(after, foods, lever), tx.facts.all(person.id)
    return answers.say_plan(person, trial_id, made, facts, "", df, reminded=reminds(tx, person, now))


def _later(heard: Heard, question: Question | None) -> Outgoing:
    """Put off what is due until the person's day is over."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    running = tx.trials.running(person.id)
    if running is None:
        return Outgoing(person.id, answers.NO_TRIAL)
    until = days.day_end(now, quiet_of(person), person.zone)
    if running.put_off_until is not None and running.put_off_until >= until:
        return Outgoing(person.id, "It is put off for today already.")
    tx.trials.step(running.id, "put off", heard.incoming.update_id, now, until=until)
    return Outgoing(person.id, "Not today, then. The lot stays as it is, and I'll ask again another day.")


def _stop(heard: Heard, question: Question | None) -> Outgoing:
    """End the trial that runs, and say honestly what is left of it."""
    from bot.frames.trials import stand

    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    running = tx.trials.running(person.id)
    if running is None:
        return Outgoing(person.id, answers.NO_TRIAL)
    tx.trials.step(running.id, "stopped", heard.incoming.update_id, now)
    ended = tx.trials.get(running.id)
    assert ended is not None
    said = answers.say_end(person, stand(tx, person, ended, now))
    return replace(said, text=f"{said.text}{GOES_ON}")


_ACTS = {
    "print": _print,
    "later": _later,
    "stop": _stop,
    "progress": _progress,
    "start": _start,
    "propose": _propose,
}


def press_trial(heard: Heard, data: str) -> Outgoing | None:
    """Answer a button of a trial; None where it is none of this person's."""
    found = re.fullmatch(r"(agree|change|refuse|later|stop|keep),([0-9]{1,18})", data)
    trial = None if found is None else heard.tx.trials.get(int(found[2]))
    if found is None or trial is None or trial.person != heard.person.id:
        return None
    if found[1] == "keep":
        return Outgoing(heard.person.id, "Then all stays as it is.")
    if found[1] in ("later", "stop"):
        act = _later if found[1] == "later" else _stop
        return act(heard, None) if trial.runs else Outgoing(heard.person.id, "That test is over.")
    if found[1] == "agree":
        return _agree(heard, trial)
    if trial.steps:
        return Outgoing(heard.person.id, AGREED_BEFORE)
    return _ask_change(heard, trial) if found[1] == "change" else Outgoing(heard.person.id, REFUSED)


def end_refused(heard: Heard) -> list[Outgoing]:
    """End the trial that runs where what was just told of the person forbids it, and say so."""
    running = heard.tx.trials.running(heard.person.id)
    if running is None:
        return []
    from bot.answers.trial_plan import refuse_protocol
    from bot.frames.trials import read_protocol

    refused = refuse_protocol(read_protocol(running), heard.tx.facts.all(heard.person.id))
    if not refused:
        return []
    ended = _stop(heard, None)
    return [replace(ended, text=f"{refused} {ended.text.removesuffix(GOES_ON)}")]


def take_back_step(heard: Heard, step: Step) -> Outgoing:
    """Undo what was last done with a trial; one that must not run stays ended."""
    from bot.answers.trial_plan import refuse_protocol
    from bot.frames.trials import read_protocol

    trial = heard.tx.trials.get(step.trial_id) if step.what == "stopped" else None
    if trial is not None:
        refused = refuse_protocol(read_protocol(trial), heard.tx.facts.all(heard.person.id))
        if refused:
            return Outgoing(heard.person.id, f"{refused} The test stays ended.")
    heard.tx.trials.take_back(step, heard.incoming.sent_at)
    said = {
        "agreed": "Taken back: the test is not agreed to, and does not run.",
        "put off": "Taken back: the test is not put off.",
        "stopped": "Taken back: the test goes on as it was.",
    }
    return Outgoing(heard.person.id, said[step.what])
