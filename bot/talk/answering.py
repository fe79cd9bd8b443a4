"""Answers that take long, found before the transaction of their turn, so that nobody's note waits for one.

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

T = TypeVar("T")


class AnswerFirst(Exception):
    """Raised out of a turn: something is to be found before its transaction, which others wait for.

    wanted: what looks it up, by what it is called
    """

    def __init__(self, person: Person, wanted: dict[object, Callable[[Transaction], Any]]) -> None:
        super().__init__(len(wanted))
        self.person, self.wanted = person, wanted


class TurnAnswers:
    """What one turn finds while no transaction is open: mostly answers to a message that only asks."""

    def __init__(self) -> None:
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
        with store.read() as tx, speaking(*first.person.spoken), keeping():
            put_off = tx.comparisons.put_off()
            for name, look in first.wanted.items():
                self._found[name] = look(tx)
        self._compared += put_off

    def understand(self, text: str, read: Callable[[], Understood]) -> Understood:
        """Return what a text says, read once for all tries of the turn."""
        if text not in self._understood:
            self._understood[text] = read()
        return self._understood[text]


def _answer(person: Person, question: Question, now: datetime, tx: Transaction) -> Outgoing:
    return answer(tx, person, question, now)
