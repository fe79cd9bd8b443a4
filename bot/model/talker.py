"""What a channel needs from the rest of the bot, and what the rest needs to know of a channel: nothing."""

from collections.abc import Awaitable, Callable, Collection, Mapping, Sequence
from typing import NamedTuple, Protocol

from bot.language.texts import Language
from bot.language.times import ClockStyle
from bot.model.messages import Incoming, Outgoing, Picture, PictureSpec, Post


class Left(NamedTuple):
    """What waits for somebody: updates (id, raw); messages that may have been begun, and others."""

    updates: list[tuple[str, str]]
    begun: list[Outgoing]
    messages: list[Outgoing]


class TakesLong(Exception):
    """A message takes longer than the quick ones may; nothing of it has been handled."""


class Talker(Protocol):
    """The bot behind a channel. All calls are plain and may be made from any thread.

    Two calls of `receive` for one person must not overlap; for different persons they may.
    """

    def prepare(self) -> None:
        """Load what the first message needs, which takes a second or two."""
        ...

    def receive(self, incoming: Incoming, *, quick: bool = False) -> list[Outgoing]:
        """Handle one message, once however often it is given; the replies are stored in the outbox.

        quick: raise TakesLong where it would take long, to be given again where others do not wait for it
        """
        ...

    def tick(self) -> list[Outgoing]:
        """Return what the clock has brought due, stored in the outbox."""
        ...

    def draw(self, spec: PictureSpec, person: str) -> Picture:
        """Draw one picture (100 to 200 ms of work)."""
        ...

    def accept(self, updates: Sequence[tuple[str, str, str]]) -> list[bool]:
        """Store updates (id, person, raw) before they are acknowledged; False for each that is known."""
        ...

    def invite_first(self) -> str | None:
        """Return the code of an invitation for the first person, None when somebody took one already."""
        ...

    def let_in(self, person: str, code: str) -> bool:
        """Let a person in by the code of an invitation; False when it is not, or no longer, one."""
        ...

    def is_in(self, person: str) -> bool:
        """Tell whether a person was let in by an invitation."""
        ...

    def knows(self, person: str) -> bool:
        """Tell whether anything is held about a person."""
        ...

    def spoken(self, person: str) -> tuple[Language, ClockStyle]:
        """Return how a person is spoken to: in which language, by which clock."""
        ...

    def waiting(self) -> list[tuple[str, str]]:
        """Return (update id, raw) of the accepted updates not yet handled, to be handled one at a time."""
        ...

    @property
    def shared(self) -> bool:
        """Whether other processes may work on the same database; only then are the next ones called."""
        ...

    def hold(self, people: Collection[str]) -> set[str]:
        """Have this process alone deal with people; return with whom, which is all that no other one has."""
        ...

    def let_go(self, people: Collection[str], busy: Collection[int]) -> set[str]:
        """Leave people to others; return for whom something but `busy` waits that came meanwhile."""
        ...

    def whose_left(self, *, starting: bool) -> list[str]:
        """Return for whom something waits that a process which is no more may have left."""
        ...

    def left_for(self, people: Collection[str], busy: Collection[int], *, starting: bool) -> dict[str, Left]:
        """Return what waits for people who are held."""
        ...

    def take_place(self, most: int, mine: Collection[int]) -> int | None:
        """Take one of `most` places that all processes share, None while they are taken."""
        ...

    def leave_places(self, places: Collection[int]) -> None:
        """Leave some of those places."""
        ...

    def failed(self, update_id: str, error: str, *, harmless: bool = False) -> None:
        """Note that handling an update broke; it is tried again at the next start, three times in all.

        harmless: the messenger failed, not the update, so that it does not count
        """
        ...

    def unsent(self) -> list[Outgoing]:
        """Return the messages of the outbox that an earlier run left unsent, each once."""
        ...

    def review(self, message: Outgoing) -> Outgoing | None:
        """Return what is to be sent by now in place of a message that waited, None when nothing is."""
        ...

    def sending(self, id: int) -> None:
        """Note that message `id`, which an earlier run left, is now being sent."""
        ...

    def refused(self, *ids: int) -> None:
        """Note that messages were certainly not delivered so far; they are tried again."""
        ...

    def sent(self, refs: Mapping[int, str]) -> None:
        """Note that messages were delivered: their ids, and what the messenger calls each."""
        ...

    def unsure(self, id: int, why: str) -> None:
        """Note that message `id` may or may not have been delivered, and is not sent again."""
        ...

    def not_sent(self, id: int, why: str) -> None:
        """Note that message `id` cannot be delivered."""
        ...

    def find_poster(self, token: str) -> str | None:
        """Return the person whose token for posting readings this is, None when it is nobody's."""
        ...

    def take_post(self, post: Post) -> tuple[dict[str, object], list[Outgoing]] | None:
        """Store posted readings; return the answer, and what is to be said, stored in the outbox.

        None when the person is not known any more; BadFile when there are no readings in it.
        """
        ...

    def check(self) -> list[str]:
        """Return what is wrong, in words that name nobody; StoreError when the database cannot be used."""
        ...


class Runner(Protocol):
    """Something that calls the bot at intervals on the running event loop."""

    def start(self) -> None:
        """Begin calling."""
        ...

    async def stop(self) -> None:
        """Let a call that is running end, and make no other."""
        ...


RunnerFactory = Callable[[Callable[[], Awaitable[None]]], Runner]
