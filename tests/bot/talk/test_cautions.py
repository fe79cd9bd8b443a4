import pytest

from bot.reply import fixed
from bot.talk.cautions import find_caution


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("how much insulin should I take?", fixed.ASK_A_CLINICIAN),
        ("I take metformin", fixed.ASK_A_CLINICIAN),
        ("should I skip my meds before breakfast", fixed.ASK_A_CLINICIAN),
        ("I am pregnant", fixed.PREGNANCY),
        ("I want to eat only 500 kcal a day to keep it flat", fixed.EATING),
        ("made myself sick after dinner", fixed.EATING),
        ("am I diabetic?", fixed.NO_DIAGNOSIS),
        ("do i have prediabetes", fixed.NO_DIAGNOSIS),
        ("is 8.6 dangerous?", fixed.NO_DIAGNOSIS),
        ("what is normal?", fixed.NO_DIAGNOSIS),
        ("should I worry about 8.4?", fixed.NO_DIAGNOSIS),
        ("is 155 mg/dl too high?", fixed.NO_DIAGNOSIS),
    ],
)
def test_what_calls_for_a_caution(text: str, sentence: str) -> None:
    assert find_caution(text) == sentence


@pytest.mark.parametrize(
    "text",
    [
        "2 slices rye toast with butter and a boiled egg at 7:15, walked 10 min",
        "500 kcal ready meal",
        "how was lunch?",
        "what is on my list",
        "104 mg/dl",
        "a normal cola",
        "good breakfast: 60 g oats",
        "only 50 g rice today",
        "took 2 paracetamol",
        "status",
    ],
)
def test_what_does_not(text: str) -> None:
    assert find_caution(text) is None
