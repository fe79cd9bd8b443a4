"""The words for movement: what each stands for, and how hard it usually is."""

from collections.abc import Sequence

from bot.entries import Effort

_LIGHT = (
    ("walk walked walking walks walkd wlaked wakled wlak stroll strolled strolling steps wandered", "walk"),
    ("yoga", "yoga"),
    ("pilates", "pilates"),
    ("stretching stretched stretches stretch", "stretching"),
    (
        "gardening gardened mowed mowing weeding weeded raked raking",
        "gardening",
    ),
    (
        "housework hoovering hoovered cleaning cleaned vacuuming vacuumed mopped mopping ironing ironed "
        "chores tidied tidying scrubbed",
        "housework",
    ),
)
_MODERATE = (
    ("hike hiked hiking", "hike"),
    ("run ran running runs jog jogged jogging jogs", "run"),
    ("cycle cycled cycling bike biked biking bicycle rode", "cycle"),
    ("spinning", "spinning"),
    ("swim swam swimming swims pool", "swim"),
    ("row rowed rowing", "row"),
    ("ski skied skiing snowboarding skating skated", "ski"),
    ("climb climbed climbing bouldering bouldered", "climb"),
    ("gym workout workouts training exercise exercised exercising trained crossfit circuits", "workout"),
    ("weights lifting", "weights"),
    ("dance danced dancing zumba", "dance"),
    ("stairs", "stairs"),
    ("exercises squats pushups situps burpees planks", "exercises"),
    (
        "sport sports football tennis badminton basketball volleyball padel squash handball rugby cricket",
        "sport",
    ),
    ("shovelling shovelled shoveling digging", "physical work"),
)
_HARD = (("hiit intervals sprints", "HIIT"),)
_LEVELS: tuple[tuple[tuple[tuple[str, str], ...], Effort], ...] = (
    (_LIGHT, "light"),
    (_MODERATE, "moderate"),
    (_HARD, "hard"),
)
MOVEMENTS: dict[str, tuple[str, Effort]] = {
    form: (what, effort) for group, effort in _LEVELS for forms, what in group for form in forms.split()
}
"""Each word for movement: what it is, and its usual effort."""

_PHRASES: dict[tuple[str, ...], tuple[str, Effort]] = {
    ("washing", "up"): ("housework", "light"),
    ("did", "the", "dishes"): ("housework", "light"),
    ("climbed", "the", "stairs"): ("stairs", "moderate"),
    ("climbed", "stairs"): ("stairs", "moderate"),
    ("press", "ups"): ("exercises", "moderate"),
    ("push", "ups"): ("exercises", "moderate"),
    ("sit", "ups"): ("exercises", "moderate"),
    ("tai", "chi"): ("tai chi", "light"),
    ("spin", "class"): ("spinning", "moderate"),
    ("interval", "training"): ("HIIT", "hard"),
    ("interval", "session"): ("HIIT", "hard"),
    ("power", "walk"): ("walk", "moderate"),
    ("nordic", "walking"): ("walk", "moderate"),
    ("physical", "job"): ("physical work", "moderate"),
    ("physical", "work"): ("physical work", "moderate"),
    ("manual", "work"): ("physical work", "moderate"),
    ("carrying", "boxes"): ("physical work", "moderate"),
    ("carried", "boxes"): ("physical work", "moderate"),
    ("moving", "boxes"): ("physical work", "moderate"),
    ("moved", "furniture"): ("physical work", "moderate"),
    ("moving", "furniture"): ("physical work", "moderate"),
    ("chopped", "wood"): ("physical work", "moderate"),
    ("chopping", "wood"): ("physical work", "moderate"),
    ("heavy", "lifting"): ("physical work", "moderate"),
}
_FIRST_WORDS = frozenset(phrase[0] for phrase in _PHRASES)
# "ran out", "ran late", "cooking oil run": the word is no movement before these.
_NO_MOVEMENT = frozenset({"out", "late", "errands"})
EFFORTS: dict[str, Effort] = {
    "easy": "light",
    "gentle": "light",
    "slow": "light",
    "slowly": "light",
    "leisurely": "light",
    "light": "light",
    "lightly": "light",
    "relaxed": "light",
    "brisk": "moderate",
    "briskly": "moderate",
    "moderate": "moderate",
    "steady": "moderate",
    "fast": "moderate",
    "quick": "moderate",
    "hard": "hard",
    "intense": "hard",
    "intensive": "hard",
    "tough": "hard",
    "vigorous": "hard",
    "strenuous": "hard",
    "sprint": "hard",
    "hiit": "hard",
}
"""Words that say how hard a movement was."""


def find_movement(words: Sequence[str]) -> tuple[str, Effort] | None:
    """Return what movement the words name and its usual effort, None for none."""
    for i, word in enumerate(words):
        if word in _FIRST_WORDS:
            for phrase, found in _PHRASES.items():
                if tuple(words[i : i + len(phrase)]) == phrase:
                    return found
        if word in MOVEMENTS and (i + 1 == len(words) or words[i + 1] not in _NO_MOVEMENT):
            return MOVEMENTS[word]
    return None
