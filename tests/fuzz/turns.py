"""Sends a bot with a month of data whatever comes: `python -m tests.fuzz.turns [--turns N] [--seed S]`.

Texts are notes and questions of the corpus (its tuning part), joins and mutilations of them, and characters
of all kinds; between them buttons that are there, that were there or never were, edits, answers to other
messages, files and what the clock brings. After every `ANEW` turns it begins anew from that month, as
nobody's diary holds thousands of such texts. Nothing may break, no message may bring more than
`MOST_MESSAGES` answers or `MOST_PICTURES` pictures, and the record must be readable afterwards.
"""

import argparse
import logging
import random
import sqlite3
import sys
import time
import traceback
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path

from bot.model.messages import Attachment, Button, Incoming, Outgoing
from tests.corpus.corpus import notes_of
from tests.month.play import play_month
from tests.month.script import day_of, month
from tests.talk import Talk, talking

MOST_MESSAGES, MOST_PICTURES = 10, 3
ANEW = 500
SLOW_MS = 60.0
"""Aim for a text that asks for no analysis."""
ASKED = Path(__file__).parents[1] / "bot" / "understanding" / "questions" / "asked.txt"
_ODD = [
    "\0", "\ud800", "\u202e", "\u200b", "🍎", "ß", "İ", "١٢:٣٠", "½", "%", "{}", "{0}", "'; DROP TABLE x;",
    "<b>", "&amp;", "\n\n\n", "\t", "/", "(file x)", "9" * 40, "-1", "1e309", "nan", "24:61", "0000-00-00",
    "31.2.", "a" * 500, "undo", "/erase", "/start", "/zone", "/quiet 25:00-99:99", "yes", "no", "2",
]  # fmt: skip
_PRESSES = [
    "",
    "undo",
    "undo:",
    "undo:1",
    "undo:99999999999999999999",
    "amount:-1",
    "erase:x",
    ":",
    "a:b:c",
    "\0",
]


@dataclass
class Found:
    """What a run came to."""

    turns: int = 0
    broke: list[str] = field(default_factory=list)
    flooded: list[tuple[str, int, int]] = field(default_factory=list)
    ms: list[tuple[float, str]] = field(default_factory=list)

    def slowest(self, n: int) -> list[tuple[float, str]]:
        """Return the turns that took longest (ms), and what was sent."""
        return sorted(self.ms, reverse=True)[:n]


class Sender:
    """Makes up what comes next."""

    def __init__(self, seed: int) -> None:
        self._draw = random.Random(seed)
        notes = [note["text"] for note in notes_of("tuning")]
        asked = [
            line.split(" | ", 1)[1]
            for line in ASKED.read_text(encoding="utf-8").splitlines()
            if " | " in line
        ]
        self._texts = [*notes, *asked]

    def text(self) -> str:
        """Return a text: one of the corpus, whole, joined, mutilated, or hardly one."""
        draw = self._draw
        one = draw.choice(self._texts)
        match draw.randrange(8):
            case 0 | 1:
                return one
            case 2:
                return draw.choice([", ", "\n", " and ", ". "]).join([one, draw.choice(self._texts)])
            case 3:
                words = one.split()
                draw.shuffle(words)
                return " ".join(words)
            case 4:
                return self._mutilate(one)
            case 5:
                return " ".join(draw.choices(_ODD + one.split(), k=draw.randint(1, 9)))
            case 6:
                return "".join(chr(draw.randrange(1, 0x2FFF)) for _ in range(draw.randint(1, 80)))
            case _:
                return " ".join(draw.choices(self._texts, k=draw.randint(2, 30)))[:4096]

    def _mutilate(self, text: str) -> str:
        letters = list(text)
        for _ in range(self._draw.randint(1, 6)):
            place = self._draw.randrange(len(letters) + 1)
            match self._draw.randrange(3):
                case 0:
                    letters[place:place] = self._draw.choice(_ODD)
                case 1:
                    del letters[place : place + self._draw.randint(1, 4)]
                case _:
                    letters[place : place + 1] = letters[place : place + 1] * 2
        return "".join(letters)

    def message(self, heard: Sequence[Outgoing]) -> dict[str, object]:
        """Return the fields of the next message, given what the bot has said."""
        draw = self._draw
        kind = draw.random()
        buttons = [(said, button) for said in heard[-40:] for button in said.buttons]
        if kind < 0.15 and buttons:
            said, button = draw.choice(buttons)
            return {"press": _spoil(button, draw), "message_id": f"bot-{said.id}"}
        if kind < 0.18:
            return {"press": draw.choice(_PRESSES), "message_id": "bot-1"}
        if kind < 0.22:
            return {"text": self.text(), "edited": True, "message_id": f"m{draw.randint(1, 400)}"}
        if kind < 0.27 and heard:
            return {"text": self.text(), "reply_to": f"bot-{draw.choice(heard).id}"}
        if kind < 0.29:
            name, other = draw.choice(
                [
                    ("x.csv", b""),
                    ("a.json", b"[" * 99),
                    ("b.zip", b"PK\3\4"),
                    ("c", self.text().encode("utf-8", "replace")),
                ]
            )
            return {"file": Attachment(name, other)}
        if kind < 0.30:
            return {"other": draw.choice(["photo", "voice", "sticker", "location", ""]), "text": ""}
        return {"text": self.text()}


