"""Answers that take long, found before the transaction of their turn, so that nobody's note waits for one.

`serve` finds them in a process of their own (`Finder`), so that the interpreter is free for notes, too.

A turn that comes to such a question is given up, its answer is found from the record as it stands, and the
turn begins again with it. Nothing of the same person comes between: the messages of a chat go one by one.
"""

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import partial
from typing import Any, TypeVar

from analysis.kept import keeping
from bot.answers.answer import answer
from bot.language.texts import speaking
from bot.model.entries import Question, Understood
from bot.model.messages import Outgoing
from bot.store import Person, Store, Transaction
from bot.talk.own_process import OwnProcess, opened
from bot.talk.time_limit import TURN_S, within

T = TypeVar("T")
Found = tuple[dict[object, Any], list[tuple[str, str, float, datetime]]]


class AnswerFirst(Exception):
    """Raised out of a turn: something is to be found before its transaction, which others wait for.

    wanted: what looks it up, by what it is called
    """

    def __init__(self, person: Person, wanted: dict[object, Callable[[Transaction], Any]]) -> None:
        super().__init__(len(wanted))
        self.person, self.wanted = person, wanted


def _find(store: Store, person: Person, wanted: dict[object, Callable[[Transaction], Any]]) -> Found:
    with store.read() as tx, speaking(*person.spoken), keeping():
        put_off = tx.comparisons.put_off()
        return {name: look(tx) for name, look in wanted.items()}, put_off


class Finder(OwnProcess):
    """A process that finds answers in the database at an address."""

    def __init__(self, db: str) -> None:
        super().__init__("answers")
        self._db = db

    def find(self, first: AnswerFirst) -> Found:
        """Find what a turn asked for; what looks it up is made of functions of modules and plain values."""
        return self.run(_find_apart, self._db, first.person, first.wanted)


def _find_apart(db: str, person: Person, wanted: dict[object, Callable[[Transaction], Any]]) -> Found:
    return within(TURN_S, partial(_find, opened(db), person, wanted))


class TurnAnswers:
    """What one turn finds while no transaction is open: mostly answers to a message that only asks."""

    def __init__(self, finder: Finder | None = None) -> None:
        self._finder = finder
        self._found: dict[object, Any] = {}
        self._compared: list[tuple[str, str, float, datetime]] = []
        self._understood: dict[str, Understood] = {}

    def __call__(
        self,
        tx: Transaction,
        person: Person,
        question: Question,
        now: datetime,
        *,
        only_asks: bool,
        beside: Sequence[Question] = (),
    ) -> Outgoing:
        """Return an answer; AnswerFirst is raised where it is to be found first.

        only_asks: the turn changes nothing that an answer may be about; beside: what else it asks
        """
        if not only_asks:
            return answer(tx, person, question, now)
        if question not in self._found:
            asked = dict.fromkeys((question, *beside))
            raise AnswerFirst(person, {each: partial(_answer, person, each, now) for each in asked})
        for compared in self._compared:
            tx.comparisons.keep(*compared)
        found: Outgoing = self._found[question]
        return found

    def look_up(
        self,
        person: Person,
        name: str,
        look: Callable[[Transaction], T],
        **beside: Callable[[Transaction], Any],
    ) -> T:
        """Return what is looked up for long; AnswerFirst is raised where that is to be done first.

        beside: what will be looked up, too, by the names it will be asked for
        """
        if name not in self._found:
            wanted: dict[object, Callable[[Transaction], Any]] = {name: look}
            raise AnswerFirst(person, wanted | beside)
        found: T = self._found[name]
        return found

    def find(self, store: Store, first: AnswerFirst) -> None:
        """Find what a turn asked for, and keep it for the turn's next try."""
        if self._finder is not None:
            found, put_off = self._finder.find(first)
        else:
            found, put_off = within(TURN_S, partial(_find, store, first.person, first.wanted))
        self._found |= found
        self._compared += put_off

    def understand(self, text: str, read: Callable[[], Understood]) -> Understood:
        """Return what a text says, read once for all tries of the turn."""
        if text not in self._understood:
            self._understood[text] = read()
        return self._understood[text]


def _answer(person: Person, question: Question, now: datetime, tx: Transaction) -> Outgoing:
    return answer(tx, person, question, now)
