"""What drives it, for the `analyse` command: foods, habits, variants, trials and the plan."""

from analysis.foods.effects import judge_foods
from analysis.habits.effects import judge_levers
from analysis.variants.effects import judge_variants
from bot.answers.habits import takes_medicine
from bot.answers.plan import find_plan, say_plan_of
from bot.answers.trials import agreed_trials, say_protocol, say_trial
from bot.answers.variants import say_staple, scores_of
from bot.commandline import drives_json, results_json
from bot.commandline.plan_json import write_plan
from bot.commandline.request import EVER, Request
from bot.commandline.trials_json import write_trial
from bot.frames.trials import stand
from bot.model.messages import Outgoing
from bot.reply import results_foods, results_habits, results_variants
from bot.store import StoredTrial

NO_TRIALS = "No test was agreed to in that time."


def foods_json(asked: Request) -> list[results_json.Json]:
    """Write what each food adds."""
    occasions = asked.occasions()
    return drives_json.write_foods(judge_foods(occasions.rows), occasions.names)


def habits_json(asked: Request) -> list[results_json.Json]:
    """Write what each habit does."""
    return drives_json.write_habits(judge_levers(asked.occasions().rows))


def variants_json(asked: Request) -> list[results_json.Json]:
    """Write what each version of a staple does."""
    occasions = asked.occasions()
    found = judge_variants(occasions.rows)
    return drives_json.write_variants(found, [scores_of(one, occasions) for one in found], occasions.names)


def say_foods(asked: Request) -> list[Outgoing]:
    """List what each food adds."""
    occasions, person = asked.occasions(), asked.person
    if not occasions.rows:
        return [Outgoing(person.id, results_foods.no_rows(len(occasions.left_out)))]
    found = judge_foods(occasions.rows)
    return [Outgoing(person.id, results_foods.list_foods(found, occasions.names, person.unit))]


def say_habits(asked: Request) -> list[Outgoing]:
    """Say what each habit does."""
    found = judge_levers(asked.occasions().rows)
    medicine = takes_medicine(asked.tx, asked.person)
    return [Outgoing(asked.person.id, results_habits.list_levers(found, medicine=medicine))]


def say_variants(asked: Request) -> list[Outgoing]:
    """Say what the versions of each staple do, each with its picture."""
    occasions, person = asked.occasions(), asked.person
    found = judge_variants(occasions.rows)
    if not found:
        said = results_variants.no_staple("meals", len(occasions.rows), len(occasions.left_out))
        return [Outgoing(person.id, said)]
    span = (asked.since or EVER, asked.ends)
    return [say_staple(person, one, occasions, "", span) for one in found]


def _trials(asked: Request) -> list[StoredTrial]:
    """Return the trials that were agreed to in the span."""
    since, until = asked.since or EVER, asked.ends
    return [
        one
        for one in agreed_trials(asked.tx, asked.person)
        if one.agreed_at is not None and since <= one.agreed_at < until
    ]


def trials_json(asked: Request) -> list[results_json.Json]:
    """Write how each trial stands."""
    return [write_trial(stand(asked.tx, asked.person, one, asked.ends)) for one in _trials(asked)]


def say_trials(asked: Request) -> list[Outgoing]:
    """Say how each trial stands."""
    found = [say_trial(asked.tx, asked.person, one, asked.ends) for one in _trials(asked)]
    return found or [Outgoing(asked.person.id, NO_TRIALS)]


def print_trials(asked: Request) -> list[Outgoing]:
    """Print the protocol of each trial."""
    found = [say_protocol(asked.tx, asked.person, one, asked.ends) for one in _trials(asked)]
    return found or [Outgoing(asked.person.id, NO_TRIALS)]


def plan_json(asked: Request) -> list[results_json.Json]:
    """Write what to try next."""
    found, occasions, _ = find_plan(asked.tx, asked.person, asked.now, since=asked.since, until=asked.until)
    return write_plan(found, occasions.names, asked.person.unit)


def say_plan(asked: Request) -> list[Outgoing]:
    """Say what to try next."""
    return [say_plan_of(asked.tx, asked.person, asked.now, since=asked.since, until=asked.until)]
