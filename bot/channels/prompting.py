"""The line that somebody writes on in a terminal: with history, completion and a little colour.

Only for a terminal; what is piped in and out is plain text (`console.py`).
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

from prompt_toolkit import PromptSession, print_formatted_text
from prompt_toolkit.completion import CompleteEvent, Completer, Completion, PathCompleter
from prompt_toolkit.document import Document
from prompt_toolkit.formatted_text import FormattedText
from prompt_toolkit.history import FileHistory, History, InMemoryHistory
from prompt_toolkit.input import Input
from prompt_toolkit.output import Output
from prompt_toolkit.styles import Style

STYLE = Style.from_dict({"mark": "ansicyan bold", "buttons": "ansicyan", "aside": "italic"})
LEAST_LETTERS = 2
"""So much of an own word is written before it is offered."""


class Prompt:
    """Asks for lines and shows what is answered.

    history: file that lines are kept in, for nobody else to read; None: only while the talk lasts
    commands: (name, what it does); words: gives the person's own words, labels: the buttons there are
    """

    def __init__(
        self,
        history: Path | None,
        commands: Sequence[tuple[str, str]],
        words: Callable[[], Iterable[str]],
        labels: Callable[[], Iterable[str]],
        *,
        source: Input | None = None,
        target: Output | None = None,
    ) -> None:
        self._history, self._target = history, target
        self._completer = TalkCompleter(commands, words, labels)
        self._session: PromptSession[str] = PromptSession(
            history=_open(history), completer=self._completer, style=STYLE, input=source, output=target
        )
        self._waiting = ""

    def ask(self) -> str:
        """Return the line written next; EOFError when the person ends the talk."""
        self.flush()
        self._completer.look()
        return self._session.prompt([("class:mark", "> ")])

    def write(self, text: str) -> None:
        """Take in what is to be shown; it is shown at the next `flush`."""
        self._waiting += text

    def flush(self) -> None:
        """Show what was written, above the line that is being written on."""
        lines, self._waiting = self._waiting.splitlines(), ""
        for line in lines:
            print_formatted_text(FormattedText([(_class_of(line), line)]), style=STYLE, output=self._target)

    def forget(self) -> None:
        """Drop the lines that were kept: everything about the person is deleted."""
        if self._history is not None:
            self._history.unlink(missing_ok=True)
        self._session.history = InMemoryHistory()
        self._session.default_buffer.history = self._session.history
        self._session.default_buffer.reset()


def _open(path: Path | None) -> History:
    if path is None:
        return InMemoryHistory()
    path.parent.mkdir(parents=True, exist_ok=True)
    return FileHistory(str(path))


def _class_of(line: str) -> str:
    if line.startswith("[") and line.endswith("]"):
        return "class:buttons"
    return "class:aside" if line.startswith("(") and line.endswith(")") else ""


class TalkCompleter(Completer):
    """Offers commands, buttons, files and the person's own words."""

    def __init__(
        self,
        commands: Sequence[tuple[str, str]],
        words: Callable[[], Iterable[str]],
        labels: Callable[[], Iterable[str]],
    ) -> None:
        self._commands, self._find_words, self._find_labels = commands, words, labels
        self._paths = PathCompleter(expanduser=True)
        self._words: tuple[str, ...] = ()
        self._labels: tuple[str, ...] = ()

    def look(self) -> None:
        """Look up words and buttons as they are now: once a line, not at each letter."""
        self._words, self._labels = tuple(self._find_words()), tuple(dict.fromkeys(self._find_labels()))

    def get_completions(self, document: Document, complete_event: CompleteEvent) -> Iterator[Completion]:
        """Yield what the words before the cursor may become."""
        said = document.text_before_cursor
        if said.startswith("(file "):
            path = Document(said.removeprefix("(file "))
            yield from self._paths.get_completions(path, complete_event)
        elif said.startswith("("):
            offers = [f"(press {label})" for label in self._labels]
            yield from _offer([*offers, "(file "], said)
        elif said.startswith("/"):
            for name, meaning in self._commands:
                if f"/{name}".startswith(said):
                    yield Completion(f"/{name}", -len(said), display_meta=meaning)
        else:
            yield from self._own_words(said)

    def _own_words(self, said: str) -> Iterator[Completion]:
        """Yield own words, of several words too, that the end of a line begins."""
        starts = [k for k in range(len(said)) if k == 0 or said[k - 1] == " "]
        for start in starts:
            begun = said[start:].lower()
            if len(begun) >= LEAST_LETTERS:
                yield from _offer([word for word in self._words if word != begun], said[start:])


def _offer(words: Iterable[str], begun: str) -> Iterator[Completion]:
    for word in words:
        if word.lower().startswith(begun.lower()):
            yield Completion(word, -len(begun))
