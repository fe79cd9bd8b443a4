"""Copies of a database, kept beside it: made while it is in use, checked, rotated, and put back.

A copy is an SQLite file that this program opens like any other. Of SQLite it is made page by page by its own
online backup; of another database row by row.
"""

import glob
import os
import shutil
import threading
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from bot.model.errors import StoreError
from bot.store.moving import move, read_through
from bot.store.sealing import is_broken, seal
from bot.store.store import beside, errors_of, open_raw, open_store, parse_url, sqlite_file

_COPYING = threading.RLock()
"""Who is erased is erased from the copy that is being made just now, too."""
_NO_DATABASE = "not a database"
"""What SQLite says of a file that is none, or that another key opens."""
_STAMP = "%Y%m%d-%H%M%S"
_PARTS = ("-wal", "-shm", "")
EVERY = timedelta(days=1)
"""So often a copy is made by itself."""


def copies_folder(url: str) -> Path | None:
    """Return where the copies of a database are kept; None where it is no file."""
    file = sqlite_file(parse_url(url))
    return None if file is None else Path(f"{file}.copies")


def kept_copies(folder: Path) -> list[Path]:
    """Return the copies in a folder, oldest first."""
    return sorted(folder.glob(f"tablenote-{'[0-9]' * 8}-{'[0-9]' * 6}.db"))


def put_aside(folder: Path) -> list[Path]:
    """Return the databases that were put aside where one of these copies was put back, oldest first."""
    database = folder.name.removesuffix(".copies")
    return sorted(folder.parent.glob(f"{glob.escape(database)}.before-{'[0-9]' * 8}-{'[0-9]' * 6}"))


def make_copy(url: str, folder: Path, now: datetime, *, keep: int) -> Path:
    """Copy a database into a folder as it is now, and keep the newest `keep` copies there.

    The copy is checked before it counts. StoreError when it cannot be made or is damaged; then no older copy
    is dropped.
    """
    file = folder / f"tablenote-{now.astimezone(UTC).strftime(_STAMP)}.db"
    with _COPYING:
        _drop_begun(folder, now - EVERY)
        copy_to(url, file)
    others = [other for other in kept_copies(folder) if other != file]
    # What a wrong clock dated ahead of this one counts as oldest; by its name it would outlive all to come.
    others.sort(key=lambda other: (_made_at(other) <= now, other))
    for old in others[: max(0, len(others) - keep + 1)]:
        old.unlink()
    return file


def is_copy_due(folder: Path, now: datetime) -> bool:
    """Tell whether the newest copy in a folder is a day old, or there is none."""
    return not any(timedelta(0) <= now - _made_at(file) < EVERY for file in kept_copies(folder))


def _made_at(copy: Path) -> datetime:
    return datetime.strptime(copy.stem, f"tablenote-{_STAMP}").replace(tzinfo=UTC)


def _drop_begun(folder: Path, before: datetime) -> None:
    """Delete what is left of copies that were cut off, begun before an instant: they count as none."""
    for part in folder.glob("tablenote-*.part*"):
        with suppress(FileNotFoundError):  # it has just become a copy
            if part.stat().st_mtime < before.timestamp():
                part.unlink()


def copy_to(url: str, file: Path) -> None:
    """Copy a database into a new SQLite file, whole or not at all; StoreError when that cannot be done."""
    part = file.with_name(f"{file.name}.part")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        part.unlink(missing_ok=True)
        part.touch(mode=0o600)
        goal = beside(url, part)
        if sqlite_file(parse_url(url)) is None:
            move(url, goal)
        else:
            _copy_pages(url, goal)
        check_whole(goal)
        seal(part)
        part.replace(file)
    except OSError as error:
        raise StoreError(f"{file} cannot be written: {error.strerror}.") from error
    except (DBAPIError, errors_of(url)) as error:
        raise StoreError(f"The database cannot be copied: {error}.") from error
    finally:
        for left in (part, Path(f"{part}-wal"), Path(f"{part}-shm")):
            left.unlink(missing_ok=True)


def check_before_use(url: str) -> None:
    """Have the file of a database checked before it is used; StoreError when it is damaged."""
    file = sqlite_file(parse_url(url))
    if file is not None and file.exists() and file.stat().st_size:
        check_whole(url)


def check_whole(url: str) -> None:
    """Have SQLite check a database file; StoreError when it is damaged or no database."""
    found = _find_damage(url)
    if found:
        file = sqlite_file(parse_url(url))
        copies = kept_copies(Path(f"{file}.copies"))
        hint = f"put a copy back with: tablenote restore {copies[-1] if copies else 'COPY'}"
        if _NO_DATABASE in found:
            hint = "see that TABLENOTE_DB names the right file and key"
        raise StoreError(f"{file} {_word_damage(url, found)}; {hint}")


