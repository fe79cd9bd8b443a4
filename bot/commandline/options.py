"""What the commands share: their options, the settings that follow, and the bot opened with these."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bot.model.clock import Clock
from bot.model.errors import BadSetting
from bot.model.settings import Settings, load_settings, read_zone

if TYPE_CHECKING:
    from bot.app import App


def _as_text(value: str | None) -> str | None:
    """Refuse bytes that are no text, which the system hands on as halves of characters."""
    if value is not None and not value.isprintable():
        raise typer.BadParameter("this is no text in the encoding of your terminal")
    return value


Db = Annotated[
    str | None,
    typer.Option("--db", help="SQLAlchemy URL; default a file in your data folder.", callback=_as_text),
]
Who = Annotated[str, typer.Option("--person", help="For whom.", callback=_as_text)]
Zone = Annotated[str | None, typer.Option("--tz", help="Time zone, like Europe/Vienna.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON only.")]
Out = Annotated[Path | None, typer.Option("--out", help="Folder for pictures.")]


def settings_for(db: str | None = None, tz: str | None = None) -> Settings:
    """Return the settings, with what the options of a command put in their place."""
    changed: dict[str, object] = {"db": db} if db else {}
    if tz:
        try:
            changed["tz"] = read_zone(tz).key
        except ValueError as error:
            raise BadSetting(f"--tz: {error}") from None
    return load_settings().model_copy(update=changed)


@contextmanager
def opened(
    settings: Settings,
    serves: str,
    copies: int = 0,
    *,
    clock: Clock | None = None,
    cards: bool = False,
    works_apart: bool = False,
) -> Iterator["App"]:
    """Give the bot on the database of the settings, for the length of the block."""
    from bot.app import App

    bot = App(
        settings.db,
        zone=settings.tz,
        clock=clock,
        serves=serves,
        address=settings.address,
        copies=copies,
        cards=cards,
        works_apart=works_apart,
    )
    try:
        yield bot
    finally:
        bot.close()
