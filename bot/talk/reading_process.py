"""The process that reads one file: it limits itself, reads from its input, and answers on its output.

It is started anew for each file by `bot.talk.reading_files`, so that whatever a file does to it, the bot and
the people who use it do not feel it.
"""

import pickle
import signal
import sys
import traceback
from contextlib import suppress
from typing import Literal

from bot.intake import FileReadings, read_file
from bot.model.errors import AskFile, BadFile

CPU_S = 15
MEMORY_BYTES = 1 << 30
MOST_ANSWER_BYTES = 64 << 20

Answer = (
    tuple[Literal["readings"], FileReadings]
    | tuple[Literal["bad", "broke"], str]
    | tuple[Literal["ask"], tuple[str, Literal["column", "day_first"], tuple[str, ...], str]]
    | tuple[Literal["too much"], None]
)
"""What came of a file: "ask" holds the arguments of AskFile, "broke" the traceback."""


def answer(data: bytes, name: str, how: dict[str, object]) -> Answer:
    """Read a file; `how` are the further arguments of `read_file`."""
    try:
        return "readings", read_file(data, name, **how)  # type: ignore[arg-type]
    except AskFile as question:
        return "ask", (str(question), question.about, question.options, question.layout)
    except BadFile as error:
        return "bad", str(error)
    except MemoryError:
        return "too much", None
    except Exception:  # whatever broke goes to the bot, which logs it and says so to the person
        return "broke", traceback.format_exc()


def limit() -> None:
    """Limit this process in time, memory and what it writes to files, as far as the platform can."""
    for stop in (signal.SIGINT, signal.SIGTERM):  # sent to the whole group when the bot is to stop
        signal.signal(stop, signal.SIG_IGN)
    if sys.platform == "win32":
        return  # the bot still ends it after a time
    import os
    import resource

    os.nice(5)  # answers to others come first
    for what, most in (
        (resource.RLIMIT_CPU, CPU_S),
        (resource.RLIMIT_AS, MEMORY_BYTES),
        (resource.RLIMIT_FSIZE, 0),
        (resource.RLIMIT_CORE, 0),
    ):
        with suppress(ValueError, OSError):  # macOS limits no address space
            resource.setrlimit(what, (most, most))


def main() -> None:
    """Read what stands on the input, as `pickle.dumps((data, name, how))`."""
    limit()
    found = answer(*pickle.load(sys.stdin.buffer))  # noqa: S301  # of the process that began this one
    try:
        written = pickle.dumps(found)
    except MemoryError:
        written = b""
    if not 0 < len(written) <= MOST_ANSWER_BYTES:
        written = pickle.dumps(("too much", None))
    sys.stdout.buffer.write(written)


if __name__ == "__main__":
    main()
