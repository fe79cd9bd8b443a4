"""Which people a channel serves."""

from sqlalchemy import Column, ColumnElement


def is_served(person: Column[str], serves: str) -> ColumnElement[bool]:
    """Return the condition that `person` is the one named, or begins like it where `%` follows."""
    if serves.endswith("%"):
        return person.startswith(serves[:-1], autoescape=True)
    return person == serves
