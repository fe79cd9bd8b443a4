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
_BEFORE = Published(
    "Over 20 trials, movement after the meal made the rise smaller; whether movement before it does as well, "
    "they could not tell",
    "Aqeel 2020, Nutrients [aqeel2020]",
)
PUBLISHED: dict[str, Published] = {
    "walk after": _WALK,
    "walk before": _BEFORE,
    "exercise before": _BEFORE,
    "chores before": _BEFORE,
    "sitting after": Published(
        "Over 37 trials, getting up from sitting now and then left a smaller rise (by 0.54 of a standard "
        "deviation)",
        "Loh 2020, Sports Medicine [loh2020]",
    ),
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
    "lemon juice": Published(
        "In healthy people 250 ml with bread made the peak 30 % lower, and over half an hour later",
        "Freitas 2021, European Journal of Nutrition [freitas2021]",
        "its acid wears teeth",
    ),
    "fat beside carbohydrate": Published(
        "In 15 people about 25 g of fat made the two hours after bread smaller, whichever fat it was "
        "(Lightowler 2008); in 6 men with type 2 diabetes oil before the meal made the rise later",
        "Gentilcore 2006, Journal of Clinical Endocrinology & Metabolism [lightowler2008] [gentilcore2006]",
        "fat mainly delays, so that two hours flatter it, and it is the richest in energy: don't add it "
        "for the curve alone",
    ),
    "late meal": Published(
        "In 845 adults 75 g of glucose one hour before bedtime left 8 % more area than four hours before",
        "Garaulet 2022, Diabetes Care [garaulet2022]",
    ),
    "short sleep": Published(
        "In 9 healthy adults insulin worked about 25 % less well after one night of four hours; meals were "
        "not part of it",
        "Donga 2010, Journal of Clinical Endocrinology & Metabolism [donga2010]",
    ),
    "alcohol": Published(
        "In healthy students beer, wine or gin with a meal left 16 to 37 % less rise",
        "Brand-Miller 2007, American Journal of Clinical Nutrition [brandmiller2007]",
        "that is no reason to drink; on insulin or medicines that release it, alcohol can bring glucose "
        "too low hours later",
    ),
}
