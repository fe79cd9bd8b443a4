"""Talking in the terminal: lines in, messages out, pictures into a folder."""

import threading
import uuid
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Protocol, TextIO

from bot.app import App
from bot.channels.saying import FILE, PRESS, find_button, spoken
from bot.model.errors import StoreError
from bot.model.files import read_at_most, write_private_in
from bot.model.messages import Attachment, Incoming, Outgoing
from bot.talk.files import MOST_BYTES

if TYPE_CHECKING:  # a terminal's library is loaded for a terminal only
    from bot.channels.prompting import Prompt

TICK_S = 20.0
HELLO = "Write what you eat, as you eat it. “help” says more; Ctrl-D ends the talk.\n"
MARK = "> "
MOST_RECENT = 12
"""The buttons of so many messages are offered."""


class Out(Protocol):
    """Where the talk is shown."""

    def write(self, text: str, /) -> object:
        """Take in a text."""

    def flush(self) -> None:
        """Show it."""


class Console:
    """A talk of one person in the terminal.

    bot: what answers; pictures: folder that pictures are saved to
    """

    def __init__(self, bot: App, person: str, *, pictures: Path) -> None:
        self._bot, self._person, self._pictures = bot, person, pictures
        self._messages: list[Outgoing] = []
        self._one_at_a_time = threading.Lock()
        self._prompt: Prompt | None = None

    def run(self, lines: TextIO, out: TextIO) -> None:
        """Talk in plain text until the lines end; reminders appear by themselves meanwhile."""

        def ask() -> str:
            out.write(MARK)
            out.flush()
            line = lines.readline()
            if not line:
                raise EOFError
            if not lines.isatty():
                out.write(line.rstrip("\n") + "\n")
            return line

        self._talk(ask, out, MARK)

    def run_in(self, prompt: "Prompt") -> None:
        """Talk in a terminal until the person ends it."""
        self._prompt = prompt
        self._talk(prompt.ask, prompt, "")

    @property
    def labels(self) -> list[str]:
        """The buttons of the newest messages, newest first."""
        recent = self._messages[: -1 - MOST_RECENT : -1]
        return [button.label for message in recent for button in message.buttons]

    def _talk(self, ask: Callable[[], str], out: "Out", mark: str) -> None:
        stop = threading.Event()
        ticking = threading.Thread(target=self._tick_until, args=(stop, out, mark), daemon=True)
        out.write(HELLO)
        with self._one_at_a_time:
            self._show([*self._bot.unsent(), *self._bot.tick()], out)
            if not self._bot.knows(self._person):
                self._answer("/start", out)
        ticking.start()
        try:
            while True:
                line = ask()
                with self._one_at_a_time:
                    self._answer(line.strip(), out)
        except (EOFError, KeyboardInterrupt):
            pass  # the usual ways to leave a terminal program
        finally:
            stop.set()
            ticking.join()
            out.write("\n")
            out.flush()

    def _tick_until(self, stop: threading.Event, out: "Out", mark: str) -> None:
        while not stop.wait(TICK_S):
            with self._one_at_a_time:
                try:
                    due = self._bot.tick()
                except StoreError as error:  # the next tick comes all the same
                    out.write(f"\n{error}\n{mark}")
                    out.flush()
                    continue
                if due:
                    out.write("\n")
                    self._show(due, out)
                    out.write(mark)
                    out.flush()

    def _answer(self, line: str, out: "Out") -> None:
        incoming = self._read(line)
        if isinstance(incoming, str):
            out.write(incoming + "\n")
        else:
            self._show(self._bot.receive(incoming), out)
            if self._prompt is not None and not self._bot.knows(self._person):
                self._prompt.forget()

    def _read(self, line: str) -> Incoming | str:
        """Return the message a line stands for, or what to say when it names no file or button."""
        update_id, at = f"{self._person}:{uuid.uuid4()}", self._bot.clock.now()
        pressed = PRESS.fullmatch(line)
        if pressed is not None:
            found = find_button(self._messages, pressed["label"])
            if found is None:
                return f"No message of this talk has a button “{pressed['label']}”."
            return Incoming(self._person, update_id, at, message_id=f"bot-{found[0].id}", press=found[1])
        filed = FILE.fullmatch(line)
        path = Path(filed["path"] if filed else line).expanduser()
        if filed is not None or (line.startswith(("/", "~", "./")) and path.is_file()):
            try:
                attachment = Attachment(path.name, read_at_most(path, MOST_BYTES))
            except OSError as error:
                return f"{path} cannot be read: {error.strerror}."
            return Incoming(self._person, update_id, at, message_id=update_id, file=attachment)
        return Incoming(self._person, update_id, at, message_id=update_id, text=line)

    def _show(self, messages: list[Outgoing], out: "Out") -> None:
        for message in messages:
            assert message.id is not None
            out.write(spoken(message) + "\n")
            for spec in message.drawn:
                picture = self._bot.draw(spec, self._person)
                path = write_private_in(self._pictures, spec.file, [picture.page or picture.png])
                out.write(f"{picture.alt}\n{path}\n")
            self._bot.sent({message.id: f"bot-{message.id}"})
            self._messages.append(message)
        out.flush()
