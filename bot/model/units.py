"""Glucose units. Inside everything is mmol/L; the person's unit exists only at the edge."""

from typing import Literal

from analysis.units import MGDL_PER_MMOL

__all__ = ["MGDL_PER_MMOL", "GlucoseUnit", "find_unit", "from_mmol", "to_mmol"]

GlucoseUnit = Literal["mmol/L", "mg/dL"]


def find_unit(name: str) -> GlucoseUnit | None:
    """Return the unit that a name means, however it is cased; None when it is neither."""
    known: dict[str, GlucoseUnit] = {"mmol/l": "mmol/L", "mmol": "mmol/L", "mg/dl": "mg/dL", "mg": "mg/dL"}
    return known.get(name.strip().lower())


def to_mmol(value: float, unit: GlucoseUnit) -> float:
    """Return `value` given in `unit` as mmol/L."""
    return value / MGDL_PER_MMOL if unit == "mg/dL" else value


def from_mmol(mmol: float, unit: GlucoseUnit) -> float:
    """Return a concentration (or an area over one) in mmol/L in the person's `unit`."""
    return mmol * MGDL_PER_MMOL if unit == "mg/dL" else mmol
