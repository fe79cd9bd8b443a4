"""What can go wrong at the edge, each with one sentence a person can act on.

    TablenoteError          str(error) is the sentence shown to the person
    ├── BadSetting          a TABLENOTE_* variable or an option does not make sense
    ├── BadScript           a conversation script cannot be read
    ├── BadFile             a file that holds no readings, or too much to be one
    └── StoreError          the database cannot be opened, or another bot already runs on it

`analysis.errors.InsufficientData` is separate: it is an answer ("not known yet"), not a failure.
"""


class TablenoteError(Exception):
    """Base of all errors whose text is meant for the person."""


class BadSetting(TablenoteError):
    """A setting or option does not make sense."""


class BadScript(TablenoteError):
    """A conversation script cannot be read."""


class BadFile(TablenoteError):
    """A file holds no readings that could be found."""


class StoreError(TablenoteError):
    """The database cannot be used as it is."""
