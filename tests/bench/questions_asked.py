"""How long answers take: `python -m tests.bench.questions_asked [--months N] [--fuzzed N] [--profile SORT]`.

Every sort of question in two wordings, over the month of `tests.month`, over as many such months, or over
that month and so many turns of `tests.fuzz.turns`. Processor time of whole turns in ms, each question for
the first time over that record; the slowest are printed. `--profile` says where the time of one sort goes.
"""

import argparse
import cProfile
import pstats
import time
from dataclasses import replace
from datetime import timedelta

from bot.model.entries import Reading
from tests.fuzz.turns import ASKED, fuzz, lived
from tests.month.script import DAYS
from tests.talk import Talk

EACH, SHOWN, SHOWN_CALLS = 2, 10, 60
NOT_ASKED = {"none", "trial stop", "trial later", "share"}
"""No questions, and those that end or begin something."""


def questions() -> list[tuple[str, str]]:
    """Return the questions, each with its sort."""
    found: dict[str, list[str]] = {}
    for line in ASKED.read_text(encoding="utf-8").splitlines():
        if " | " in line:
            sort, text = line.split(" | ", 1)
            found.setdefault(sort, []).append(text)
    return [(sort, text) for sort, texts in found.items() if sort not in NOT_ASKED for text in texts[:EACH]]


def lengthen(talk: Talk, months: int) -> None:
    """Put copies of a month before it, entries and readings."""
    with talk.app.store.begin() as tx:
        entries = tx.log.between(talk.person, ("meal", "activity", "sleep", "sensor", "feeling"), None, None)
        readings = tx.readings.between(talk.person, None, None)
        for back in range(1, months):
            away = timedelta(days=DAYS * back)
            for k, one in enumerate(entries):
                entry, key = one.entry, {"update_id": f"b{back}-{k}", "ordinal": 0, "message_id": None}
                moved = {
                    name: getattr(entry, name) - away
                    for name in ("at", "from_at", "to_at")
                    if getattr(entry, name, None) is not None
                }
                tx.log.add(talk.person, replace(entry, **moved), at=one.logged_at - away, **key)  # type: ignore[arg-type]
            earlier = [Reading(one.mmol, one.at - away, one.flag) for one in readings if one.at is not None]
            about = {"source": "file", "at": talk.clock.now() - away, "update_id": f"b{back}"}
            tx.readings.add(talk.person, earlier, **about)  # type: ignore[arg-type]


def ask_all(talk: Talk) -> list[tuple[float, str, str]]:
    """Ask every question once; return the processor's time (ms), the sort and the words, slowest first."""
    found = []
    for sort, text in questions():
        talk.clock.move_to(talk.clock.now() + timedelta(seconds=20))
        began = time.process_time()
        talk.say(text)
        found.append((1000 * (time.process_time() - began), sort, text))
    return sorted(found, reverse=True)


def main() -> None:
    """Ask and print the slowest."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--months", type=int, default=1)
    parser.add_argument("--fuzzed", type=int, default=0)
    parser.add_argument("--profile", metavar="SORT")
    asked = parser.parse_args()
    with lived(1) as day:
        ask_all(day)  # loads what is loaded once
    with lived(DAYS) as talk:
        lengthen(talk, asked.months)
        fuzz(talk, asked.fuzzed, seed=1)
        with talk.app.store.read() as tx:
            held = len(tx.log.between(talk.person, ("meal",), None, None)), tx.readings.count(talk.person)
        print(f"{held[0]} meals, {held[1]} readings")
        if asked.profile:
            for text in (text for sort, text in questions() if sort == asked.profile):
                with cProfile.Profile(time.process_time) as profile:
                    talk.say(text)
                print(text)
                pstats.Stats(profile).sort_stats("cumulative").print_stats(SHOWN_CALLS)
            return
        found = ask_all(talk)
    for ms, sort, text in found[:SHOWN]:
        print(f"{ms:7.0f} ms  {sort}: {text}")
    print(f"{len(found)} questions, half within {found[len(found) // 2][0]:.0f} ms")


if __name__ == "__main__":
    main()
