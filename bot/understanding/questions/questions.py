"""Sentences that ask something of the bot."""

import re
from collections.abc import Sequence

from bot.model.entries import About, Question
from bot.understanding.context import Context
from bot.understanding.pieces.slots import SLOT_WORDS
from bot.understanding.questions.days_questions import find_kind
from bot.understanding.questions.periods import day_of_slot, last_days, read_period
from bot.understanding.words.tokens import Token
from bot.understanding.words.wordlists import word_set

_STARTERS = word_set(
    "how how's hows what what's whats which when why who is are does do did should show compare tell give "
    "list where can could was were any has have suggest when's who's"
)
# These begin notes as well ("did 20 squats"): they ask only with a question mark or a subject behind them.
_NEEDS_SUBJECT = word_set(
    "did do does is are list give where top should will can could was were any has have suggest"
)
_EFFECT = word_set("spike spikes raise raises affect affects help helps work works matter matters")
_SUBJECTS = frozenset({"i", "my", "the", "it", "you", "me", "we", "this", "that", "walking", "vinegar"})
_POLITE = frozenset({"please", "pls", "hey", "hi", "hello", "ok", "so", "and", "tell", "show", "me"})
_HELP = frozenset(
    phrase.strip()
    for phrase in """help, help me, commands, start, menu, info, hi, hello, hey, hi there, hello there,
    what can you do, what can i do, what can i ask, what can i say,
    what can i type, what can i write, what do i do, what now, how does this work,
    how do you work, how do i use this""".replace("\n", " ").split(",")
)
MOST_MARKS = 20
MOST_SUBJECT, SURE_SUBJECT = 40, 0.8
_MEANT = {
    "wats": "what's",
    "whats": "what's",
    "wat": "what",
    "wot": "what",
    "hw": "how",
    "wich": "which",
    "whens": "when's",
    "wen": "when",
    "hows": "how's",
    "draw": "show",
    "plot": "show",
}
_JUDGED = word_set(
    "ok okay bad good high low better worse help hurt hurts fine healthy matter me anything much"
)
_STATUS = re.compile(
    r"^(status|when (is|was|did|do|should).*(sync|scan|upload|reminder|reading)|(am i|is .*) synced"
    r"|how many (readings|meals|days).*|am i missing (any |some )?(readings|data|anything)"
    r"|did you (get|receive) .*(readings?|file|data)|are my readings .*)"
)
_READ_OUT = word_set("sync synced syncing scan scanned scanning upload uploaded")
_BEST = frozenset({"best", "worst", "bst", "wrst", "top", "steadiest", "evenest", "highest", "lowest"})
_BEST |= {"flattest", "smoothest", "gentlest", "kindest", "calmest"}
_BEST_TOO = word_set(
    "flattest smoothest gentlest kindest calmest best worst bst wrst n pls top and or meal meals of "
    "the my our this last past week weeks month months year years day "
    "days today yesterday for in from were was so far is are breakfast breakfasts lunch lunches dinner "
    "dinners snack snacks what which show me tell please had have i did 3 5 7 14 30 three five seven food "
    "ever 4 thing things ate eaten eat january february march april may june july august september october "
    "november december foods since between yesterday's "
    "monday tuesday wednesday thursday friday saturday sunday"
)
_ABOUT_MEAL = frozenset({"curve", "score", "result", "results", "evenness", "picture", "graph", "chart"})
_HABITS = word_set(
    "walk walking walks vinegar cinnamon order sleep exercise moving first stress late early shift shifts "
    "timing"
)
_MEDICAL = word_set(
    "diabetes diabetic prediabetes insulin doctor metformin medicine medicines medication medications pill "
    "pills dose doses dosage inject injection units bolus"
)
_MORNING = word_set("morning mornings")
_GLUCOSE = word_set("glucose sugar sugars reading readings value values level levels trend mornings bg")
_FASTING = word_set(
    "avg averages are is how what what's whats show past month average numbers number mean fasting "
    "values value trend glucose sugar morning mornings "
    "last days weeks week my this 7 14 30"
)
_WHICH = re.compile(r"which (?:meals|breakfasts|lunches|dinners|snacks) (?:are|were) (?:good|bad|ok)\b")
_TRIAL = frozenset({"trial", "trials", "experiment", "experiments", "versus", "vs", "compare"})
_SUMS_TOO = word_set("please pls me give a the of for")
_WISH = re.compile(r"(?:i want|i'd like|i would like|can we|could we|let's|lets|shall we|how about) .+")
_PLAN = re.compile(
    r"what (?:should|can|could|do|shall) i (?:eat|have|try|do|test)"
    r"|what(?:'s|s| is)? next|what to (?:eat|try|test)"
    r"|any (?:ideas|tips|suggestions)|\bplan\b"
)
_ABOUT = re.compile(r"(?:and |so |ok |but |then )*(?:what|how) about (?:my |the |that )?")
_COMPARED = re.compile(
    r"\b(?:which|what)(?: one)?(?: is|'s| are| would be)? (?:better|worse|healthier|(?:best|"
    r"worst)(?= .* or ))\b"
)
_NO_SUBJECT = word_set(
    "how how's hows what what's whats was were is are did does do the my a an for me i it that this about "
    "of go went please show tell curve score result results look like after last meal food eating eat bad "
    "good ok okay to on in with blood sugar glucose raise spike at been your you think and today "
    "yesterday evening morning which foods food most help helps doing matter matters if best worst than "
    "more affect affects spike spikes raises better worse when happens happen can many carbs calories much "
    "get got or happened day night days work works one need so 2 two them him her there could "
    "overall general generally lately recently far would should deal tell know has have been late too tonight"
)


