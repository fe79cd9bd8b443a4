"""The words for movement: what each stands for, and how hard it usually is."""

import re
from collections.abc import Sequence

from bot.model.entries import Effort
from bot.understanding.words.wordlists import word_set

_LIGHT = (
    ("walk walked walking walks walkd wlaked wakled wlak stroll strolled strolling steps wandered", "walk"),
    ("yoga vinyasa ashtanga hatha bikram yogalates", "yoga"),
    # As people say it who write English among their own words: Dutch, German, French, Spanish, Polish.
    (
        "wandelen gewandeld spaziergang spazieren marche marché promené caminar caminé caminata paseo "
        "passeggiata "
        "spacer",
        "walk",
    ),
    ("pilates", "pilates"),
    ("stretching stretched stretches stretch stretchin", "stretching"),
    ("wander wandering ambled rambled rambling pram promenade walkies walkin constitutional", "walk"),
    ("barre", "barre"),
    ("mowed mowing", "mowing"),
    ("surf surfed", "surfing"),
    ("sauna", "sauna"),
    (
        "gardening gardened pottered pottering puttered weeding weeded raked raking",
        "gardening",
    ),
    (
        "housework hoovering hoovered cleaning cleaned vacuuming vacuumed mopped mopping ironing ironed "
        "chores tidied tidying scrubbed swept sweeping dusted dusting laundry decluttered decluttering",
        "housework",
    ),
)
# Each is called by its own name.
SPORTS = word_set(
    "football soccer tennis badminton basketball netball volleyball padel squash handball rugby cricket "
    "hockey golf boxing karate judo fencing baseball pickleball rounders softball dodgeball curling "
    "snorkelling lacrosse ultimate frisbee bowling trampolining rollerblading surfing kayaking canoeing "
    "paddleboarding aerobics capoeira parkour gymnastics archery polo triathlon windsurfing kitesurfing "
    "skateboarding longboarding sailing rafting abseiling canyoning hurling camogie shinty floorball "
    "kabaddi petanque croquet qigong tabata bjj"
)
_MODERATE = (
    ("hike hiked hiking trek trekked trekking rucking rucked", "hike"),
    ("ride riding", "ride"),
    ("sledging sledding sledged tobogganing", "sledging"),
    ("scooter scootering scooted", "scooter"),
    ("spin", "spinning"),
    ("calisthenics kettlebell kettlebells", "workout"),
    ("ballet tango", "dance"),
    (
        "wrestling wrestled kickboxing taekwondo jujitsu aikido silat krav kungfu muay sparring",
        "martial arts",
    ),
    ("orienteering", "run"),
    ("aquafit aquarobics aqua", "water aerobics"),
    ("run ran running runs jog jogged jogging jogs", "run"),
    ("cycle cycled cycling bike biked biking bicycle bicycled rode", "cycle"),
    ("fietsen gefietst radfahren radeln vélo velo bici bicicletta rower", "cycle"),
    ("joggen gejoggt laufen gelaufen hardlopen courir correr corrí bieganie", "run"),
    ("schwimmen geschwommen zwemmen natation nadar nadé nuoto pływanie", "swim"),
    ("bailé bailar bailando tanzen dansen flamenco bachata samba kizomba zouk ceilidh bhangra", "dance"),
    ("spinning", "spinning"),
    ("swim swam swimming swims pool", "swim"),
    ("row rowed rowing rower erg ergo", "row"),
    ("ski skied skiing snowboarding", "ski"),
    ("skating skated rollerskating", "skating"),
    ("parkrun racewalking", "run"),
    ("waitressing waitering bartending", "standing work"),
    ("climb climbed climbing bouldering bouldered", "climb"),
    ("gym workout workouts training exercise exercised exercising trained crossfit circuits", "workout"),
    ("weights lifting", "weights"),
    ("dance danced dancing zumba", "dance"),
    ("stairs stairmaster stepper", "stairs"),
    ("treadmill", "treadmill"),
    ("elliptical crosstrainer", "cross trainer"),
    (
        "footy futsal kickabout 5aside 6aside 7aside 8aside fiveaside sixaside sevenaside eightaside",
        "football",
    ),
    ("kneading", "physical work"),
    ("bootcamp", "workout"),
    ("lunges lunge", "exercises"),
    ("trampoline trampolined", "trampolining"),
    ("diy decorating", "physical work"),
    ("ebike ebiked turbo", "cycle"),
    ("physio physiotherapy", "exercises"),
    ("exercises squats pushups situps burpees planks", "exercises"),
    ("sport sports pe", "sport"),
    *((name, name) for name in sorted(SPORTS)),
    (
        "shovelling shovelled shoveling shoveled shovel digging dug hauling hauled labouring "
        "laboring bricklaying "
        "scaffolding roofing haymaking",
        "physical work",
    ),
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
    **{(work, "out"): ("workout", "moderate") for work in ("worked", "working", "work")},
    **{
        (verb, *the, thing): ("housework", "light")
        for verb in ("washing", "washed", "cleaned", "cleaning", "wash")
        for the in ((), ("the",), ("my",))
        for thing in (
            "car",
            "cars",
            "clothes",
            "windows",
            "laundry",
            "dishes",
            "floor",
            "floors",
            "van",
            "bike",
        )
    },
    **{
        (verb, load): ("physical work", "moderate")
        for verb in ("fetched", "fetching", "delivered", "delivering")
        for load in ("water", "firewood", "parcels", "post", "papers", "leaflets", "letters", "mail")
    },
    **{(verb, "tables"): ("standing work", "light") for verb in ("waiting", "waited", "bussing")},
    ("standing", "work"): ("standing work", "light"),
    ("washing", "up"): ("housework", "light"),
    ("did", "the", "dishes"): ("housework", "light"),
    ("climbed", "the", "stairs"): ("stairs", "moderate"),
    ("climbed", "stairs"): ("stairs", "moderate"),
    ("press", "ups"): ("exercises", "moderate"),
    ("push", "ups"): ("exercises", "moderate"),
    ("sit", "ups"): ("exercises", "moderate"),
    ("tai", "chi"): ("tai chi", "light"),
    ("kung", "fu"): ("martial arts", "moderate"),
    **{
        (dance, what): ("dance", "moderate")
        for dance in ("salsa", "latin", "swing", "line", "tap")
        for what in ("class", "lesson", "dancing", "practice", "session")
    },
    ("spin", "class"): ("spinning", "moderate"),
    ("interval", "training"): ("HIIT", "hard"),
    ("interval", "session"): ("HIIT", "hard"),
    ("power", "walk"): ("walk", "moderate"),
    ("nordic", "walking"): ("walk", "moderate"),
    ("physical", "job"): ("physical work", "moderate"),
    ("physical", "work"): ("physical work", "moderate"),
    ("manual", "work"): ("physical work", "moderate"),
    **{
        (verb, load): ("physical work", "moderate")
        for verb in (
            "carry",
            "carrying",
            "carried",
            "moved",
            "moving",
            "lifting",
            "lifted",
            "loading",
            "loaded",
            "packed",
            "packing",
            "shifted",
            "shifting",
        )
        for load in (
            "boxes",
            "bricks",
            "furniture",
            "sacks",
            "crates",
            "logs",
            "stones",
            "bags",
            "hay",
            "pallets",
        )
    },
    **{
        (verb, wood): ("physical work", "moderate")
        for verb in ("chopped", "chopping", "stacked", "stacking", "split", "splitting")
        for wood in ("wood", "logs", "firewood")
    },
    **{
        (part, "day"): ("weights", "moderate")
        for part in ("push", "pull", "leg", "chest", "arm", "upper", "back")
    },
    **{
        (kind, "work"): ("physical work", "moderate")
        for kind in (
            "construction",
            "building",
            "farm",
            "yard",
            "garden",
            "warehouse",
            "heavy",
            "hard",
            "site",
        )
    },
    ("on", "foot"): ("walk", "light"),
    ("dog", "out"): ("walk", "light"),
    ("half", "marathon"): ("run", "hard"),
    **{
        (verb, the, thing): ("mowing", "light")
        for verb in ("rode", "riding", "ride", "on", "pushed", "pushing", "mowed", "mowing", "cut", "cutting")
        for the in ("the", "a", "my")
        for thing in ("mower", "lawnmower", "lawn", "grass", "lawns")
    },
    ("foam", "rolling"): ("stretching", "light"),
    ("horse", "riding"): ("horse riding", "moderate"),
    ("paddle", "boarding"): ("paddleboarding", "moderate"),
    ("rowing", "machine"): ("row", "moderate"),
    ("exercise", "bike"): ("cycle", "moderate"),
    ("spin", "bike"): ("cycle", "moderate"),
    ("jumping", "jacks"): ("exercises", "moderate"),
    ("jump", "rope"): ("exercises", "moderate"),
    ("star", "jumps"): ("exercises", "moderate"),
    ("boot", "camp"): ("workout", "moderate"),
    ("power", "walked"): ("walk", "moderate"),
    ("power", "walking"): ("walk", "moderate"),
    **{
        (verb, "the", thing): ("physical work", "moderate")
        for verb in ("painted", "painting", "sanded", "sanding", "plastered", "plastering", "tiled", "tiling")
        for thing in (
            "fence",
            "wall",
            "walls",
            "house",
            "room",
            "kitchen",
            "bathroom",
            "shed",
            "ceiling",
            "hall",
        )
    },
    ("skipping", "rope"): ("exercises", "moderate"),
    ("water", "aerobics"): ("water aerobics", "moderate"),
    **{
        ("aqua", kind): ("water aerobics", "moderate")
        for kind in ("aerobics", "fit", "gym", "jogging", "class")
    },
    **{
        (verb, the, cart): ("walk", "light")
        for verb in ("push", "pushed", "pushing")
        for the in ("the", "a", "my", "her", "his")
        for cart in ("buggy", "pram", "stroller", "pushchair", "wheelchair", "trolley", "cart")
    },
    **{
        (verb, load): ("physical work", "moderate")
        for verb in (
            "loaded",
            "loading",
            "unloaded",
            "unloading",
            "stacked",
            "stacking",
            "filled",
            "lugged",
            "lugging",
        )
        for load in (
            "trucks",
            "lorries",
            "vans",
            "shelves",
            "pallets",
            "containers",
            "the",
            "truck",
            "lorry",
            "van",
        )
    },
    ("ping", "pong"): ("table tennis", "moderate"),
    ("table", "tennis"): ("table tennis", "moderate"),
    ("martial", "arts"): ("martial arts", "moderate"),
    ("body", "pump"): ("weights", "moderate"),
    ("weight", "training"): ("weights", "moderate"),
    ("strength", "training"): ("weights", "moderate"),
    ("cross", "trainer"): ("cross trainer", "moderate"),
    ("heavy", "lifting"): ("physical work", "moderate"),
}
_BY_FIRST = {word: [p for p in _PHRASES if p[0] == word] for word, *_ in _PHRASES}
# "ran out", "ran late", "cooking oil run": the word is no movement before these.
_NO_MOVEMENT = frozenset(
    {
        "out",
        "over",
        "late",
        "low",
        "errands",
        "drink",
        "drinks",
        "bar",
        "bra",
        "machine",
        "club",
        "shoes",
        "house",
        "cottage",
    }
)
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
    "heavy": "hard",
    "intense": "hard",
    "intensive": "hard",
    "tough": "hard",
    "vigorous": "hard",
    "strenuous": "hard",
    "sprint": "hard",
    "hiit": "hard",
}
"""Words that say how hard a movement was."""


