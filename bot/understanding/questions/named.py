"""Pictures that are asked for by name: the whole sentence says which, so nothing has to be weighed. Pure."""

import re
from collections.abc import Sequence

from bot.model.entries import Question
from bot.understanding.context import Context
from bot.understanding.questions.held import asks_for_all
from bot.understanding.questions.listed import read_listed
from bot.understanding.questions.periods import read_period
from bot.understanding.questions.sorts import ABOUT, ONLY_NAMED, Sort
from bot.understanding.questions.subjects import known_food
from bot.understanding.questions.varied import find_varied
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import read_tokens

_OPENING = re.compile(
    r"^(?:(?:please|pls|hey|ok|can you|could you|can i see|show me|show|let me see|plot|draw)\s+)+"
)
_ENDING = re.compile(
    r"\s+(?:please|pls|as a picture|(?:in|for|over|of|from) the (?:last|past) .*"
    r"|(?:in|for|of)? ?(?:this|last) (?:week|month)|since .*)$"
)
_KIND = (
    r"(?:the |my )?(early|late|night|day|morning|evening|middle|off)(?:[ -]shifts?)?(?: days?)?"
    r"|(?:the |my )?days (off)|(?:the |my )?(weekday|weekend)s?"
)
_SHIFTS = re.compile(
    rf"(?:compare |comparing |how do |how different are )?(?:{_KIND})"
    rf"(?: and| against| versus| vs\.?| v| with| or| to| compared (?:with|to)| differ from)"
    rf" (?:{_KIND})(?: differ| compare| shifts?)?"
)
_WAKING = re.compile(
    r"(?:my |the |an )?(?:average|usual|typical|mean)? ?days? (?:(?:counted|aligned|lined up|starting) )?"
    r"(?:from|since|after|at|by|to) (?:when )?(?:waking(?: up)?|i (?:wake|woke)(?: up)?|getting up)"
)
_RUN = re.compile(
    r"how complete (?:is|are) (?:my|the) (?:records?|run|log|data|readings|diary|notes)"
    r"|(?:my |the )?(?:whole|entire) run(?: so far)?|(?:my |the )?run (?:so far|as a calendar)"
    r"|(?:my |the |a )?calendar(?: of my \w+)?"
    r"|(?:my |the )?record as a calendar|(?:the )?(?:wear|coverage) of (?:my |the )?sensors?"
    r"|(?:my )?sensor (?:wear|coverage)"
    r"|how (?:well )?(?:have i|did i) (?:wear|worn?|read) (?:my|the) sensors?"
)
_REPORT = re.compile(
    r"(?:(?:send|give|write|make|print|create|export)(?: me)? )?(?:my |the |an? )?(?:final |full |whole )?"
    r"report(?: (?:on|of|about|for) (?:my|the) (?:run|sensor|days|whole run|weeks?))?"
    r"(?: (?:as|in) (?:a )?pdf| to print"
    r"| (?:that )?i can (?:share|show|pass on|print)(?: (?:around|to others))?"
    r"| to (?:share|show around|pass on)"
    r"| for (?:my |a |the )?(?:doctor|clinician|gp|physician|nurse|practice))?"
    r"|(?:(?:send|give|make)(?: me)? )?(?:one|a) page for (?:my |a |the )?(?:doctor|clinician|gp|physician)"
    r"|(?:(?:send|give|make)(?: me)? )?(?:my |an? |the )?(?:anonymous|shareable|shared?) report"
)
_WEEK = re.compile(
    r"(?:review|look back (?:on|at)|sum up|recap|summari[sz]e|go over) (?:my|the|this|last|my last) weeks?"
    r"|(?:my |the |a |last week's |this week's )?(?:weekly|week's|week) (?:review|recap|look back)"
    r"|how (?:was|is|did|has)(?: it)? (?:my|the|this|last) weeks?(?: go| been| going)?|my week"
)
_RUNS = re.compile(
    r"(?:compare |comparing |set )?(?:my |the |both |my two |the two |both my )(?:runs|two runs)"
    r"(?: side by side| compared| beside each other| against each other)?"
    r"|(?:compare |is )?(?:this|my (?:second|new|latest|last|present)) run"
    r" (?:against|with|to|beside|versus|vs\.?|better than|steadier than|like)"
    r" (?:the |my )?(?:first|last|other|old|earlier|previous)(?: one| run)?"
)
_SERVINGS = re.compile(
    r"(?:all|each|every)(?: of)? my (?P<all>.+?)(?: servings?| by portion| by size)?"
    r"|(?:all|every) servings? of (?:my )?(?P<of>.+?)"
    r"|my (?P<by>.+?) (?:by portion|by size|side by side)"
)
_SERVED = re.compile(
    r"(?:(?:all|each|every)(?: of)?(?: my| the)?|my) (?P<served>.+?) (?:servings?|portions?|meals?|plates?)"
    r"|(?:all the|every|each) times? (?:that |when )?i(?:'ve)? (?:had|ate|eaten) (?P<had>.+?)"
)
"""So many servings at once are shown, not eaten."""
_UNFINISHED = re.compile(r"(?:(?:all|each|every)(?: of)?(?: my| the)?|my|the)?")
"""What is left of "show all my": it does not say what to show."""


