"""Column types of our own."""

from datetime import UTC, datetime, timedelta

from sqlalchemy import BigInteger, Dialect
from sqlalchemy.types import TypeDecorator

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)


def to_utc(at: datetime) -> datetime:
    """Return an aware instant in UTC; a naive one is a ValueError."""
    if at.tzinfo is None:
        raise ValueError(f"{at} has no time zone")
    return at.astimezone(UTC)


def to_micros(at: datetime) -> int:
    """Return an aware instant as whole microseconds since 1970."""
    return (to_utc(at) - _EPOCH) // _MICROSECOND


def from_micros(micros: int) -> datetime:
    """Return the instant, in UTC, of whole microseconds since 1970."""
    return _EPOCH + timedelta(microseconds=micros)


class UtcDateTime(TypeDecorator[datetime]):
    """An instant, kept as whole microseconds since 1970 in UTC.

    A whole number means the same in every database: SQLite would keep a date and time as text without its
    offset, PostgreSQL would convert to the session's zone. It also sorts, compares and reads fast. A naive
    datetime is refused, in rows and in the bounds of a query alike; what comes back is aware, in UTC.
    """

    impl = BigInteger
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> int | None:
        """Return the number to keep."""
        return None if value is None else to_micros(value)

    def process_result_value(self, value: int | None, dialect: Dialect) -> datetime | None:
        """Return the instant."""
        return None if value is None else from_micros(value)
