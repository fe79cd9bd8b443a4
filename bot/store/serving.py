"""Which people a channel serves."""

from collections.abc import Collection

from sqlalchemy import Column, ColumnElement


def is_served(person: Column[str], serves: str | Collection[str]) -> ColumnElement[bool]:
    """Return the condition that `person` is (one of) those named, or begins like it where `%` follows."""
    if not isinstance(serves, str):
        return person.in_(serves)
    if serves.endswith("%"):
        return person.startswith(serves[:-1], autoescape=True)
    return person == serves
