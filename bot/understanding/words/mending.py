"""Words typed in a hurry -> the words that were meant, before a message is read: slpet, dinr, 7p, b'fast.

Only words that a note turns on are mended (meals, days, doings), and only where what was typed is no word of
the food table and no plain word: "tired" is no way to spell "tried". Food names have their own spelling.
"""

import re
from functools import lru_cache

from bot.foodtable import FoodTable
from bot.foodtable.spelling import find_near
from bot.understanding.words.lexicon import TAGS, meanings
from bot.understanding.words.movements import MOVEMENTS
from bot.understanding.words.plain_words import PLAIN_WORDS

_SHORT_FOR: dict[str, str] = meanings("short_for")
_KEY_WORDS = tuple(sorted(TAGS.key_words))
LEAST_HOUR, MOST_HOUR = 5, 23
_LEAST_LETTERS, _TWO_WRONG_FROM = 4, 8
_WORD = re.compile(r"[^\W\d_]+(?:['’/][^\W\d_]+)*|(?<!\S)2(?:day|nite)\b")
_AM_PM = re.compile(r"(?<![\w.,:/])(\d{1,2})([0-5]\d)([ap])m?(?![\w.'])", re.IGNORECASE)
_TASTE = re.compile(r"\b(?:(?:way )?too|half|not|less) sweet\b(?! \w)", re.IGNORECASE)
_HALF_DAY = re.compile(r"(?<![\w.,:/])(\d{1,2}(?:[:.]\d\d)?)([ap])(?![\w.'])", re.IGNORECASE)
_FOR = re.compile(
    r"(?<![\w.,:/])4 (?=(?:b'?fast|br[ae]\w+|lunch|dinner|tea|snack|supper|me|pudding)\b)", re.IGNORECASE
)
# "coffee 8, 10 and 11": hours that rise, at the end of a line.
_HOURS = re.compile(
    r"(?<=[a-z] )(?<!between )(\d{1,2})((?:, ?\d{1,2})*),? (?:and|&|n) (\d{1,2})(?=[ .!]*$)",
    re.IGNORECASE | re.MULTILINE,
)
# "baby up at 1, 3 and 4:30": each hour of a list is said with its "at".
_AT_HOURS = re.compile(
    r"\bat \d{1,2}(?::\d\d)?(?: ?[ap]m)?(?:, ?\d{1,2}(?::\d\d)?(?: ?[ap]m)?)+,? (?:and|&|n) "
    r"\d{1,2}(?::\d\d)?(?: ?[ap]m)?(?=[ .!,]*$|[.!,\n])",
    re.IGNORECASE | re.MULTILINE,
)
_CAN_NOT = re.compile(r"\bcan ?not\b", re.IGNORECASE)
_NTH = re.compile(
    r"\b\d{1,2}(?:st|nd|rd|th) (?=(?:coffee|cup|tea|beer|pint|glass|slice|helping|portion|snack)s?\b)",
    re.IGNORECASE,
)
_HERE_IS = re.compile(
    r"^((?:hi|hello|hey|hiya|good \w+),? )(?:it[’']?s|this is) \w+(?: again| here)?\b", re.IGNORECASE
)
# "Morning! had toast"; "evening. rice" tells when.
_PART, _HI, _ALL = (
    "(?:morning|afternoon|evening)",
    "hi|hello|hey|hiya",
    "(?: (?:there|all|everyone|again|bot))",
)
_GREETS = re.compile(
    rf"^\W*(?:(?:{_HI}|(?:good )?{_PART}){_ALL}\s*[!.]+"
    rf"|(?:{_HI}|good {_PART})\s*[!.]+|{_PART}\s*!+)\s*(?=\w)",
    re.IGNORECASE,
)
_NUMBER = re.compile(r"(?<=coffee|lattes) ?(?:number|no\.?|nr|#) ?\d\b", re.IGNORECASE)
_SAYINGS = re.compile(
    r" with (?:a start|the larks?)\b|,? do?n[’']?t judge(?: me)?\b|"
    r"\b(?:cake|tea|wine|beer|gin|snack) o[’']? ?clock[!:]+",
    re.IGNORECASE,
)
_BREAK = re.compile(r"\b(?:tea|coffee) break ?:", re.IGNORECASE)
_EAT_NO = re.compile(r"\b(i|we) no(?:t)? (eat|have|take|drink)\b", re.IGNORECASE)
_I_CHOP = re.compile(r"\b(i|we) (?:don )?chop\b", re.IGNORECASE)  # pidgin: "I don chop beans"
# "a crumpet and a half with jam", "two rotis and half"; a length of time has its own reader.
_AND_HALF = re.compile(
    r"\b(an?|one|two|three|[1-9]) ((?!hours?\b)[^\W\d]{3,}) and (?:a )?half(?= with\b| and\b| on\b|[,.;!]|$)",
    re.IGNORECASE | re.MULTILINE,
)
_ONES = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3}
# "slept 11 - 7", "shift 10 - 6": a span, no dash between two notes
_SPACED_SPAN = re.compile(
    r"(\b(?:slept|sleep|asleep|nap|napped|shift|work|worked|class) (?:[^\W\d]+ ){0,2}\d{1,2}) [-–] (?=\d)",
    re.IGNORECASE,
)
# "two day old bread", but not "the sensor is 10 days old"
_DAY_OLD = re.compile(
    r"(?<!is )\b(?:a |one |two |three |\d[ -])?day[ -]old (?!and\b|but\b|now\b|today\b)(?=[^\W\d]{3})",
    re.IGNORECASE,
)
_SOUP_PLATE = re.compile(r"\b(?:soup|deep) (?=plates?\b)", re.IGNORECASE)
_UNFED = re.compile(r"\bon (?:an )?empty stomach\b", re.IGNORECASE)
_ROPE = re.compile(r"\bskipping rope\b", re.IGNORECASE)  # nothing was skipped
_ITS = re.compile(r"\b((?:last|this|yesterday) (?:night|morning|evening|afternoon))s\b", re.IGNORECASE)
# "same as last night but less, like half": half of it
_SAME_BUT = re.compile(
    r"\b(same as [^,.;:]+?)[ ,]+(?:but|just|only)[ ,]+(?:(?:less|smaller|more|like|about|maybe|only)[ ,]+)*"
    r"(half|a third|a quarter|two thirds|double)"
    r"(?: of (?:it|that)| (?:the |that )?(?:portion|amount)| as much)?"
    r"(?=\W*$)",
    re.IGNORECASE,
)
_GINS = re.compile(r"(?<=\bg&t)s\b", re.IGNORECASE)
_TWO_MINUTES = re.compile(r"\b(?:2|two)[ -]?min(?:ute)?s? (?=noodles?\b)", re.IGNORECASE)
_PAUSES = re.compile(
    r"(?<!\w)(?:um+(?! ali\b)|uh+|erm+|hmm+|,? ?i[’']?d say|,? ?i reckon),?(?!\w)", re.IGNORECASE
)
# "rice an peas": no article stands before such a letter.
_AND_SHORT = re.compile(r"(?<=[a-z] )an (?=[bcdfgjklmnpqrstvwyz][a-z]{2})")
_TABLESPOONS, _TEASPOONS = re.compile(r"(?<=\d) ?T(?![\w.])"), re.compile(r"(?<=\d) ?t(?![\w.'])")
_BOTH_HALVES = re.compile(r",? \b(?:on )?both halves\b", re.IGNORECASE)
_TWICE = re.compile(r"(?<=\d)( ?(?:ml|cl|dl|l|g|oz|pints?|cups?|glass)) twice\b", re.IGNORECASE)
_SHARP = re.compile(r"(?<=[\dm]) (?:sharp|on the dot)\b", re.IGNORECASE)
_PRICE = re.compile(
    r"(?:,? ?\b(?:for|cost(?:s|ing)?|only|at) )?(?<![\w.,])"
    r"(?:(?:[£€$₦₹₱]|\b(?i:rs\.?|ksh|rm)\s?)\s?\d+(?:[.,]\d\d?)?|R\d{2,4}(?:[.,]\d\d)?|"
    r"\d+(?:[.,]\d\d?)?\s?(?:[£€]|\b(?i:euros?|quid|bucks|dollars|pounds sterling|rand|naira|bob|"
    r"shillings?|rupees?|pesos?|reais|lira)\b))(?!\w)(?:'? worth\b)?"
)
_UHR = re.compile(r"\b(\d{1,2})\s?uhr\s?([0-5]\d)\b", re.IGNORECASE)
_HOURS_OF_HALB = "eins|zwei|drei|vier|fünf|sechs|sieben|acht|neun|zehn|elf|zwölf"
_HALB = re.compile(rf"\b(?:um )?halb ({_HOURS_OF_HALB})\b", re.IGNORECASE)
_SQUARE = re.compile(r"(?:\b(?:about|approx|like) )?\b(\d) ?[x×] ?\1\b(?! ?\w)", re.IGNORECASE)
_THIS_AM = re.compile(r"\bthis ([ap])\.?m\b\.?", re.IGNORECASE)
_A_LA_MODE = re.compile(r"\b[aà] la mode\b", re.IGNORECASE)
_AND_SWAHILI = re.compile(r"(?<=\d) na (?=[a-z])")  # "chapati 2 na beans"
_LEVEL = re.compile(
    r"\b(stress|pain|hunger|tiredness)(?: levels?)?(?: is| at| was|:)? ?\d{1,2}(?:/| out of )10\b",
    re.IGNORECASE,
)
_WINKS = re.compile(r"\b(?:forty|40) winks\b", re.IGNORECASE)
_STEPS = re.compile(r"\bsteps ?[:=] ?(\d[\d,.]*k?)(?![\w])", re.IGNORECASE)
_RUN_DOWN = re.compile(r"\b(?:running on (?:empty|fumes)|run[ -]down|dead on my feet)\b", re.IGNORECASE)
# "1h15" is a length, "7h15" a time of day.
_HOURS_LONG = re.compile(
    r"(?<!at )(?<!to )(?<![@\w.,:])(?:([1-4])h|(?<=slept )(\d)h)([0-5]\d)\b(?! ?(?:min|to\b|til|-|–))",
    re.IGNORECASE,
)
# Lines that open with times: a bare number that opens another is an hour ("7.30 oats", "1 soup").
_TIMED_LINE = re.compile(r"^\s*\d{1,2}[.:]\d\d\b", re.MULTILINE)
_BARE_LINE = re.compile(r"^\s*(\d{1,2})(?= [a-z])", re.IGNORECASE | re.MULTILINE)
# "B: oats", "L - soup": meals by their first letters, where there are at least two.
_INITIALS = re.compile(r"(?:^|(?<=\s)|(?<=[,;]))([BLD]) ?[:=-] ?(?=[^\W\d])", re.IGNORECASE)
_SLOT_OF = {"b": "breakfast", "l": "lunch", "d": "dinner"}
_LAPS = re.compile(r"(?<=\bin )(\d{1,2}):[0-5]\d\b(?!:|\d| ?[ap]m)", re.IGNORECASE)
_INCH = re.compile(r"(?<![\w.,])(\d{1,2})[\"”″](?=[ -])")
_HALVES = re.compile(r"\bhalf (?:n|'n'|&|\+) half\b", re.IGNORECASE)
_ISH = re.compile(r"\b(noon|midday|midnight)[ -]?ish\b", re.IGNORECASE)
_ARROW = re.compile(r"(?<!\s)(?<!\d:[0-5]\d)\s*(?:(?<!-)-+>|=>|→)\s*(?=\d)")
_FROM_TO = re.compile(
    r"\b(?:went|rose|jumped|shot|spiked|climbed|dropped|fell|came|gone|going)(?: up| down| back)? from "
    r"(\d{1,3}(?:[.,]\d)?) to (\d{1,3}(?:[.,]\d)?)(?= |$)",
    re.IGNORECASE,
)
_HOUR = re.compile(r"\d{1,2}(?::\d\d)?(?: ?[ap]m)?", re.IGNORECASE)
_O_CLOCK = re.compile(r"\bo[ ’´`](?=clock\b)", re.IGNORECASE)

