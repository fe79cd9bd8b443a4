"""What a report is made of: sections of sentences, numbered points, pictures and tables."""

from dataclasses import dataclass

from bot.model.messages import PictureSpec

Cells = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table: what it shows, the head of each column, and its rows."""

    caption: str
    head: Cells
    rows: tuple[Cells, ...]


@dataclass(frozen=True, slots=True)
class Snapshot:
    """A photo of a meal as a small JPEG: what was eaten, and on which day."""

    jpeg: bytes
    title: str
    day: str


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the report: heading, sentences by paragraph, points in a list, pictures, tables, photos."""

    title: str
    paragraphs: tuple[str, ...] = ()
    pictures: tuple[PictureSpec, ...] = ()
    tables: tuple[Table, ...] = ()
    points: tuple[str, ...] = ()
    photos: tuple[Snapshot, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether there is nothing in it."""
        return not (self.paragraphs or self.points or self.tables)


@dataclass(frozen=True, slots=True)
class Report:
    """A run on one page; dense: set small, so that it fits a single sheet of paper."""

    title: str
    sections: tuple[Section, ...]
    dense: bool = False
