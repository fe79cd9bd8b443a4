"""A file with readings -> readings: pure on bytes; layouts are detected, not configured."""

from bot.intake.read import FileReadings, RowProblem, read_file

__all__ = ["FileReadings", "RowProblem", "read_file"]
