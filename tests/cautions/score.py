"""Scores the cautions: `python -m tests.cautions.score seen`, or `unseen`."""

import sys
from collections import Counter
from pathlib import Path

from bot.reply import cautions, fixed
from tests.talk import Talk, talking

FOLDER = Path(__file__).parent
SIGNS = {
    "medicine": fixed.ASK_A_CLINICIAN,
    "pregnancy": fixed.PREGNANCY,
    "breastfeeding": cautions.BREASTFEEDING,
    "eating": "Be kind to yourself",
    "low": cautions.LOW.format(value="", line="")[-60:],
    "very low": fixed.VERY_LOW.format(value="")[-60:],
    "high": fixed.VERY_HIGH.format(value="")[-60:],
}
"""What tells a caution in an answer."""


def phrases(part: str) -> list[tuple[str, str]]:
    """Return the kinds and phrases of a part, "seen" or "unseen"."""
    lines = (FOLDER / f"{part}.txt").read_text(encoding="utf-8").splitlines()
    return [(kind, said) for kind, _, said in (line.partition(" | ") for line in lines)]


def cautions_of(talk: Talk, said: str) -> set[str]:
    """Return the kinds of caution in the answer to a phrase."""
    answer = talk.say(said)
    if "Something new" in [button.label for button in talk.heard[-1].buttons]:
        answer += talk.press("Something new")
    return {kind for kind, sign in SIGNS.items() if sign in answer}


def score(part: str) -> tuple[Counter[str], list[str]]:
    """Return how many cautions were right, without need and missed, and the phrases that went wrong.

    Each phrase is said by somebody of its own to one bot, after one noted meal.
    """
    asked = phrases(part)
    with talking() as first:
        talks = [Talk(first.app, first.clock, f"{part}{n}") for n in range(len(asked))]
        for one in talks:
            one.say("rye toast with butter at 6:30")
        first.at("16:00")
        found = [cautions_of(one, said) for one, (_, said) in zip(talks, asked, strict=True)]
    counts: Counter[str] = Counter()
    wrong = []
    for (kind, said), got in zip(asked, found, strict=True):
        wanted = set() if kind == "none" else {kind}
        counts.update(
            {"right": len(got & wanted), "needless": len(got - wanted), "missed": len(wanted - got)}
        )
        counts["phrases"] += 1
        if got != wanted:
            wrong.append(f"{kind} | {said} -> {', '.join(sorted(got)) or 'nothing'}")
    return counts, wrong


def main() -> None:
    """Print the figures of the parts named, and what went wrong in those that may be looked at."""
    for part in sys.argv[1:] or ["seen"]:
        counts, wrong = score(part)
        right, needless, missed = counts["right"], counts["needless"], counts["missed"]
        if part == "seen":
            print("\n".join(wrong))
        print(
            f"{part}: {counts['phrases']} phrases; precision {right / (right + needless):.3f}, "
            f"recall {right / (right + missed):.3f} ({right} right, {needless} needless, {missed} missed)"
        )


if __name__ == "__main__":
    main()
