"""What can go wrong at the edge, each with one sentence a person can act on.

    TablenoteError          str(error) is the sentence shown to the person
    ├── BadSetting          a TABLENOTE_* variable or an option does not make sense
    ├── BadScript           a conversation script cannot be read
    ├── BadFile             a file that holds no readings, or too much to be one
    │   └── AskFile         a file that can be read in more than one way: the sentence asks which
    └── StoreError          the database cannot be opened, or another bot already runs on it

`analysis.errors.InsufficientData` is separate: it is an answer ("not known yet"), not a failure.
"""

from typing import Literal


class TablenoteError(Exception):
    """Base of all errors whose text is meant for the person."""


class BadSetting(TablenoteError):
    """A setting or option does not make sense."""


class BadScript(TablenoteError):
    """A conversation script cannot be read."""


class BadFile(TablenoteError):
    """A file holds no readings that could be found."""


class AskFile(BadFile):
    """A file can be read in more than one way, and only the person knows which.

    about: "column" or "day_first", the argument of `read_file` that settles it
    options: what to choose from, in words: for "column" the value to pass; for "day_first" the date as it is
    with the day first (True), then with the month first (False)
    layout: the headings that tell files laid out alike, so that an answer holds for them too; "" without any
    """

    def __init__(
        self, sentence: str, about: Literal["column", "day_first"], options: tuple[str, ...], layout: str = ""
    ) -> None:
        super().__init__(sentence)
        self.about = about
        self.options = options
        self.layout = layout


class StoreError(TablenoteError):
    """The database cannot be used as it is."""