def _spoil(button: Button, draw: random.Random) -> str:
    return button.data if draw.random() < 0.8 else button.data[: draw.randint(0, len(button.data))] + "9"


class _Broken(logging.Handler):
    def __init__(self, found: Found) -> None:
        super().__init__(logging.ERROR)
        self._found = found

    def emit(self, record: logging.LogRecord) -> None:
        error = record.exc_info[1] if record.exc_info else None
        stack = traceback.extract_tb(error.__traceback__) if error is not None else []
        places = [f"{Path(place.filename).name}:{place.lineno}" for place in stack]
        where = f"{', '.join(places[-4:])}; most often {Counter(places).most_common(6)}"
        self._found.broke.append(f"{error!r} at {where}")


def fuzz(talk: Talk, turns: int, seed: int) -> Found:
    """Send a bot so many messages, the clock moving on between them; return what came of it."""
    found, sender, draw = Found(), Sender(seed), random.Random(seed + 1)
    handler = _Broken(found)
    logging.getLogger("bot").addHandler(handler)
    try:
        for number in range(turns):
            talk.clock.move_to(talk.clock.now() + timedelta(minutes=draw.expovariate(1 / 40)))
            said = talk.app.tick()
            fields = sender.message(talk.heard)
            incoming = Incoming(
                person=talk.person,
                sent_at=talk.clock.now(),
                **{"update_id": f"f{seed}-{number}", "message_id": f"m{number}", **fields},  # type: ignore[arg-type]
            )
            started = time.process_time()
            answers = talk.app.receive(incoming)
            shown = repr(fields)[:200]
            found.ms.append((1000 * (time.process_time() - started), shown))
            pictures = sum(len(message.drawn) for message in answers)
            if len(answers) > MOST_MESSAGES or pictures > MOST_PICTURES:
                found.flooded.append((shown, len(answers), pictures))
            for message in [*said, *answers]:
                assert message.id is not None
                talk.app.sent({message.id: f"bot-{message.id}"})
            talk.heard = [*talk.heard, *said, *answers][-200:]
            found.turns += 1
    finally:
        logging.getLogger("bot").removeHandler(handler)
    return found


@contextmanager
def lived(days: int) -> Iterator[Talk]:
    """Give a talk with the first days of the month of `tests.month` behind it."""
    steps = [step for step in month() if day_of(step.at) <= days]
    with talking(start=steps[0].at) as talk:
        play_month(talk, steps)
        yield talk


def fuzz_months(month: Talk, turns: int, seed: int) -> Found:
    """Send so many messages, `ANEW` of them to each of as many copies of a month; return what came of it."""
    found = Found()
    for begun in range(0, turns, ANEW):
        with talking(start=month.clock.now()) as talk:
            _raw(month).backup(_raw(talk))
            talk.heard = list(month.heard)
            one = fuzz(talk, min(ANEW, turns - begun), seed + begun)
            talk.meals()  # the record must be readable
        found.turns += one.turns
        found.broke += one.broke
        found.flooded += one.flooded
        found.ms += one.ms
        print(f"{found.turns} turns, {len(found.broke)} broke", file=sys.stderr, flush=True)
    return found


def _raw(talk: Talk) -> sqlite3.Connection:
    raw = talk.app.store._engine.raw_connection().driver_connection  # in memory there is one
    assert isinstance(raw, sqlite3.Connection)
    return raw


def main() -> None:
    """Send 20,000 messages and print what came of them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--turns", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--days", type=int, default=28)
    asked = parser.parse_args()
    with lived(asked.days) as month:
        found = fuzz_months(month, asked.turns, asked.seed)
    times = sorted(ms for ms, _ in found.ms)
    print(f"{found.turns} turns, {len(found.broke)} broke, {len(found.flooded)} brought too much")
    print(
        "ms: "
        + ", ".join(
            f"{q:.0%} {times[min(len(times) - 1, int(q * len(times)))]:.1f}" for q in (0.5, 0.9, 0.99, 1.0)
        )
    )
    print(f"over {SLOW_MS:.0f} ms: {sum(ms > SLOW_MS for ms in times)}")
    for line, count in Counter(found.broke).most_common(20):
        print(f"broke {count}: {line}")
    for line in found.flooded[:10]:
        print("too much:", line)
    for ms, line in found.slowest(15):
        print(f"{ms:7.0f} ms {line[:150]}")
    sys.exit(bool(found.broke or found.flooded))


if __name__ == "__main__":
    main()
