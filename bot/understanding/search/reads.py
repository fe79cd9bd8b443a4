"""A stretch of a message with what it is taken for."""

from dataclasses import dataclass
from typing import Literal

from bot.understanding.candidates import Candidate
from bot.understanding.search.stretches import Stretch

Role = Literal["note", "edit", "question", "told", "talk"]


@dataclass(frozen=True, slots=True)
class Read:
    """A stretch and what it is taken for; a note is read later, with the notes beside it.

    doubt: another reading is about as likely and would store something else; rival: the change it may be
    """

    stretch: Stretch
    role: Role
    cost: float
    candidate: Candidate | None = None
    doubt: bool = False
    rival: Candidate | None = None
