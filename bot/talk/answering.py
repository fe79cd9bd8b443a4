"""Answers that take long, found before the transaction of their turn, so that nobody's note waits for one.

A turn that comes to such a question is given up, its answer is found from the record as it stands, and the
turn begins again with it. Nothing of the same person comes between: the messages of a chat go one by one.
"""

from datetime import datetime

from bot.answers.answer import answer
from bot.language.texts import speaking
from bot.model.entries import Question
from bot.model.messages import Outgoing
from bot.store import Person, Store, Transaction

_KEPT = frozenset({"compare"})
"""Questions whose answer is kept, too, which is done in the turn's own transaction."""


class AnswerFirst(Exception):
    """Raised out of a turn: an answer is to be found before its transaction, which others wait for."""

    def __init__(self, person: Person, question: Question, now: datetime) -> None:
        super().__init__(question.sort)
        self.person, self.question, self.now = person, question, now


class TurnAnswers:
    """The answers of one turn: those to a message that only asks are found while no transaction is open."""

    def __init__(self) -> None:
        self._found: dict[Question, Outgoing] = {}

    def __call__(
        self, tx: Transaction, person: Person, question: Question, now: datetime, *, only_asks: bool
    ) -> Outgoing:
        """Return an answer; AnswerFirst is raised where it is to be found first.

        only_asks: the turn changes nothing that an answer may be about
        """
        if not only_asks or question.sort in _KEPT:
            return answer(tx, person, question, now)
        if question not in self._found:
            raise AnswerFirst(person, question, now)
        return self._found[question]

    def find(self, store: Store, asked: AnswerFirst) -> None:
        """Find the answer that a turn asked for, and keep it for the turn's next try."""
        with store.read() as tx, speaking(*asked.person.spoken):
            self._found[asked.question] = answer(tx, asked.person, asked.question, asked.now)
