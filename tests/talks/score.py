"""Scores the bot on talks: what stands in the diary at their end.

    python -m tests.talks.score [--part tuning|test|all] [--failures N] [--ids PREFIX,...] [--folder FOLDER]

Right: everything in the log is as a careful person would have it, settings included, and what had to be asked
was asked. Harmful: without a question, an entry was made up, or one that was right is so no longer.
Talks that went wrong are listed for the tuning part only.
"""

import argparse
from collections import defaultdict
from pathlib import Path

from tests.talks.corpus import FOLDER, is_set_aside, talks_of
from tests.talks.playing import Outcome, play


def main(arguments: list[str] | None = None) -> None:
    """Play the talks of one part and print the figures."""
    parser = argparse.ArgumentParser(prog="python -m tests.talks.score")
    parser.add_argument("--part", choices=["tuning", "test", "all"], default="tuning")
    parser.add_argument("--failures", type=int, default=0, metavar="N")
    parser.add_argument("--ids", default="", metavar="PREFIX")
    parser.add_argument("--short", action="store_true", help="list failures in few words")
    parser.add_argument("--folder", type=Path, default=FOLDER)
    wanted = parser.parse_args(arguments)
    ids = tuple(wanted.ids.split(","))
    talks = [t for t in talks_of(wanted.part, wanted.folder) if t["id"].startswith(ids)]
    outcomes = [play(talk) for talk in talks]
    themes: dict[str, list[Outcome]] = defaultdict(list)
    for outcome in outcomes:
        themes["all"].append(outcome)
        themes[outcome.talk["theme"]].append(outcome)
    print(f"{'theme':<14}{'talks':>6}{'right':>7}{'harmful':>9}")
    for theme, of_theme in themes.items():
        n = len(of_theme)
        right = sum(not o.wrong for o in of_theme) / n
        harmful = sum(bool(o.harmful) for o in of_theme) / n
        print(f"{theme:<14}{n:>6}{right:>7.3f}{harmful:>9.3f}")
    shown = [o for o in outcomes if (o.wrong or o.harmful) and not is_set_aside(o.talk["id"])]
    for outcome in shown[: wanted.failures]:
        print(f"\n{outcome.talk['id']} ({outcome.talk['theme']})")
        for (said, answered), turn in zip(outcome.said, outcome.talk["turns"], strict=True):
            heard = " ".join(answered.split())[: 110 if wanted.short else 300]
            print(f"  {turn['at'][5:]} > {said}\n      < {heard}")
        for line in outcome.wrong:
            print(f"    wrong: {line}")
        for line in outcome.harmful:
            print(f"    HARMFUL: {line}")


if __name__ == "__main__":
    main()
