"""The trials of people: each with its protocol as it was fixed, and the steps it took since.

A step that was undone stays, marked so; what a trial is by now follows from the steps that stand.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from sqlalchemy import BigInteger, Row, bindparam, insert, select, update

from bot.store.connection import Connection
from bot.store.records import Step, StoredTrial, TrialStep
from bot.store.tables import trial_steps, trials

_GET = select(trials).where(trials.c.id == bindparam("key", type_=BigInteger))
_OF = select(trials).where(trials.c.person == bindparam("person")).order_by(trials.c.id)
_STEPS = (
    select(trial_steps)
    .where(trial_steps.c.trial_id == bindparam("trial_id"), trial_steps.c.undone_at.is_(None))
    .order_by(trial_steps.c.id)
)


class Trials:
    """The trials of one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def propose(self, person: str, protocol: Mapping[str, Any], at: datetime) -> int:
        """Keep a proposal and return its id; nothing runs before it is agreed to."""
        row = {"person": person, "protocol": dict(protocol), "proposed_at": at}
        key = self._connection.execute(insert(trials), row).inserted_primary_key
        assert key is not None  # one row with an integer key always has one
        return int(key[0])

    def step(
        self, trial_id: int, what: TrialStep, update_id: str, at: datetime, until: datetime | None = None
    ) -> None:
        """Note what became of a trial."""
        row = {"trial_id": trial_id, "what": what, "until": until, "update_id": update_id, "at": at}
        self._connection.execute(insert(trial_steps), row)

    def take_back(self, step: Step, at: datetime) -> None:
        """Undo a step: the trial is what it was before. With the agreement goes what it was judged since."""
        taken = trial_steps.c.id == step.id
        if step.what == "agreed":
            taken |= (trial_steps.c.trial_id == step.trial_id) & (trial_steps.c.id > step.id)
        self._connection.execute(
            update(trial_steps).where(taken, trial_steps.c.undone_at.is_(None)).values(undone_at=at)
        )

    def get(self, trial_id: int) -> StoredTrial | None:
        """Return a trial by its id."""
        found = self._connection.once(_GET, _read, key=trial_id)
        return self._with_steps(found[0]) if found else None

    def all(self, person: str) -> list[StoredTrial]:
        """Return a person's trials and proposals in the order of time."""
        if not self._connection.holds(trials, person):
            return []
        return [self._with_steps(trial) for trial in self._connection.once(_OF, _read, person=person)]

    def running(self, person: str) -> StoredTrial | None:
        """Return the trial that runs, None when none does."""
        return next((trial for trial in reversed(self.all(person)) if trial.runs), None)

    def last_step(self, person: str) -> Step | None:
        """Return the step that a person made last and that stands: what was judged, nobody did."""
        made = [step for trial in self.all(person) for step in trial.steps if step.what != "judged"]
        return max(made, key=lambda step: step.id, default=None)

    def _with_steps(self, trial: StoredTrial) -> StoredTrial:
        return replace(trial, steps=tuple(self._connection.once(_STEPS, _read_step, trial_id=trial.id)))


def _read(row: Row[Any]) -> StoredTrial:
    return StoredTrial(row.id, row.person, row.protocol, row.proposed_at)


def _read_step(row: Row[Any]) -> Step:
    return Step(row.id, row.trial_id, row.what, row.until, row.update_id, row.at)