def read_question(sentence: Sequence[Token], asked: bool, text: str, context: Context) -> Question | None:
    """Return what one sentence asks, None when it is a note; `asked`: it ends with a question mark."""
    words = [_MEANT.get(t.text, t.text) for t in sentence if t.kind != "mark"]
    if not words:
        return (
            Question("help", said="?")
            if asked and len(text) < MOST_MARKS and set(text.strip()) == {"?"}
            else None
        )
    said = " ".join(text[sentence[0].start : sentence[-1].end].split())
    numbered = any(t.kind in ("number", "clock") for t in sentence)
    about = _about(words, asked, numbered)
    if about is None and asked and not numbered:
        about = "other"  # nobody notes what was eaten with a question mark
    if about is None:
        return None
    if about == "other" and not set(words) & _MEDICAL and _is_food(_subject(words, "food"), context):
        about = "food"
    since, until = read_period(sentence, context)
    subject = ""
    if about in ("one_meal", "food", "habit", "best_worst"):
        subject = _subject(words, about) if about != "best_worst" else _slot_said(words)
    if about == "best_worst" and since is None:
        since, until = last_days(8, context), context.now
    if about == "one_meal" and since is None and subject in SLOT_WORDS.values():
        since, until = day_of_slot(subject, context)
    if about == "day" and since is None:
        since, until = last_days(1, context), context.now
    return Question(about, since, until, subject, said)


def _without_opening(words: list[str], asked: bool) -> list[str]:
    """Leave out what only leads to the question: "so", "could you tell me", "just wondering"."""
    while len(words) > MOST_OPENING and words[0] in _OPENINGS:
        words = words[1:]
    match = _LEADS_TO.match(" ".join(words))
    rest = words if match is None else match.string[match.end() :].split()
    if match is not None and rest and rest[0] not in _STARTERS:
        rest = ["show", *rest]
    return rest or words


_LEADS_TO = re.compile(
    r"(?:just |please |i was |i'm |im )*(?:(?:can|could|would|will) you (?:please |pls )?(?:tell|show"
    r"|let) me(?: know)?"
    r"|(?:can|could|may) i (?:please )?(?:see|know|get|ask)|i(?:'d| would) (?:like|love) to (?:know|see)"
    r"|i want to know"
    r"|i wonder|wondering|curious|do you know|any idea|tell me|let me know|out of interest)"
    r" (?:about )?(?=(?:how|hows|how's|what|what's|whats|which|when|why|who|where|if|whether|is|are|my"
    r"|the|yesterday|yesterday's|today|today's|last|all|this)\b)"
    r"(?:(?:if|whether) )?"
)


def _exclaims(words: Sequence[str]) -> bool:
    """Tell whether it is "what a lovely evening" or "how nice" rather than a question."""
    if words[0] == "what":
        return len(words) > 2 and words[1] in ("a", "an")
    return len(words) <= 3 and words[1:2] != [] and words[1] in _JUDGED | _EXCLAIMED


_EXCLAIMED = word_set("lovely nice funny annoying strange weird great sweet kind rude cool boring exciting")


def begins_question(word: str) -> bool:
    """Tell whether a word may begin a question."""
    return word in _STARTERS


def _is_food(subject: str, context: Context) -> bool:
    known = context.table.match(subject) if subject and len(subject) < MOST_SUBJECT else None
    return known is not None and known.sure >= SURE_SUBJECT


