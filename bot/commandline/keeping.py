"""The commands that keep a record safe, and hand it over: backup, restore, move, export, check."""

from pathlib import Path
from typing import Annotated

import typer

from bot.commandline.options import Db, Who, opened, settings_for
from bot.model.clock import SystemClock
from bot.model.errors import BadSetting


def add_to(app: typer.Typer) -> None:
    """Make these commands part of the command line."""
    app.command(epilog="Example: tablenote backup --keep 14")(backup)
    app.command(epilog="Example: tablenote restore copies/tablenote-20260302-041500.db")(restore)
    app.command(
        epilog="Example: tablenote move --from sqlite:///old.db --to postgresql+psycopg://me@host/new"
    )(move)
    app.command(epilog="Example: tablenote export my_record")(export)
    app.command(epilog="Example: tablenote check")(check)


def backup(
    file: Annotated[
        Path | None, typer.Argument(help="The copy; default a new one beside the database.")
    ] = None,
    db: Db = None,
    keep: Annotated[int, typer.Option("--keep", min=1, help="So many copies stay beside it.")] = 7,
) -> None:
    """Copy the database while it is in use, check the copy, and drop the oldest ones beside it."""
    from bot.store.copies import copies_folder, copy_to, make_copy

    url = settings_for(db).db
    if file is not None:
        if file.exists():
            raise BadSetting(f"{file} is there already: name a file that is not.")
        copy_to(url, file)
    else:
        folder = copies_folder(url)
        if folder is None:
            raise BadSetting("Name the file to copy this database into: tablenote backup FILE")
        file = make_copy(url, folder, SystemClock().now(), keep=keep)
    print(f"The copy is {file}.")


def restore(
    copy: Annotated[Path, typer.Argument(help="A copy made by tablenote.")],
    db: Db = None,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask.")] = False,
) -> None:
    """Put a copy in the place of the database, which is kept under another name."""
    from bot.store import lock_single
    from bot.store.copies import restore as put_back

    url = settings_for(db).db
    with lock_single(url):
        if not yes:
            typer.confirm(f"Put {copy} in the place of the database?", abort=True)
        before = put_back(copy, url, SystemClock().now())
    print(f"The database is now as in {copy}.")
    if before is not None:
        print(f"What was there before is kept as {before}.")


def move(
    source: Annotated[str, typer.Option("--from", help="SQLAlchemy URL of the database as it is.")],
    target: Annotated[str, typer.Option("--to", help="SQLAlchemy URL of an empty one.")],
) -> None:
    """Copy everything into another, empty database and compare the two; the old one stays as it is."""
    from bot.store import lock_single
    from bot.store.moving import move as copy_all

    if source == target:
        raise BadSetting("--from and --to name the same database: name an empty one to copy into.")
    with lock_single(source), lock_single(target):
        copied = copy_all(source, target)
    for table in copied:
        if table.rows:
            print(f"{table.rows:>9} {table.table:<18} {table.checksum[:16]}")
    print("Every row reads the same in both. To use the new one, set TABLENOTE_DB to it.")


def export(
    folder: Annotated[Path, typer.Argument(help="Where the files go.")],
    db: Db = None,
    person: Who = "local",
) -> None:
    """Write everything held about one person: JSON, CSV, FHIR, and the report."""
    from bot.export.package import write_folder

    with opened(settings_for(db), person) as bot, bot.store.read() as tx:
        known = tx.people.get(person)
        if known is None:
            raise BadSetting(f"Nothing is held about “{person}”: name who it is with --person.")
        written = write_folder(tx, known, folder)
    print(f"{len(written)} files are in {folder}.")


def check(db: Db = None) -> None:
    """Look at settings, database, token, clock, food table and fonts, and say what to mend."""
    from bot.commandline.checking import find_faults

    faults = 0
    for about, said, is_fault in find_faults(settings_for(db), SystemClock().now()):
        print(f"{about}: {said}", flush=True)
        faults += is_fault
    if faults:
        raise typer.Exit(1)
