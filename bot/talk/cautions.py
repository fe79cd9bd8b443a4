"""What a message may be about that a diary must not answer: the one sentence that belongs there.

Each rule is a pattern and a sentence. The words are looked at before the note is read, because "I want to eat
only 500 kcal a day" is no meal and "am I diabetic?" is no question for a diary.
"""

import re

from bot.reply import fixed

_RULES: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (re.compile(pattern, re.IGNORECASE), sentence)
    for pattern, sentence in (
        (
            r"\b(insulin|metformin|sulfonylureas?|glp-?1|diabetes (medicines?|tablets?|pills?|drugs?)"
            r"|my (medicines?|medications?|meds)|(what|which|how much|how many) (dose|units|tablets?|pills?)"
            r"|dos(e|es|age|ing)\b.*\?)",
            fixed.ASK_A_CLINICIAN,
        ),
        (r"\b(i'?m|i am|am i|being|while|getting) pregnant\b|\bpregnancy\b", fixed.PREGNANCY),
        (
            r"\b(only|just|max(imum)?|no more than|under|below) [3-9]\d\d ?k?cal\w*\b.*\b(day|daily)\b"
            r"|\b(anorexia|anorexic|bulimia|bulimic|eating disorder|purg(e|ed|ing)|starv(e|ing) myself)\b"
            r"|\bmade myself (sick|throw up|vomit)\b",
            fixed.EATING,
        ),
        (
            r"\b(am i|do i have|have i got|is (this|that|it)|could (this|that|it) be) (\w+ )?"
            r"(pre-?)?diabet(es|ic)\b"
            r"|\bis (a |my )?(\d+([.,]\d+)?|this|that|it)( ?mmol(/l)?| ?mg/dl)? (\w+ )?"
            r"(dangerous|normal|too high|too low|bad|healthy|ok|okay)\b.*\?"
            r"|\bwhat('s| is) (a )?(normal|healthy|dangerous|good)( (glucose|blood sugar|value|level|reading|"
            r"range)s?)?\b"
            r"|\bshould i (be )?(worry|worried|concerned)\b",
            fixed.NO_DIAGNOSIS,
        ),
    )
)


def find_caution(text: str) -> str | None:
    """Return the sentence that a message calls for, None for nearly all of them."""
    return next((sentence for pattern, sentence in _RULES if pattern.search(text[:1000])), None)