def _about(words: list[str], asked: bool, numbered: bool) -> About | None:
    words = _without_opening(words, asked)
    if not asked and words[0] in ("what", "how") and _exclaims(words):
        return None
    if not asked and words[0] == "when" and words[1:2] != [] and words[1] in ("i", "we", "they", "he", "she"):
        return None  # "when I got home I had soup"
    phrase = " ".join(words).removesuffix(" please").removesuffix(" pls")
    known = set(words)
    if re.match(r"any (?:\w+ )?(?:ideas|tips|suggestions|advice)\b", phrase):
        return "plan"
    if words[0] in ("rank", "sort", "order") and len(words) > 1 and words[1] in ("my", "the", "all"):
        return "best_worst"
    if known & _SUMS and known <= _SUMS | _FASTING | _DAYS | _SUMS_TOO:
        return "day"
    if phrase in _HELP or re.fullmatch(
        r"(?:what are|list|show)(?: me)?(?: the| your| all)* commands", phrase
    ):
        return "help"
    if re.match(r"(?:list|show)(?: me)? (?:all )?my (?:meals|notes|log|entries)\b", phrase):
        return "day"
    if words[:2] in (["am", "i"], ["do", "i"]) and known & {"better", "worse"}:
        return "habit"
    if words[:2] == ["am", "i"] and len(words) > 2:
        return "status" if _STATUS.match(phrase) else "other"
    if phrase.startswith("how many repeats"):
        return "trial"
    if re.match(r"what (?:else )?can (?:you|i) (?:do|ask|say|type|write)\b|what does .* mean$", phrase):
        return "help"
    if known & (_TRIAL - {"compare"}) and not (numbered and {"vs", "versus"} & known):
        return "trial"
    if re.match(r"plan(?: my| the|$)", phrase) or words[0] == "suggest":
        return "plan"
    if re.fullmatch(r"(?:(?:my|the) )?(?:last|next) (?:sync|scan|reminder)", phrase):
        return "status"
    if words[0] in _ABOUT_MEAL and len(words) > 1 and words[1] in ("of", "for", "from", *_DAYS):
        return "one_meal" if known & set(SLOT_WORDS) or not known & _DAYS else "day"
    wished = _WISH.fullmatch(phrase) is not None
    if known & _TRIAL and (wished or asked or words[0] in _STARTERS) and not known & _MEDICAL:
        return "trial"
    if {"test", "try"} & known and ({"against", "versus", "vs"} & known or {"with", "without"} <= known):
        return "trial"
    starting = words[0] in _STARTERS or asked or bool(known & (_STARTERS - _NEEDS_SUBJECT))
    valued = numbered and words[0] not in _STARTERS  # "fasting 5.1" is a reading
    if "fasting" in known and (
        {w for w in known if not (asked and w.isdigit())} <= _FASTING or (starting and not valued)
    ):
        return "fasting"
    if starting and find_kind(phrase) is not None:
        return "other" if find_kind(phrase) == "a1c" else "day"
    summed = known <= _FASTING and known & {"average", "avg", "mean", "trend"}
    if known & _MORNING and known & _GLUCOSE and (words[0] in _STARTERS or summed):
        return "fasting"
    if re.match(r"how (?:long|many hours) (?:was|is|did|do) .*\bfast\b", phrase):
        return "other"
    if re.match(
        r"which (?:meals|breakfasts|lunches|dinners|snacks) (?:are|were|was) (?:good|bad|ok)\b", phrase
    ):
        return "best_worst"
    if re.search(r"\b(?:average|typical|usual) day\b", phrase) and len(words) <= 8:
        return "day"
    if _COMPARED.search(phrase):
        return "food"
    subject_said = len(words) > 1 and (words[1] in _SUBJECTS or bool(known & (_EFFECT | _JUDGED)))
    subject_said = (
        subject_said or words[0] == "does" or (words[0] == "do" and not numbered and len(words) > 2)
    )
    if words[0] == "top" and known <= _BEST_TOO:
        return "best_worst"
    if re.match(r"(?:am i|is (?:it|everything|all|my \w+|the \w+)) synced", phrase):
        return "status"
    did_it = words[:2] in (["did", "my"], ["did", "the"]) and not known & (_EFFECT | _JUDGED)
    if words[0] in _NEEDS_SUBJECT and not asked and (did_it or not subject_said):
        return None  # "did my stairs" is a note
    if _STATUS.match(phrase) and not known & set(SLOT_WORDS):
        return "status"
    if "most" in known and {"even", "steady", "flat"} & known:
        return "best_worst"
    if known & _READ_OUT and (asked or words[0] in _STARTERS) and not known & set(SLOT_WORDS):
        return "status"
    starts = words[0] in _STARTERS or (words[0] in _POLITE and bool(known & (_STARTERS - _NEEDS_SUBJECT)))
    if known & _BEST and (
        {w for w in known if not w.isdigit()} <= _BEST_TOO or (starts and words[0] not in _BEST)
    ):
        return "best_worst"
    names_meal = bool(known & set(SLOT_WORDS)) or bool({"meal", "meals"} & known)
    if asked and names_meal and words[0] in _BEST:
        return "best_worst"
    if names_meal and asked and _ABOUT.match(phrase):
        return "one_meal"
    if names_meal and (known & _ABOUT_MEAL or (asked and len(words) <= 2)):
        return "one_meal"
    if not starts:
        return None
    about = _about_rest(words, known, names_meal)
    return None if about == "other" and len(words) == 1 and not asked else about


