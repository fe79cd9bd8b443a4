"""The log: what the person did, felt and noted, with every change kept."""

import json
from collections.abc import Sequence
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any, cast

import sqlalchemy
from sqlalchemy import BigInteger, Row, Select, Text, bindparam, func, insert, select, type_coerce, update

from bot.model.entries import Sleep, Stored
from bot.model.entries_json import from_json, to_json
from bot.model.errors import StoreError
from bot.store.columns import UtcDateTime, from_micros
from bot.store.connection import Connection
from bot.store.on_conflict import build_insert
from bot.store.records import Change, Logged
from bot.store.tables import changes, entries

_EVER = datetime.min.replace(tzinfo=UTC), datetime.max.replace(tzinfo=UTC)

_KEPT_READ = 16_384
"""So many entries are kept as they were read, 30 to 60 MB: a turn looks at those of the turn before."""
_COLUMNS = [
    sqlalchemy.cast(column, Text).label(column.name)
    if column is entries.c.body
    else type_coerce(column, BigInteger).label(column.name)
    if isinstance(column.type, UtcDateTime)
    else column
    for column in entries.c
    if column is not entries.c.ordinal
]
_ADD = build_insert(
    entries,
    lambda insert: insert.on_conflict_do_nothing(index_elements=["person", "update_id", "ordinal"]).returning(
        *_COLUMNS
    ),
)
_GET = select(*_COLUMNS).where(entries.c.id == bindparam("entry_id", type_=BigInteger))
_ADDED = select(*_COLUMNS).where(
    entries.c.person == bindparam("person"),
    entries.c.update_id == bindparam("update_id"),
    entries.c.ordinal == bindparam("ordinal"),
)
_LIVE = select(*_COLUMNS).where(entries.c.person == bindparam("person"), entries.c.removed_at.is_(None))
_OF_KINDS = _LIVE.where(entries.c.kind.in_(bindparam("kinds", expanding=True)))
_OF_MESSAGE = _LIVE.where(entries.c.message_id == bindparam("message_id")).order_by(entries.c.id)
_LAST = (
    _OF_KINDS.where(entries.c.at < bindparam("until"))
    .order_by(entries.c.at.desc(), entries.c.id.desc())
    .limit(bindparam("n"))
)
_LAST_LOGGED = _LIVE.order_by(entries.c.id.desc()).limit(1)
_LAST_LOGGED_OF_KINDS = _OF_KINDS.order_by(entries.c.id.desc()).limit(1)
_BETWEEN = _OF_KINDS.where(entries.c.at >= bindparam("since"), entries.c.at < bindparam("until")).order_by(
    entries.c.at, entries.c.id
)

_ITEMS = (
    select(entries.c.body["items"])
    .where(entries.c.person == bindparam("person"), entries.c.removed_at.is_(None), entries.c.kind == "meal")
    .where(entries.c.at >= bindparam("since"))
    .order_by(entries.c.at)
)


_OF_UPDATE = _LIVE.where(entries.c.update_id == bindparam("update_id")).order_by(entries.c.id)
_TOUCHED = (
    select(changes.c.entry_id, func.max(changes.c.at))
    .join(entries, entries.c.id == changes.c.entry_id)
    .where(entries.c.person == bindparam("person"), entries.c.at >= bindparam("since"))
    .group_by(changes.c.entry_id)
)
_LAST_CHANGES = (
    select(changes)
    .join(entries, entries.c.id == changes.c.entry_id)
    .where(entries.c.person == bindparam("person"))
    .order_by(changes.c.id.desc())
    .limit(bindparam("n"))
)


