"""What is said where something calls for a caution: one kind sentence or two, and who is the one to ask."""

from bot.language.texts import later, say
from bot.model.entries import Concern, ConcernKind
from bot.model.units import GlucoseUnit
from bot.reply import fixed, numbers

KIND = later(
    "Be kind to yourself: no meal here is good or bad, and where food or the numbers weigh on you, your "
    "doctor or a dietitian is the one to ask."
)
EATING = later(
    "Be kind to yourself: this diary isn't for eating as little as possible, and where food or the numbers "
    "weigh on you, your doctor or a dietitian is the one to ask."
)
BREASTFEEDING = later(
    "While you breastfeed you need more food than usual, whatever the line does: please plan changes with "
    "your midwife or doctor."
)
LOW = later(
    "{value} is below {line}, where doctors start to call a value low. A sensor also shows this when you "
    "lie on it; a finger-prick tells. If you feel shaky, or it comes back, please ask your doctor."
)
FASTING = later(
    "On several mornings I read {line} or more before breakfast. A sensor is no blood test, so please show "
    "these mornings to your doctor, who can measure it."
)
BELOW_RANGE = later("A value below the sensor's range")
ABOVE_RANGE = later("A value above the sensor's range")
NOTHING_NOTED = later("Thank you for telling me. I note meals, not blame: write me your next one.")
NO_DOSES = later("I keep no doses; they stay between you and your clinician.")

ALL = (
    fixed.ASK_A_CLINICIAN,
    fixed.PREGNANCY,
    fixed.NO_DIAGNOSIS,
    fixed.UNWELL,
    fixed.VINEGAR,
    fixed.CINNAMON,
    fixed.VERY_LOW,
    fixed.VERY_HIGH,
    KIND,
    EATING,
    BREASTFEEDING,
    LOW,
    FASTING,
    NOTHING_NOTED,
    NO_DOSES,
)
"""What is said each time it is due, even if it was said before on that day."""

SCORES_HIDDEN = later("Scores are hidden, as you wished; “show scores” brings them back.")

LOW_MMOL, VERY_LOW_MMOL, VERY_HIGH_MMOL, FASTING_MMOL = 3.9, 3.0, 11.1, 7.0
"""Where a caution is said: level 1 and 2 hypoglycaemia, the random plasma value that with symptoms calls for
a doctor, and the fasting plasma value that, measured twice, does (ADA, Standards of Care, sections 2 and 6;
from memory). Reference lines for a sensor, not a diagnosis."""

_TEXTS: dict[ConcernKind, str] = {
    "medicine": fixed.ASK_A_CLINICIAN,
    "pregnancy": fixed.PREGNANCY,
    "breastfeeding": BREASTFEEDING,
    "eating": KIND,
    "high": fixed.VERY_HIGH,
    "fasting": FASTING,
}


def word_caution(concern: Concern, unit: GlucoseUnit) -> str:
    """Return what is said of a concern, in the person's unit."""
    beyond = say(BELOW_RANGE if concern.kind == "low" else ABOVE_RANGE)
    value = beyond if concern.mmol is None else numbers.glucose_with_unit(concern.mmol, unit)
    if concern.kind == "low":
        text = fixed.VERY_LOW if concern.level > 1 else LOW
        return say(text, value=value, line=numbers.glucose_with_unit(LOW_MMOL, unit))
    if concern.kind == "eating" and concern.level > 1:
        return say(EATING)
    return say(_TEXTS[concern.kind], value=value, line=numbers.glucose_with_unit(FASTING_MMOL, unit))


def concerns_of_readings(lowest: float, highest: float) -> list[Concern]:
    """Return what the lowest and the highest of some readings call for."""
    concerns = []
    if lowest < LOW_MMOL:
        concerns.append(Concern("low", 2 if lowest < VERY_LOW_MMOL else 1, lowest))
    if highest > VERY_HIGH_MMOL:
        concerns.append(Concern("high", 1, highest))
    return concerns