def _find_damage(url: str) -> str:
    """Return what SQLite finds wrong with a database file, "" where all is well."""
    try:
        with open_raw(url, reads=True) as connection:
            found = str(connection.execute("PRAGMA quick_check(1)").fetchone()[0])
    except (DBAPIError, errors_of(url)) as error:
        found = str(error).partition("\n")[0]
    return "" if found == "ok" else " ".join(found.split())


def _word_damage(url: str, found: str) -> str:
    """Say what is wrong with a file that should be a database as the one at `url` is."""
    if _NO_DATABASE not in found:
        return f"is damaged ({found})"
    has_key = parse_url(url).password is not None
    why = "another key" if has_key else "a key, which TABLENOTE_DB does not hold"
    return f"is no database, or one that is encrypted by {why}"


def _check_copy(copy: Path, url: str) -> None:
    """See that a file is a copy, for a database at `url`, as it was when it was made; else a StoreError."""
    if not copy.is_file():
        raise StoreError(f"There is no file {copy}.")
    if not copy.stat().st_size:  # SQLite would take it for a new database
        raise StoreError(f"{copy} is empty.")
    found = _find_damage(beside(url, copy))
    if not found and is_broken(copy):
        found = "not as it was when it was made"
    if found:
        others = [str(other) for other in kept_copies(copy.parent) if other != copy]
        worded = _word_damage(url, found)
        raise StoreError(f"{copy} {worded}. {f'Put back {others[-1]}' if others else 'Take another copy'}.")


def restore(copy: Path, url: str, now: datetime) -> Path | None:
    """Put a copy in the place of a database that nobody uses; return where the database before it is kept.

    For PostgreSQL the database must be empty. StoreError when the copy is no whole database of this program;
    then everything stays as it was.
    """
    _check_copy(copy, url)
    file = sqlite_file(parse_url(url))
    if file is None:
        move(beside(url, copy), url)
        return None
    new = file.with_name(f"{file.name}.new")
    _drop(new)  # of one that was cut off
    try:
        copy_to(beside(url, copy), new)
        read_through(beside(url, new))  # of this program, brought up to date, and every row of it readable
        return _put_in_place(new, url, file, now)
    except StoreError as error:
        raise StoreError(f"{copy} cannot be put back: {str(error).replace(str(new), str(copy))}") from error
    finally:
        _drop(new)


def _drop(file: Path) -> None:
    for ending in _PARTS:
        Path(f"{file}{ending}").unlink(missing_ok=True)


def erase_in_copies(url: str, people: list[str]) -> None:
    """Delete everything of some people in a database's copies, too, and in what `restore` put aside.

    One that cannot be opened is deleted whole.
    """
    folder = copies_folder(url)
    if folder is None:
        return
    with _COPYING:
        for begun in folder.glob("tablenote-*.part*"):
            begun.unlink(missing_ok=True)
        for file in (*kept_copies(folder), *put_aside(folder)):
            _erase_in(file, url, people)


def _erase_in(file: Path, url: str, people: list[str]) -> None:
    try:
        store = open_store(beside(url, file))
        try:
            with store.begin() as tx:
                for person in people:
                    tx.people.erase(person)
        finally:
            store.close()
        with open_raw(beside(url, file)) as connection:
            connection.execute("PRAGMA journal_mode = DELETE")  # one file again
        seal(file)
    except StoreError:  # it is of no use as a copy, and may hold them
        _drop(file)


def _put_in_place(new: Path, url: str, file: Path, now: datetime) -> Path | None:
    """Put a database in the place of another, and return where that is kept, None when there was none.

    Cut off anywhere, the old one or the new one is in place, whole.
    """
    if not file.exists():
        new.replace(file)
        return None
    with suppress(DBAPIError, errors_of(url)), open_raw(url) as connection:  # it may be damaged: hence this
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")  # so that no journal is left beside it
    aside = file.with_name(f"{file.name}.before-{now.astimezone(UTC).strftime(_STAMP)}")
    for ending in _PARTS:
        part = Path(f"{file}{ending}")
        if part.exists():
            _also_as(part, Path(f"{aside}{ending}"))
    for ending in _PARTS[:-1]:  # a journal of the old one would be applied to the new one
        Path(f"{file}{ending}").unlink(missing_ok=True)
    new.replace(file)
    return aside


def _also_as(file: Path, other: Path) -> None:
    """Give a file another name beside its own."""
    try:
        os.link(file, other)
    except FileExistsError as error:
        raise StoreError(f"{other} is there already; wait a second and try again.") from error
    except OSError:  # not every disk can
        shutil.copy2(file, other)


def _copy_pages(url: str, goal: str) -> None:
    origin = sqlite_file(parse_url(url))
    if origin is None or not origin.is_file():
        raise StoreError(f"There is no database {origin} yet, so there is nothing to copy.")
    with open_raw(url, reads=True) as reads, open_raw(goal) as writes:
        reads.backup(writes)  # in one step: in several, each write in between would make it begin anew
        writes.execute("PRAGMA journal_mode = DELETE")
