"""Trials as plain JSON values, with the promised keys; nothing is rounded."""

from dataclasses import asdict

from analysis.trials.verdict import Difference
from bot.commandline.results_json import Json
from bot.frames.trials import Standing
from bot.reply.results_trials import question


def write_trial(found: Standing) -> Json:
    """Write one trial; differences are of the signed two-hour area, the second arm minus the first.

    repeats_needed: pairs still to go, at most; state: running, stopped or judged
    """
    verdict, ended = found.verdict, found.trial.ended
    return {
        "name": found.protocol.question,
        "question": question(found.protocol),
        "arms": [asdict(arm) for arm in verdict.arms],
        "difference": _difference(verdict.difference),
        "percent": _difference(verdict.percent),
        "probability": verdict.probability,
        "verdict": verdict.word,
        "repeats_needed": verdict.to_go,
        "state": "running" if ended is None else ended.what,
        "pairs": verdict.pairs,
        "pairs_agreed": found.protocol.pairs,
        "seed": found.protocol.seed,
        "set_aside": [
            {"id": one.offered.entry_id, "why": list(one.reasons)}
            for one in found.course.judged
            if one.reasons
        ],
    }


def _difference(one: Difference | None) -> Json | None:
    return None if one is None else asdict(one)
