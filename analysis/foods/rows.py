"""What the food model is told of an occasion: what was eaten, what went with it, and its response."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Eaten:
    """One food of an occasion: grams with their range, and its available carbohydrate (g)."""

    food: str
    grams: float
    carbs_g: float
    grams_low: float | None = None
    grams_high: float | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """One occasion with a curve of its own.

    area: signed area over two hours (mmol/L·min); area_sd: what separation or a doubtful bite adds to its error
    fat_g, fibre_g: of all that was eaten; slot: breakfast, lunch ...; sensor: which one gave it
    levers: how much of each lever went with it (0 = none, 1 = as usual: a walk of a quarter of an hour ...)
    before_carbs, before_min: carbohydrate of the meal before (g), and how long ago (min); 0 without one
    """

    area: float
    eaten: tuple[Eaten, ...]
    slot: str = ""
    sensor: object = None
    fat_g: float = 0.0
    fibre_g: float = 0.0
    levers: Mapping[str, float] = field(default_factory=dict)
    before_carbs: float = 0.0
    before_min: float = 0.0
    area_sd: float = 0.0
    entry_id: int = 0

    @property
    def carbs_g(self) -> float:
        """The available carbohydrate of all that was eaten (g)."""
        return sum(eaten.carbs_g for eaten in self.eaten)
