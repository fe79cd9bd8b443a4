"""Files that wait for an answer, one a person and for a day, and what was answered for files of a kind."""

from datetime import datetime

from sqlalchemy import bindparam, delete, insert, select

from bot.store.connection import Connection
from bot.store.journal import Journal
from bot.store.on_conflict import build_insert
from bot.store.records import OpenFile
from bot.store.tables import file_choices, open_files

_GET = select(open_files).where(
    open_files.c.person == bindparam("person"), open_files.c.expires_at > bindparam("now")
)
_CHOICE = select(file_choices.c.choice).where(
    file_choices.c.person == bindparam("person"),
    file_choices.c.layout == bindparam("layout"),
    file_choices.c.about == bindparam("about"),
)
_KEEP = build_insert(
    file_choices,
    lambda insert: insert.on_conflict_do_update(
        index_elements=["person", "layout", "about"], set_={"choice": insert.excluded["choice"]}
    ),
)
_EXPIRED = delete(open_files).where(open_files.c.expires_at <= bindparam("now"))


class OpenFiles:
    """The open files of one transaction."""

    def __init__(self, connection: Connection, journal: Journal) -> None:
        self._connection, self._journal = connection, journal

    def put(self, file: OpenFile, expires_at: datetime) -> int:
        """Keep a file in place of an earlier one of this person and return its new id; its own is ignored."""
        self.drop(file.person)
        key = self._connection.execute(
            insert(open_files).values(
                person=file.person,
                name=file.name,
                data=file.data,
                second=file.second,
                about=file.about,
                options=list(file.options),
                layout=file.layout,
                chosen_column=file.column,
                day_first=file.day_first,
                expires_at=expires_at,
            )
        ).inserted_primary_key
        assert key is not None  # one row with an integer key always has one
        file_id: int = key[0]
        return file_id

    def get(self, person: str, now: datetime) -> OpenFile | None:
        """Return the file that waits, None when there is none or its day is over."""
        row = self._connection.execute(_GET, {"person": person, "now": now}).one_or_none()
        if row is None:
            return None
        return OpenFile(
            row.id,
            row.person,
            row.name,
            row.data,
            row.second,
            row.about,
            tuple(row.options),
            row.layout,
            row.chosen_column,
            row.day_first,
        )

    def drop(self, person: str) -> None:
        """Forget the file that waits."""
        self._connection.execute(delete(open_files).where(open_files.c.person == person))

    def drop_expired(self, now: datetime) -> None:
        """Forget all files whose day is over."""
        self._connection.execute(_EXPIRED, {"now": now})

    def keep_choice(self, person: str, layout: str, about: str, choice: str) -> None:
        """Keep an answer for the next file that is laid out alike."""
        self._journal.before(file_choices, person=person)
        self._connection.execute(
            _KEEP[self._connection.dialect.name],
            {"person": person, "layout": layout, "about": about, "choice": choice},
        )

    def choice(self, person: str, layout: str, about: str) -> str | None:
        """Return what was answered for files laid out like this, None when nothing was."""
        return self._connection.scalar(_CHOICE, {"person": person, "layout": layout, "about": about})

    def forget_choices(self, person: str) -> None:
        """Forget all answers, so that the next file asks again."""
        self._journal.before(file_choices, person=person)
        self._connection.execute(delete(file_choices).where(file_choices.c.person == person))
