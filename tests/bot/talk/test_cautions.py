"""What calls for a caution: facts about oneself, and questions that a diary must not answer."""

import pytest

from bot.answers.answer import SAID
from bot.model.entries import Question
from bot.reply import fixed
from bot.reply.cautions import EATING, word_caution
from bot.understanding import understand
from tests.bot.understanding.compact import context_at
from tests.bot.understanding.small_table import build_small_table

CONTEXT = context_at("12:00", build_small_table())


def cautions_of(text: str) -> set[str]:
    found = understand(text, CONTEXT)
    said = [word_caution(each, "mmol/L") for each in found.concerns]
    said += [
        SAID.get(e.sort)
        for e in found.entries
        if isinstance(e, Question) and e.sort in ("medicine", "diagnosis")
    ]
    return {each for each in said if each}


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("how much insulin should I take?", fixed.ASK_A_CLINICIAN),
        ("I take metformin", fixed.ASK_A_CLINICIAN),
        ("should I skip my meds before breakfast", fixed.ASK_A_CLINICIAN),
        ("I am pregnant", fixed.PREGNANCY),
        ("I want to eat only 500 kcal a day to keep it flat", EATING),
        ("made myself sick after dinner", EATING),
        ("am I diabetic?", fixed.NO_DIAGNOSIS),
        ("do i have prediabetes", fixed.NO_DIAGNOSIS),
        ("is 8.6 dangerous?", fixed.NO_DIAGNOSIS),
        ("what is normal?", fixed.NO_DIAGNOSIS),
        ("should I worry about 8.4?", fixed.NO_DIAGNOSIS),
        ("is 155 mg/dl too high?", fixed.NO_DIAGNOSIS),
    ],
)
def test_what_calls_for_a_caution(text: str, sentence: str) -> None:
    assert cautions_of(text) == {sentence}


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
    assert not cautions_of(text)


@pytest.mark.parametrize("said", ["no that is my sister", "No, it's my mum who takes it", "that was my dad"])
def test_who_it_was_of_is_said_of_the_question_and_not_of_a_plate(said):
    found = understand(f"am I on metformin? {said}", CONTEXT)
    assert [type(entry) for entry in found.entries] == [Question]