_DRAWN_OUT = re.compile(r"([a-z])\1{2,}", re.IGNORECASE)  # "sooo good"
_COOKED = {"boil": "boiled", "fry": "fried", "bake": "baked", "steam": "steamed", "grill": "grilled"}
_STEM = re.compile(rf"\b(?:{'|'.join(_COOKED)})\b(?= [^\W\d])", re.IGNORECASE)  # "boil egg", "fry fish"


def mend(text: str, table: FoodTable) -> str:
    """Return the text with the words that a note turns on spelt out."""

    def spell(match: re.Match[str]) -> str:
        word = match.group()
        short = _SHORT_FOR.get(word.lower().replace("’", "'"))
        if short is not None:
            return short
        if table.has_word(word.lower()):
            return word
        if word.endswith("in") and f"{word}g".lower() in PLAIN_WORDS | MOVEMENTS.keys():
            return f"{word}g"  # "diggin", "headin"
        return _DRAWN_OUT.sub(r"\1", word) if _DRAWN_OUT.search(word) else _meant(word)

    def cooked(match: re.Match[str]) -> str:
        stem, food = match.group().lower(), match.string[match.end() :].split(maxsplit=1)[0].lower()
        if food == "and" or table.starts([*match.string[: match.start()].lower().split()[-1:], stem]) == 2:
            return match.group()  # "steak bake and chips"
        return _COOKED[stem] if table.has_word(food) and table.starts([stem, food]) < 2 else match.group()

    text = _ISH.sub(r"about \1", _HERE_IS.sub(r"\1", _GREETS.sub("", text)))
    text = _HALVES.sub("half and half", text)
    text = _ARROW.sub(", then ", text)
    text = _INCH.sub(r"\1 inch", text)
    text = _HOURS.sub(_spell_hours, text)
    if len({m.lower() for m in _INITIALS.findall(text)}) > 1:
        text = _INITIALS.sub(lambda m: f"{'; ' * bool(m.start())}{_SLOT_OF[m[1].lower()]}: ", text)
    text = _BOTH_HALVES.sub("", text)
    text = _SHARP.sub("", _TWICE.sub(r"\1 x2", text))
    text = _SQUARE.sub("", _PRICE.sub("", text))
    text = _UHR.sub(r"\1:\2", text)
    text = _HALB.sub(lambda m: f"{_HOURS_OF_HALB.split('|').index(m[1].lower()) or 12}:30", text)
    text = _THIS_AM.sub(lambda m: "this morning" if m[1] in "aA" else "this afternoon", text)
    text = _A_LA_MODE.sub("with ice cream", text)
    text = _AND_SHORT.sub("and ", _AND_SWAHILI.sub(" and ", text))
    text = _TEASPOONS.sub(" tsp", _TABLESPOONS.sub(" tbsp", text))
    text = _LEVEL.sub(r"\1", _PAUSES.sub("", text))
    text = _SPACED_SPAN.sub(r"\1-", text)
    text = _ROPE.sub("jump rope", _UNFED.sub("fasting", text))
    text = _SOUP_PLATE.sub("", _DAY_OLD.sub("leftover ", text))
    text = _TWO_MINUTES.sub("instant ", _WINKS.sub("nap", text))
    text = _STEPS.sub(r"\1 steps", text)
    text = _AND_HALF.sub(lambda m: f"{_ONES.get(m[1].lower(), m[1])}.5 {m[2]}", text)
    text = _I_CHOP.sub(r"\1 ate", text)
    text = _EAT_NO.sub(r"\1 didn't \2", _GINS.sub("", text))
    text = _BREAK.sub("snack:", _SAYINGS.sub("", _NUMBER.sub("", text)))
    text = _NTH.sub("", _CAN_NOT.sub("can't", text))
    text = _SAME_BUT.sub(r"\2 of \1", _ITS.sub(r"\1's", text))
    text = _RUN_DOWN.sub("exhausted", text)
    text = _LAPS.sub(r"\1 min", text)
    text = _AT_HOURS.sub(_spell_at, text)
    text = _HOURS_LONG.sub(lambda m: f"{m[1] or m[2]} h {m[3]} min", text)
    text = _FROM_TO.sub(r"was \1, then \2", _FOR.sub("for ", text))
    if "\n" in text and len(_TIMED_LINE.findall(text)) > 1:
        text = _BARE_LINE.sub(r"at \1", text)
    text = _AM_PM.sub(r"\1:\2\3m", _TASTE.sub("", text))
    text = _O_CLOCK.sub("o'", _HALF_DAY.sub(r"\1\2m", text))
    return _WORD.sub(spell, _STEM.sub(cooked, text))


