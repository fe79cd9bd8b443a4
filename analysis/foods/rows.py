"""What the food model is told of an occasion: what was eaten, what went with it, and its response."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Eaten:
    """One food of an occasion: grams with their range, and what is in them (g)."""

    food: str
    grams: float
    carbs_g: float
    grams_low: float | None = None
    grams_high: float | None = None
    fat_g: float = 0.0
    fibre_g: float = 0.0
    protein_g: float = 0.0


@dataclass(frozen=True, slots=True)
class Row:
    """One occasion with a curve of its own.

    area: signed area over two hours (mmol/L·min); NaN where it was not measured, which no model of effects
    takes
    area_sd: what a separation or an unsure baseline adds to its error (SD, mmol/L·min)
    slot: breakfast, lunch ...; sensor: which one gave it
    levers: how much of each lever went with it (0 = none, 1 = as usual: a walk of a quarter of an hour ...)
    before_carbs, before_min: carbohydrate of the meal before (g), and how long ago (min); 0 without one
    day: which one it was eaten on, None = not known; area_4h: incremental area over four hours, where known
    assumed: levers that went with it by a routine that was told, not noted
    level_mmol: before the first bite; it may serve to expect an area, never to explain what a food does
    """

    area: float
    eaten: tuple[Eaten, ...]
    slot: str = ""
    sensor: object = None
    levers: Mapping[str, float] = field(default_factory=dict)
    before_carbs: float = 0.0
    before_min: float = 0.0
    area_sd: float = 0.0
    entry_id: int = 0
    day: object = None
    area_4h: float | None = None
    level_mmol: float | None = None
    assumed: frozenset[str] = frozenset()
