"""The one writer's place of an SQLite file, shared by the threads of a process."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager


class WritersPlace:
    """A lock that a thread may take again, and that those in a hurry get before those who are not.

    What was delivered is noted in a hurry: behind the turns of twenty chats it would wait for them all, and a
    crash would deliver everything again that waits.
    """

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._owner: int | None = None
        self._depth = self._hurried = 0

    @contextmanager
    def taken(self, *, in_a_hurry: bool = False) -> Iterator[None]:
        """Hold the place for the block."""
        me = threading.get_ident()
        with self._changed:
            if self._owner != me:
                self._hurried += in_a_hurry
                self._changed.wait_for(lambda: self._owner is None and (in_a_hurry or not self._hurried))
                self._hurried -= in_a_hurry
                self._owner = me
            self._depth += 1
        try:
            yield
        finally:
            with self._changed:
                self._depth -= 1
                if not self._depth:
                    self._owner = None
                    self._changed.notify_all()