def _about_rest(words: list[str], known: set[str], names_meal: bool) -> About | None:
    """Sort a sentence that begins like a question."""
    phrase = " ".join(words)
    if known & _MEDICAL:
        return "other"
    if known & {"sync", "synced", "reminder", "reminders", "sensor"}:
        return "status"
    if phrase.startswith(("how do i ", "how can i ")):
        return "help"
    if _PLAN.search(phrase):
        return "plan"
    if known & _ABOUT_MEAL and words[0] in ("what", "what's", "whats", "show", "how"):
        return "one_meal"
    if (
        {"did", "i"} <= known
        and known & {"eat", "have", "drink", "log", "note"}
        and known & (_DAYS | set(SLOT_WORDS))
    ):
        return "day"
    if {"have", "i"} <= known and known & {"logged", "had", "noted", "tracked"}:
        return "day"
    if {"how", "many", "steps"} <= known:
        return "habit"
    if {"how", "much"} <= known and known & {"sleep", "walk", "move", "run"}:
        return "habit"
    if {"how", "doing"} <= known and known <= _DOING_WELL | _DAYS:
        return "day"
    if {"did", "i", "eat"} <= known or {"have", "i", "eaten"} <= known:
        return "day"
    if words[0] == "should" and known & _HABITS:
        return "habit"
    if known & _HABITS and {"does", "do", "help", "helps", "is", "are", "effect", "matter"} & known:
        return "habit"
    past = bool({"was", "were", "did"} & known)
    if words[0] in ("how", "how's", "hows", "show", "what", "what's") and (
        names_meal or (past and words[0] == "how")
    ):
        rest = [w for w in words if w not in _NO_SUBJECT and w not in _DAYS]
        last_one = known & {"that", "it"} and known & {"many", "much"} and not known & _DAYS
        return "one_meal" if rest or names_meal or last_one else "day"
    if (words[0] in ("how", "how's", "hows", "show") or "look" in known) and known & _DAYS:
        return "day"
    if words[0] in ("how", "why", "what") and names_meal and known & {"went", "turned", "did", "was", "so"}:
        return "one_meal"
    if words[0] in ("was", "were"):
        return "one_meal" if names_meal or _subject(words, "one_meal") else "other"
    if words[0] in ("why", "how", "show") and (known & _DAYS or "days" in known):
        return "day"
    sorts = words[0] in ("how", "is", "are", "does", "do", "what", "whats", "what's", "can", "could")
    if (
        sorts
        and not any(w[0].isdigit() for w in words if w != "2")
        and {"is", "are", "does", "do", "doing", "happens", "eat", "have", "carbs"} & known
    ):
        return "food" if _subject(words, "food") else "other"
    if known & {"food", "foods"} and words[0] in ("which", "what"):
        return "food"
    return "other" if words[0] in _STARTERS else None


_DOING_WELL = word_set("how how's am i i'm doing today so far this was my the going are we")
_SUMS = word_set("stats summary report overview recap statistics")
_OPENINGS = frozenset({"so", "and", "but", "ok", "okay", "hey", "hi", "then", "well", "um", "right", "also"})
MOST_OPENING = 2
_DAYS = word_set("today yesterday day week monday tuesday wednesday thursday friday saturday sunday night")


def _subject(words: Sequence[str], about: About) -> str:
    slot = _slot_said(words)
    if slot and about != "habit":
        return slot
    if about == "habit":
        words = [w for w in words if w not in SLOT_WORDS and w not in ("eat", "meals", "do", "better")]
    return " ".join(
        w for w in words if w not in _NO_SUBJECT | _ABOUT_MEAL and w not in _DAYS and not w.endswith("'s")
    )


def _slot_said(words: Sequence[str]) -> str:
    return next(
        (SLOT_WORDS[word.removesuffix("s")] for word in words if word.removesuffix("s") in SLOT_WORDS), ""
    )
