"""The answers to posts that named themselves by a key, so that one sent twice is answered alike."""

from datetime import datetime
from typing import Any

from sqlalchemy import bindparam, delete, insert, or_, select

from bot.store.connection import Connection
from bot.store.tables import posts

_ANSWER = select(posts.c.digest, posts.c.answer).where(
    posts.c.person == bindparam("person"), posts.c.key == bindparam("key")
)


class Posts:
    """The answered posts of one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def answered(self, person: str, key: str) -> tuple[str, dict[str, Any]] | None:
        """Return the digest of the post that had this key and its answer, None when there was none."""
        row = self._connection.execute(_ANSWER, {"person": person, "key": key}).one_or_none()
        return None if row is None else (row.digest, row.answer)

    def keep(self, person: str, key: str, digest: str, answer: dict[str, Any], at: datetime) -> None:
        """Keep the answer to a post."""
        self._connection.execute(
            insert(posts), {"person": person, "key": key, "digest": digest, "answer": answer, "at": at}
        )

    def forget(self, person: str, before: datetime, after: datetime) -> None:
        """Forget a person's answers from before an instant, and after one, by a clock that was ahead."""
        old = or_(posts.c.at < before, posts.c.at > after)
        self._connection.execute(delete(posts).where(posts.c.person == person, old))
