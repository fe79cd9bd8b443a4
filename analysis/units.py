"""Glucose in the person's unit. Inside everything is mmol/L; this is for what people see."""

from typing import Final

MGDL_PER_MMOL: Final = 18.0182
"""mg/dL in one mmol/L of glucose, by custom: most programs take 18.0182 (M = 180.182 g/mol).

No standard defines it. Standard atomic weights give 18.0156 (M = 180.156 g/mol), papers often take 18; the
three lie within 0.1 % of each other, far below what a sensor can tell apart.
"""

UNITS: Final = ("mmol/L", "mg/dL")


REFERENCE_WRITTEN: Final = {"mmol/L": "7.8", "mg/dL": "140"}
"""The reference line as it is published in each unit, rounded there: neither is the other one converted."""


def per_mmol(unit: str) -> float:
    """Return how many of `unit` make one mmol/L.

    Parameters
    ----------
    unit: "mmol/L" or "mg/dL".

    Raises
    ------
    ValueError: for any other unit.

    >>> per_mmol("mg/dL")
    18.0182
    """
    if unit not in UNITS:
        raise ValueError(f"glucose is given in mmol/L or mg/dL, not in {unit!r}")
    return MGDL_PER_MMOL if unit == "mg/dL" else 1.0


def write_glucose(mmol: float, unit: str) -> str:
    """Write a glucose value as people do: one decimal in mmol/L, none in mg/dL; the unit itself is left out.

    Parameters
    ----------
    mmol: mmol/L.
    unit: "mmol/L" or "mg/dL".

    >>> write_glucose(7.8, "mmol/L"), write_glucose(7.8, "mg/dL")
    ('7.8', '141')
    """
    return f"{mmol * per_mmol(unit):.0f}" if unit == "mg/dL" else f"{mmol * per_mmol(unit):.1f}"
