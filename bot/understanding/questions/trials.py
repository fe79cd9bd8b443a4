"""What words want of a trial: to begin one, to hear how it goes, to put it off, to end it, to print it. Pure.

Whole sentences are read here; what is only likely about a trial is weighed with all other questions.
"""

import re
from typing import Literal

from bot.understanding.questions.sorts import Sort

TrialAct = Literal["print", "later", "stop", "progress", "start", "propose"]
SORT_OF_ACT: dict[TrialAct, Sort] = {
    "print": "trial",
    "later": "trial later",
    "stop": "trial stop",
    "progress": "trial progress",
    "start": "trial",
    "propose": "trial",
}

_NO_TRIAL = re.compile(
    r"\b(?:blood|glucose|sugar|pregnancy|covid|lab|finger|tolerance|eye|driving|hearing|allergy) tests?\b"
    r"|\btests? (?:strips?|results?|kits?|readings?|meals?|values?|drinks?)\b(?! \w* ?test)|\btested\b"
)
_KIND = r"(?:tests?|trials?|experiments?|n-of-1)"
_IT = rf"(?:the |my |this |that |our |a |an |any )?(?:[\w-]+ ){{0,2}}?{_KIND}"
_ASK = (
    r"(?:(?:and|please|pls|hey|ok|okay|no|yes|sorry|so|well|can|could|shall|should|would|may|we|you|i|us|me|let|let's|lets|want"
    r"|wanna|like|i'd|i'll|need|to|now|just|also|properly|finally)\s+)*"
)
_DAY = r"(?:today|tonight|this time|(?:till|until|to|for) (?:tomorrow|another day|later)|tomorrow)"
_END = r"(?:\s+(?:please|pls|now|then|for me|for us|instead|at all|any ?more|again|thanks))*"
_SAID: tuple[tuple[TrialAct, str], ...] = (
    (
        "print",
        rf"(?:print|export|write up|write out|document)(?: out)? {_IT}(?: protocol| report| plan)?"
        rf"|(?:show|give|send|see)(?: me)? (?:the |my )?(?:full |whole )?(?:trial |test )?protocol"
        rf"(?: of {_IT})?|(?:the |my )?(?:trial |test )?protocol(?: of {_IT})?",
    ),
    (
        "later",
        rf"(?:put|move|push) {_IT} (?:off|back)(?: {_DAY})?|(?:postpone|delay|pause) {_IT}(?: {_DAY})?"
        rf"|(?:no|not) {_KIND} {_DAY}|(?:skip|leave out|not do|don't do|do) {_IT} {_DAY}"
        rf"|{_IT} (?:not )?{_DAY}",
    ),
    (
        "stop",
        r"(?:stop|end|skip|cancel|quit|abort|drop|abandon|finish|break off|call off|give up|get out of"
        r"|don't want|do not want|no longer want|am done with|i'm done with|done with)(?: on| with)? "
        rf"{_IT}"
        r"(?: early)?(?: (?:because|since|my|i'm|i am|we|it's|there) .*)?"
        rf"|no more {_KIND}|forget (?:about )?{_IT}",
    ),
    (
        "propose",
        r"(?:start|set|set up|run|do|begin|try|plan|suggest|propose|make|have|pick|find|give me|think of"
        rf"|what about|how about|be ready for)(?: me| us)? {_IT}"
        rf"|what (?:should|shall|could|can) (?:we|i) test",
    ),
    (
        "progress",
        rf"(?:how|where|what|which|who|whose|is|are|did|does|has|when)\b.*\b{_KIND}\b.*"
        r"|how many (?:pairs|repeats|servings)(?: \w+)? (?:are |is )?(?:left|to go|done|missing)\b.*"
        rf"|which (?:arm|side|one) (?:is|comes) (?:next|due|up)(?: today| now)?"
        rf"|{_IT} (?:status|progress|so far|result|results)|(?:status|progress|results?) of {_IT}",
    ),
    (
        "start",
        r"(?:put )?(?:test|trial|check|try|find out|prove)\b.* (?:with and without|with or without"
        r"|with/without|against|versus|vs\.?) .*"
        rf"|(?:run|set up|start|do|begin|make|plan) {_IT}(?: of| with| on| between| for|:)? .+"
        r"|test (?:whether|if|how) .+|test .+ (?:after|before|with|on|in|or) .+"
        r"|test (?!update|status|progress|result|news|is\b|done)(?:my |the |a |an |some )?[a-z' -]{3,40}",
    ),
)
_ACTS = tuple((act, re.compile(rf"{_ASK}(?:{pattern}){_END}")) for act, pattern in _SAID)
_MOST_CHARACTERS = 200
_HOW_TO = re.compile(
    r"^how (?:do|can|would|could|should) (?:i|we|you) (?=(?:set|start|run|begin|plan|make|try)\b)"
)
_WHAT_NEXT = re.compile(r"what (?:\w+ ){0,2}(?:i|we) test next|(?:the )?next thing to test")
"""These ask for the plan, which names a test too."""
_ONLY_TRIALS = re.compile(rf"\b(?:{_KIND}|test|protocol|pairs|arm)\b")


def read_act(text: str) -> TrialAct | None:
    """Return what a whole sentence wants of a trial; None where it does not surely want anything of one.

    >>> read_act("Stop the test, please"), read_act("how is the vinegar test going?"), read_act("blood test?")
    ('stop', 'progress', None)
    >>> read_act("test white rice against lentils"), read_act("start a test"), read_act("no test today")
    ('start', 'propose', 'later')
    """
    said = re.sub(r"\s+", " ", text.lower().replace("’", "'").replace(",", " ")).strip(" ?!.")
    if len(said) > _MOST_CHARACTERS or _NO_TRIAL.search(said) or not _ONLY_TRIALS.search(said):
        return None
    said = _HOW_TO.sub("", " ".join(said.split()))
    if _WHAT_NEXT.fullmatch(said):
        return None
    return next((act for act, pattern in _ACTS if pattern.fullmatch(said)), None)
