"""A file with readings -> readings: pure on bytes; layouts are detected, not configured."""

from bot.intake.read import FileReadings, Limit, read_file
from bot.intake.tables import RowProblem

__all__ = ["FileReadings", "Limit", "RowProblem", "read_file"]