def _spell_hours(match: re.Match[str]) -> str:
    """Write hours as clock times, each said again with "and"."""
    hours = [int(n) for n in re.findall(r"\d+", match.group())]
    noon = next((k for k in range(1, len(hours)) if hours[k] < hours[k - 1] <= 12), len(hours))
    hours[noon:] = [hour + 12 for hour in hours[noon:]]  # "coffee 7, 10 and 2"
    if hours != sorted(set(hours)) or not (hours[0] >= LEAST_HOUR and hours[-1] <= MOST_HOUR):
        return match.group()
    return " and ".join(f"{hour}:00" for hour in hours)


def _spell_at(match: re.Match[str]) -> str:
    return " and ".join(f"at {hour}" for hour in _HOUR.findall(match.group()))


@lru_cache(maxsize=8192)
def _meant(word: str) -> str:
    plain = word.lower()
    if (
        len(plain) < _LEAST_LETTERS
        or plain in PLAIN_WORDS
        or plain in _KEY_WORDS
        or plain in MOVEMENTS
        or not plain.isascii()
    ):
        return word
    most = 2 if len(plain) >= _TWO_WRONG_FROM else 1
    near = [key for key in _KEY_WORDS if key[0] == plain[0] and abs(len(key) - len(plain)) <= most]
    best = find_near(plain, near, most)
    if best is None or _is_other_form(plain, best):
        return word
    if len(plain) == _LEAST_LETTERS and sorted(plain) != sorted(best):
        return word
    return best


def _is_other_form(plain: str, key: str) -> bool:
    """Tell whether a word is a form of its own rather than a slip: "dinners", "walker", "cycles"."""
    stem = key[:-1] if key.endswith("e") else key
    return (
        plain.startswith(stem)
        or plain.endswith(("er", "ers"))
        or plain.endswith("ing") != key.endswith("ing")
    )
