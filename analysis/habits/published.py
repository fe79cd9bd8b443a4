"""What the literature found about levers, how it was found, and the caution where one is due.

None of it licenses a claim for one healthy person: most trials are acute, of people with type 2 diabetes,
with one test meal and 6 to 78 participants.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Published:
    """What others found in one sentence, its source in a few words, and a caution ("" = none).

    for_medicine: the caution is for people who take medicine for glucose
    """

    found: str
    source: str
    caution: str = ""
    for_medicine: bool = False


_MEDICINE = "on insulin or medicines that release it, moving after meals can bring glucose too low"
_WALK = Published(
    "In 41 people with type 2 diabetes, 10 minutes of walking after each meal left 12 % less rise than 30 "
    "minutes at any time",
    "Reynolds 2016, Diabetologia [reynolds2016]",
    _MEDICINE,
    for_medicine=True,
)
_CYCLING = Published(
    "In 78 healthy adults, 10 minutes of light cycling begun 45 minutes after bread took off 0.44 mmol/L at "
    "one hour; begun after 15 minutes it made no difference",
    "Reynolds and Venn 2018, Nutrients [reynolds2018]",
    _MEDICINE,
    for_medicine=True,
)
PUBLISHED: dict[str, Published] = {
    "walk after": _WALK,
    "chores after": Published(
        "Over 20 trials, breaking up sitting left a smaller rise (by 0.36 of a standard deviation)",
        "Saunders 2018, Sports Medicine [saunders2018]",
    ),
    "exercise after": _CYCLING,
    "vegetables first": Published(
        "In 16 people with type 2 diabetes, carbohydrate last left 53 % less area over 3 h than first",
        "Shukla 2017, BMJ Open Diabetes Research & Care [shukla2017]",
    ),
    "vinegar": Published(
        "Over all trials the area was smaller (by 0.6 standard deviations, 0.1 to 1.1), but they disagree",
        "Shishehbor 2017, Diabetes Research and Clinical Practice [shishehbor2017]",
        "its acid wears teeth, and it slows the stomach: ask first with a slow stomach or on insulin",
    ),
    "cinnamon": Published(
        "In 14 healthy people 6 g lowered the rise; 1 to 3 g did not in others",
        "Hlebowicz 2007, American Journal of Clinical Nutrition [hlebowicz2007]",
        "cassia cinnamon holds coumarin: at most about 2 g a day at 60 kg of weight",
    ),
}
