"""Reading a file that came from outside, without harm to the bot: large ones in a process of their own.

A file that takes more than its limits, or breaks what reads it, is refused in one sentence; reading gives the
same each time, so that it is not tried again.
"""

import logging
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable, Hashable
from pathlib import Path

import bot
from bot.intake import FileReadings
from bot.metrics import FILES
from bot.model.errors import AskFile, BadFile
from bot.talk.reading_process import Answer, answer

SMALL_BYTES = 256_000
"""Plain files up to this are read where they are: reading is linear, and takes some tenths of a second."""
WALL_S = 45.0
"""Longer than the process may compute: others compute beside it."""
AT_ONCE = 2
"""How many processes read at the same time: this many times their memory is needed at most."""

_log = logging.getLogger(__name__)
_places = threading.BoundedSemaphore(AT_ONCE)
_ROOT = Path(bot.__file__).parent.parent
_PACKED = (b"\x1f\x8b", b"PK")
_TOO_MUCH = (
    "{name} takes far more time or memory than readings do, so I stopped and stored nothing of it; send a "
    "shorter span of days as CSV text."
)
_BROKE = "{name} couldn't be read to its end, and nothing of it was stored; send the readings as CSV text."

ReadFile = Callable[..., FileReadings]
"""A function with the arguments and the errors of `bot.intake.read_file`."""


class ReadFirst(Exception):
    """Raised out of a turn: a file is to be read before its transaction, which others wait for."""

    def __init__(self, data: bytes, name: str, how: dict[str, Hashable]) -> None:
        super().__init__(name)
        self.data, self.name, self.how = data, name, how


class TurnReader:
    """Reads files for one turn: small ones at once, others only while no transaction is open."""

    def __init__(self) -> None:
        self._known: dict[Hashable, Answer] = {}

    def __call__(self, data: bytes, name: str, **how: Hashable) -> FileReadings:
        """Read as `read_file` does; a file that is not small and not read yet raises ReadFirst."""
        known = self._known.get((data, name, *how.values()))
        if known is None and not is_small(data):
            raise ReadFirst(data, name, how)
        return _say(known or answer(data, name, dict(how)), name)

    def read(self, first: ReadFirst) -> None:
        """Read the file that a turn asked for, and keep what comes of it for the turn's next try."""
        key = (first.data, first.name, *first.how.values())
        self._known[key] = _read_apart(first.data, first.name, first.how)


def read_safely(data: bytes, name: str, **how: Hashable) -> FileReadings:
    """Read as `read_file` does, whatever the file; not within a transaction, for it can take WALL_S."""
    if is_small(data):
        return _say(answer(data, name, dict(how)), name)
    return _say(_read_apart(data, name, how), name)


def is_small(data: bytes) -> bool:
    """Tell whether reading a file is certainly little work."""
    return len(data) <= SMALL_BYTES and not data.startswith(_PACKED)


def _read_apart(data: bytes, name: str, how: dict[str, Hashable]) -> Answer:
    with (
        _places,
        subprocess.Popen(
            [sys.executable, "-m", "bot.talk.reading_process"],
            cwd=_ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        ) as process,
    ):
        try:
            out, err = process.communicate(pickle.dumps((data, name, how)), WALL_S)
        except subprocess.TimeoutExpired:
            _log.warning("reading a file of %d bytes took more than %g s", len(data), WALL_S)
            return "too much", None
        finally:
            process.kill()
    if process.returncode == 0:
        found: Answer = pickle.loads(out)  # noqa: S301  # of a process of our own
        return found
    _log.warning("the process reading a file of %d bytes ended with %d", len(data), process.returncode)
    if process.returncode < 0:  # by a signal: the kernel's, when a limit was reached
        return "too much", None
    return "broke", err.decode(errors="replace")


def _say(found: Answer, name: str) -> FileReadings:
    FILES.labels(found[0]).inc()
    if found[0] == "readings":
        return found[1]
    if found[0] == "ask":
        raise AskFile(*found[1])
    if found[0] == "bad":
        raise BadFile(found[1])
    if found[0] == "too much":
        raise BadFile(_TOO_MUCH.format(name=name))
    _log.error("reading a file broke:\n%s", found[1])
    raise BadFile(_BROKE.format(name=name))