def read_named(text: str, context: Context) -> Question | None:
    """Return the question that a whole sentence asks by the name of its picture, None if it does not.

    “early against late shifts”, “average day from waking”, “how complete is my record?”, “show all my
    porridges”
    """
    said = re.sub(r"\s+", " ", text.lower().replace("’", "'")).strip(" ?!.")
    if asks_for_all(said):
        return Question(ONLY_NAMED["all held"], None, None, "", text, "all held")
    listed = read_listed(said, context)
    if listed is not None:
        sort, subject, (since, until) = listed
        return Question(ONLY_NAMED[sort], since, until, subject, text, sort)
    whole = _ENDING.sub("", _OPENING.sub("", said))
    shown, subject, against = _sort_of(whole, said, context)
    if shown is None:
        return None
    since, until = read_period(read_tokens(text), context)
    if shown == "shifts" and not {"last", "past", "since", "this"} & set(said.split()):
        since, until = None, None  # the days named are the kinds of day
    return Question(ABOUT[shown], since, until, subject, text, shown, against)


def kinds_of_day(words: Sequence[str]) -> tuple[str, ...]:
    """Return the kinds of day that words set side by side; none where they do not name two.

    >>> kinds_of_day("do my early shifts differ from the late ones".split())
    ('early', 'late')
    """
    kinds = dict.fromkeys(kind for word in words if (kind := word.removesuffix("s")) in TAGS.kinds_named)
    return tuple(kinds) if len(kinds) == 2 else ()


def _sort_of(whole: str, said: str, context: Context) -> tuple[Sort | None, str, str]:
    kinds = _SHIFTS.fullmatch(whole)
    if kinds is not None and re.search(r"shift|days off|early|late", whole):
        first, second = (name for name in kinds.groups() if name)
        return ("shifts", first, second) if first != second else (None, "", "")
    if _WAKING.fullmatch(whole) or _WAKING.fullmatch(_OPENING.sub("", said)):
        return "waking", "", ""
    if _WEEK.fullmatch(_OPENING.sub("", said).removesuffix(" please")):
        return "week", "", ""
    if _RUNS.fullmatch(whole):
        return "runs", "", ""
    if _REPORT.fullmatch(whole):
        return "report", "", ""
    if _RUN.fullmatch(whole) or (whole in ("my run", "run", "the run") and said.startswith("show")):
        return "run", "", ""
    shown = _SERVINGS.fullmatch(whole)
    if shown is not None and (said != whole or shown["of"] or shown["by"]):
        subject = shown["all"] or shown["of"] or shown["by"]
        if known_food(subject, context):
            return "servings", subject, ""
    served = _SERVED.fullmatch(whole)
    if served is not None and known_food(subject := served["served"] or served["had"], context):
        return "servings", subject, ""
    if said != whole and _UNFINISHED.fullmatch(whole):
        return "unknown", "", ""
    for words in (whole, said):
        varied = find_varied(words, context)
        if varied is not None:
            return "variants", varied, ""
    return None, "", ""