class Log:
    """The log of one transaction. An unknown entry id is a KeyError."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(
        self,
        person: str,
        entry: Stored,
        *,
        update_id: str,
        ordinal: int,
        message_id: str | None,
        at: datetime,
    ) -> Logged:
        """Log the entry that stands at `ordinal` in an update; the same one again returns what is there."""
        key = {"person": person, "update_id": update_id, "ordinal": ordinal}
        row = {**key, **_columns(entry, at), "message_id": message_id, "logged_at": at}
        added = self._connection.execute(_ADD[self._connection.dialect.name], row).one_or_none()
        return self._read_all(_ADDED, **key)[0] if added is None else _read(added)

    def get(self, entry_id: int) -> Logged | None:
        """Return an entry, removed or not; None when there is none."""
        return next(iter(self._read_all(_GET, entry_id=entry_id)), None)

    def of_message(self, person: str, message_id: str) -> list[Logged]:
        """Return the live entries that came from a message, in the order they stand in it."""
        return self._read_all(_OF_MESSAGE, person=person, message_id=message_id)

    def of_update(self, person: str, update_id: str) -> list[Logged]:
        """Return the live entries that one message made, in the order they stand in it."""
        return self._read_all(_OF_UPDATE, person=person, update_id=update_id)

    def touched(self, person: str, since: datetime) -> dict[int, datetime]:
        """Return when each entry from an instant on was changed last; those never changed are left out."""
        rows = self._connection.execute(_TOUCHED, {"person": person, "since": since})
        return {entry_id: at for entry_id, at in rows}

    def last_changes(self, person: str, n: int = 1) -> list[Change]:
        """Return the `n` changes made last to any entry of a person, newest first."""
        rows = self._connection.execute(_LAST_CHANGES, {"person": person, "n": n})
        return [_read_change(row) for row in rows]

    def last(
        self, person: str, kinds: Sequence[str] = ("meal",), n: int = 1, until: datetime | None = None
    ) -> list[Logged]:
        """Return the `n` live entries that happened last (before `until`), newest first."""
        return self._read_all(_LAST, person=person, kinds=tuple(kinds), n=n, until=until or _EVER[1])

    def last_logged(self, person: str, kinds: Sequence[str] | None = None) -> Logged | None:
        """Return the live entry (of these kinds) that was logged last, whenever it happened."""
        if kinds is None:
            found = self._read_all(_LAST_LOGGED, person=person)
        else:
            found = self._read_all(_LAST_LOGGED_OF_KINDS, person=person, kinds=tuple(kinds))
        return next(iter(found), None)

    def between(
        self, person: str, kinds: Sequence[str], since: datetime | None, until: datetime | None
    ) -> list[Logged]:
        """Return the live entries from `since` up to before `until`, in that order; None = no bound."""
        span = {"since": since or _EVER[0], "until": until or _EVER[1]}
        return self._read_all(_BETWEEN, person=person, kinds=tuple(kinds), **span)

    def stated_grams(self, person: str, since: datetime) -> dict[str, list[float]]:
        """Return the amounts that were said of each food (by its description), from `since` on, oldest first.

        The items are read as they are kept: building whole entries of two months takes ten times as long.
        """
        found: dict[str, list[float]] = {}
        for items in self._connection.scalars(_ITEMS, {"person": person, "since": since}):
            for item in items:
                if item["stated"] and item["food"] is not None and item["grams"] > 0:
                    found.setdefault(item["food"], []).append(item["grams"])
        return found

    def amend(self, entry_id: int, entry: Stored, *, update_id: str, at: datetime, what: str) -> Logged:
        """Put `entry` in place of what was logged, and note `what` changed."""
        before = self._require(entry_id)
        self._set(entry_id, **_columns(entry, before.logged_at))
        after = self._require(entry_id)
        self._note(entry_id, what, update_id, at, before.entry, after.entry)
        return after

    def remove(self, entry_id: int, *, update_id: str, at: datetime, what: str = "removed") -> Logged:
        """Take an entry out of the live log; it can be restored."""
        before = self._require(entry_id)
        if before.removed_at is None:
            self._set(entry_id, removed_at=at)
            self._note(entry_id, what, update_id, at, before.entry, None)
        return self._require(entry_id)

    def restore(self, entry_id: int, *, update_id: str, at: datetime) -> Logged:
        """Bring a removed entry back."""
        before = self._require(entry_id)
        if before.removed_at is not None:
            self._set(entry_id, removed_at=None)
            self._note(entry_id, "restored", update_id, at, None, before.entry)
        return self._require(entry_id)

    def history(self, entry_id: int) -> list[Change]:
        """Return what was done to an entry, oldest first."""
        rows = self._connection.execute(
            select(changes).where(changes.c.entry_id == entry_id).order_by(changes.c.id)
        )
        return [_read_change(row) for row in rows]

    def _require(self, entry_id: int) -> Logged:
        logged = self.get(entry_id)
        if logged is None:
            raise KeyError(entry_id)
        return logged

    def _set(self, entry_id: int, **values: Any) -> None:
        self._connection.execute(update(entries).where(entries.c.id == entry_id).values(**values))

    def _note(
        self,
        entry_id: int,
        what: str,
        update_id: str,
        at: datetime,
        before: Stored | None,
        after: Stored | None,
    ) -> None:
        self._connection.execute(
            insert(changes).values(
                entry_id=entry_id,
                what=what,
                update_id=update_id,
                at=at,
                before=None if before is None else to_json(before),
                after=None if after is None else to_json(after),
            )
        )

    def _read_all(self, statement: Select[Any], **values: Any) -> list[Logged]:
        return self._connection.once(statement, _read, **values)


def _columns(entry: Stored, logged_at: datetime) -> dict[str, Any]:
    """Return the columns that follow from an entry: kind and words have their own, the rest is the body."""
    body = to_json(entry)
    kind, said = body.pop("kind"), body.pop("said")
    return {"kind": kind, "said": said, "body": body, "at": _instant_of(entry) or logged_at}


def _instant_of(entry: Stored) -> datetime | None:
    if isinstance(entry, Sleep):
        return entry.from_at or entry.to_at
    return getattr(entry, "at", None)


def _read_change(row: Row[Any]) -> Change:
    return Change(
        row.entry_id,
        row.what,
        row.update_id,
        row.at,
        None if row.before is None else _read_entry(row.before),
        None if row.after is None else _read_entry(row.after),
    )


def _read(row: Row[Any]) -> Logged:
    return _logged(*row)


@lru_cache(_KEPT_READ)
def _logged(
    key: int,
    person: str,
    kind: str,
    at: int,
    said: str,
    body: str,
    message_id: str | None,
    update_id: str,
    logged_at: int,
    removed_at: int | None,
) -> Logged:
    entry = _read_entry({"kind": kind, "said": said, **json.loads(body)})
    removed = None if removed_at is None else from_micros(removed_at)
    return Logged(
        key, person, kind, entry, from_micros(at), message_id, update_id, from_micros(logged_at), removed
    )


def forget_read() -> None:
    """Keep no entry in memory: somebody was erased."""
    _logged.cache_clear()


def _read_entry(data: dict[str, object]) -> Stored:
    try:
        return cast(Stored, from_json(data))  # nothing else is ever logged
    except ValueError as error:
        raise StoreError(f"An entry of the log cannot be read: {error}.") from error