_ENDS_IN_WALK = re.compile(r"(?!side|cat|cake|board|space|cross)\w{3,}walk(s|ed|ing)?")


def _names_other(before: str, word: str) -> bool:
    """Tell whether the word before makes it no movement: "post workout", "school run", "lemon squash"."""
    if word == "run":
        return before in ("school", "nursery", "coffee", "food", "beer", "shop", "supermarket", "grocery")
    if word == "row":
        return before in ("a", "the", "in")
    if word in ("workout", "gym", "training", "run"):
        return before in ("pre", "post")
    return word == "squash" and before in (
        "orange",
        "lemon",
        "blackcurrant",
        "butternut",
        "summer",
        "of",
        "fruit",
    )


def find_movement(words: Sequence[str]) -> tuple[str, Effort] | None:
    """Return what movement the words name and its usual effort, None for none."""
    if "stretch" in words and "of" in words:  # "a long stretch of a walk"
        words = [w for w in words if w != "stretch"]
    for i, word in enumerate(words):
        for phrase in _BY_FIRST.get(word, ()):
            if tuple(words[i : i + len(phrase)]) == phrase and words[i - 1 : i] != ["hot"]:  # "hot dog out"
                return _PHRASES[phrase]
        if word in ("lifting", "lifted") and words[i + 1 : i + 2] and words[i + 1] not in _AT_THE_GYM:
            return "physical work", "moderate"  # "lifting flour sacks"
        if word not in MOVEMENTS and _ENDS_IN_WALK.fullmatch(word):
            return MOVEMENTS["walk"]  # bushwalk, parkwalk
        if word not in MOVEMENTS or (i + 1 < len(words) and words[i + 1] in _NO_MOVEMENT):
            continue
        on = words[i + 1 : i + 2] in (["on"], ["over"], ["late"]) and i + 2 == len(words) and word == "ran"
        if not on and not (i and _names_other(words[i - 1], word)):  # "the meeting ran on"
            return MOVEMENTS[word]
    return None


_AT_THE_GYM = word_set(
    "weights weight session class day at in for on with and then heavy hard light after before today tonight "
    "this till until from easy gym workout upper lower legs program"
)
MOVEMENT_WORDS = frozenset(MOVEMENTS).union(*_PHRASES)
"""Every word that is in the name of a movement."""
