"""A file with readings -> readings: pure on bytes; layouts are detected, not configured."""

from bot.intake.joining import FileReadings, Limit
from bot.intake.read import read_file
from bot.intake.tables import RowProblem

__all__ = ["FileReadings", "Limit", "RowProblem", "read_file"]
