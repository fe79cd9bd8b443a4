"""The trials of people: each with its protocol as it was fixed, and the steps it took since.

A step that was undone stays, marked so; what a trial is by now follows from the steps that stand.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import BigInteger, Connection, bindparam, insert, select, update

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
        row = self._connection.execute(_GET, {"key": trial_id}).one_or_none()
        return None if row is None else self._read(row)

    def all(self, person: str) -> list[StoredTrial]:
        """Return a person's trials and proposals in the order of time."""
        return [self._read(row) for row in self._connection.execute(_OF, {"person": person}).all()]

    def running(self, person: str) -> StoredTrial | None:
        """Return the trial that runs, None when none does."""
        return next((trial for trial in reversed(self.all(person)) if trial.runs), None)

    def last_step(self, person: str) -> Step | None:
        """Return the step that a person made last and that stands: what was judged, nobody did."""
        made = [step for trial in self.all(person) for step in trial.steps if step.what != "judged"]
        return max(made, key=lambda step: step.id, default=None)

    def _read(self, row: Any) -> StoredTrial:
        rows = self._connection.execute(_STEPS, {"trial_id": row.id})
        steps = tuple(Step(s.id, s.trial_id, s.what, s.until, s.update_id, s.at) for s in rows)
        return StoredTrial(row.id, row.person, row.protocol, row.proposed_at, steps)
