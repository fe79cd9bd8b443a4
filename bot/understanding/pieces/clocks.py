"""Clock times as people say them: 7:15, 0715, 7pm, 13h, half past six, noon."""

import re
from collections.abc import Sequence
from dataclasses import replace

from bot.understanding.pieces.numerals import NUMBER_WORDS, read_number
from bot.understanding.pieces.pieces import Moment, Piece, word_at
from bot.understanding.pieces.slots import SLOT_WORDS
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.movements import MOVEMENT_WORDS
from bot.understanding.words.tokens import Token

_NAMED = {"noon": (12, 0), "midday": (12, 0), "midnight": (0, 0)}
_NOON_NAMES = {"noon": 12, "midday": 12, "midnight": 24}
Clock = tuple[int, int, str, bool, bool, int]  # hour, minute, half, loose, padded, where it ends


def clock_parts(text: str) -> tuple[int, int] | None:
    """Return hour and minute of "7:15", "7.15" or "7h15", None when it is no time of day."""
    numbers = re.fullmatch(r"(\d{1,2})[:.h](\d{2})(?::\d{2})?", text)
    if numbers is None:
        return None
    hour, minute = int(numbers[1]), int(numbers[2])
    if (hour, minute) == (24, 0):
        return 0, 0  # midnight
    return (hour, minute) if hour < 24 and minute < 60 else None


def read_clock(pieces: Sequence[Piece], i: int, *, prefixed: bool) -> Clock | None:
    """Read a clock time at `i`; a bare number counts only when `prefixed` ("at 8")."""
    piece = pieces[i] if i < len(pieces) else None
    if not isinstance(piece, Token):
        return None
    if piece.text in _NAMED and word_at(pieces, i + 1) not in TAGS.of_midnight:
        return (*_NAMED[piece.text], "", False, True, i + 1)
    spoken = _read_spoken(pieces, i, prefixed=prefixed)
    if spoken is not None:
        return spoken
    if piece.kind == "clock":
        parts = clock_parts(piece.text)
        return None if parts is None else _close(pieces, i + 1, *parts, padded=piece.text[0] == "0")
    if piece.kind != "number":
        return None
    return _read_digits(piece, pieces, i, prefixed=prefixed)


def _read_digits(piece: Token, pieces: Sequence[Piece], i: int, *, prefixed: bool) -> Clock | None:
    following = word_at(pieces, i + 1)
    bare = piece.text.isdecimal()
    if bare and len(piece.text) == 4:  # 0715
        parts = clock_parts(f"{piece.text[:2]}:{piece.text[2:]}")
        alone = following in ("", "h", "hrs") or not is_unit(following)
        return _close(pieces, i + 1, *parts, padded=True) if parts is not None and alone else None
    if following in ("am", "pm") and re.fullmatch(r"[1-9][0-5]\d", piece.text):  # 530am
        return _close(pieces, i + 1, int(piece.text[0]), int(piece.text[1:]), padded=False)
    if prefixed and re.fullmatch(r"[1-9][0-5][05]", piece.text) and not is_unit(following):  # at 630
        return _close(pieces, i + 1, int(piece.text[0]), int(piece.text[1:]), padded=False)
    comma = not bare and re.fullmatch(r"\d{1,2},\d{2}", piece.text)
    if prefixed and comma and not is_unit(following):  # at 7,30
        parts = clock_parts(piece.text.replace(",", ":"))
        return None if parts is None else _close(pieces, i + 1, *parts, padded=False)
    if not bare and re.fullmatch(r"\d{1,2}\.\d{2}", piece.text):  # 7.15
        parts = clock_parts(piece.text)
        half = following in ("am", "pm")
        prefixed = prefixed or _is_dotted_time(piece, pieces, i)
        if parts is not None and (half or (prefixed and not is_unit(following))):
            return _close(pieces, i + 1, *parts, padded=piece.text[0] == "0")
        return None
    if not bare or len(piece.text) > 2 or piece.number > 24:
        return None
    return _read_hour(piece, pieces, i, prefixed=prefixed)


def _read_hour(piece: Token, pieces: Sequence[Piece], i: int, *, prefixed: bool) -> Clock | None:
    """Read a bare number as an hour, by what stands around it."""
    following, hour = word_at(pieces, i + 1), int(piece.number) % 24
    if word_at(pieces, i + 2) in ("am", "pm") and re.fullmatch(r"[0-5]\d", following) and 0 < hour <= 12:
        return _close(pieces, i + 2, hour, int(following), padded=False)  # 6 15am
    if (
        prefixed
        and 0 < hour <= 12
        and re.fullmatch(r"[0-5][05]", following)
        and not is_unit(word_at(pieces, i + 2))
    ):
        return _close(pieces, i + 2, hour, int(following), padded=False)  # at 3 45
    if following == "h":  # 7h30, 13h
        minute = pieces[i + 2] if i + 2 < len(pieces) else None
        if word_at(pieces, i + 3) in TAGS.length_of:
            return None  # "6h40 of sleep"
        if isinstance(minute, Token) and minute.glued and re.fullmatch(r"[0-5]\d", minute.text):
            return hour, int(minute.number), "", False, hour > 12, i + 3
        opens = word_at(pieces, i - 1) in TAGS.opens and not _is_lasting(pieces, i + 2)
        return (hour, 0, "", False, True, i + 2) if prefixed or piece.number >= 13 or opens else None
    if following == "ish" and is_unit(word_at(pieces, i + 2)):
        return None  # "20ish min"
    if following in ("am", "pm", "o", "o'clock", "oclock", "ish", "uhr"):
        return _close(pieces, i + 1, hour, 0, padded=False, bare=True)
    ranged = following == "-" and read_number(pieces, i + 2) is not None
    if prefixed and following in TAGS.glucose_units and _is_number(pieces, i - 2):  # 110 at 10 mg/dl
        return _close(pieces, i + 1, hour, 0, padded=False, bare=True)
    if prefixed and (after_half := _and_half(pieces, i + 1)):  # at 7 and a half
        return _close(pieces, after_half, hour, 30, padded=False)
    if prefixed and not is_unit(following) and following not in ("/", "×", "or") and not ranged:
        return _close(pieces, i + 1, hour, 0, padded=False, bare=True)
    if prefixed and ranged and _is_span_end(pieces, i + 2):  # from 11-7
        return _close(pieces, i + 1, hour, 0, padded=False, bare=True)
    return None


def _is_lasting(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether what stands behind "8h" shows it to be a length, or how long after a meal a value was."""
    if word_at(pieces, i) == ":":
        return _is_number(pieces, i + 1)
    word = word_at(pieces, i)
    return (
        not word.isalpha()
        or word in TAGS.lasts | MOVEMENT_WORDS
        or word.endswith("ing")
        or word in SLOT_WORDS
    )


def _and_half(pieces: Sequence[Piece], i: int) -> int:
    """Return where "and a half" at `i` ends, 0 for none, and where it counts hours ("1 and a half hours")."""
    if word_at(pieces, i) != "and":
        return 0
    end = i + 3 if word_at(pieces, i + 1) == "a" else i + 2
    return end if word_at(pieces, end - 1) == "half" and not is_unit(word_at(pieces, end)) else 0


def _is_number(pieces: Sequence[Piece], i: int) -> bool:
    piece = pieces[i] if 0 <= i < len(pieces) else None
    return isinstance(piece, Token) and piece.kind == "number"


def _is_dotted_time(piece: Token, pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether "7.15" is surely a time: at a clause's beginning or end, beside words, or too high."""
    if piece.text[0] == "0" and piece.number >= 1:
        return True  # 06.00
    if float(piece.text[-2:]) % 5 or piece.number >= 24:
        return False
    if i == 0 and word_at(pieces, 1) in TAGS.measured and _is_number(pieces, 2):  # 6.20 glucose 5.0
        return True
    if piece.number >= 13 and i and _is_number(pieces, i + 1) and not _is_number(pieces, i - 1):
        return True  # oats 17.00 80 g
    if word_at(pieces, i + 1) in SLOT_WORDS or _names_slot_before(pieces, i):  # 1.30 lunch
        return True
    if word_at(pieces, i - 1) in TAGS.day_words:  # today morning 8.30 2 idlis
        return True
    following = pieces[i + 1] if i + 1 < len(pieces) else None
    if isinstance(following, Token) and re.fullmatch(r"\d{1,2}[.,]\d", following.text):  # 11.00 6.2
        return True
    before, after = (pieces[k] if 0 <= k < len(pieces) else None for k in (i - 1, i + 1))
    begins = before is None or word_at(pieces, i - 1) in TAGS.edges
    ends = after is None or word_at(pieces, i + 1) in TAGS.edges
    words = [p for p in (before, after) if isinstance(p, Token) and p.kind == "word"]
    if begins and ends and i > 0:  # "spinning 45, 18.15"; no meter shows two decimals
        return True
    if i == 0 and word_at(pieces, 1) in ("-", ":"):  # "8.45 - banana"
        return True
    return begins != ends and bool(words) and not TAGS.value_words & {w.text for w in words}


def _names_slot_before(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether a meal's name opens the stretch that ends in "7.15": "lunch on the go 1.15"."""
    for k in range(i - 1, max(i - 6, -1), -1):
        word = word_at(pieces, k)
        if word in SLOT_WORDS:
            before = word_at(pieces, k - 1)
            return (
                k == 0
                or before in TAGS.edges
                or before in ("afternoon", "morning", "evening", "late", "early")
            )
        if word in TAGS.edges or not word or not word.isalpha():
            return False
    return False


def _is_span_end(pieces: Sequence[Piece], i: int) -> bool:
    piece = pieces[i] if i < len(pieces) else None
    return (
        isinstance(piece, Token) and piece.kind in ("number", "clock") and not is_unit(word_at(pieces, i + 1))
    )


def _close(
    pieces: Sequence[Piece], end: int, hour: int, minute: int, *, padded: bool, bare: bool = False
) -> Clock:
    """Add what may follow a clock time: am, pm, o'clock, h, ish."""
    half = ""
    if word_at(pieces, end) in ("am", "pm"):
        half, end = word_at(pieces, end), end + 1
        end += word_at(pieces, end) == "ish"
    elif word_at(pieces, end) in ("o'clock", "oclock", "h", "hrs", "ish", "uhr"):
        padded = padded or word_at(pieces, end) == "uhr"
        bare = bare and not padded
        end += 1
    return hour, minute, half, bare and not half and 0 < hour <= 12, padded, end


def is_unit(word: str) -> bool:
    """Tell whether a word behind a number makes it an amount rather than an hour."""
    return word in TAGS.minute_words or word in TAGS.hour_words or word in TAGS.not_after_hour


def _read_spoken(pieces: Sequence[Piece], i: int, *, prefixed: bool) -> Clock | None:
    """Read "half past six", "quarter to 8", "ten past 7", "half six", "seven thirty", "seven o'clock"."""
    word = word_at(pieces, i)
    j = i + 1 if word == "a" and word_at(pieces, i + 1) == "quarter" else i
    minutes = {"half": (30.0, j + 1), "quarter": (15.0, j + 1)}.get(word_at(pieces, j)) or read_number(
        pieces, i
    )
    if minutes is None:
        return None
    number, j = minutes
    k = j + 1 if word_at(pieces, j) in ("min", "mins", "minutes") else j
    turn = word_at(pieces, k)
    if turn == "to" and word_at(pieces, i - 1) == "from" and word_at(pieces, k - 1) != "quarter":
        turn = ""  # "from 5 to 6" is a span
    if turn == "after" and word_at(pieces, k - 1) == "quarter":
        turn = "past"
    if turn in ("past", "to") and 0 < number < 60 and number == int(number):
        hour = _hour_at(pieces, k + 1)
        digits = word.isdecimal() and word_at(pieces, k + 1) in _NOON_NAMES  # "9 to noon" is a span
        if hour is not None and not digits and (turn == "past" or _says_time(pieces, i, prefixed)):
            total = (hour[0] * 60 + int(number if turn == "past" else -number)) % (24 * 60)
            named = total // 60 or 12 if hour[0] <= 12 else total // 60  # "quarter to one" is 12:45
            midnight = word_at(pieces, hour[1] - 1) in _NAMED
            return _close(pieces, hour[1], named, total % 60, padded=midnight, bare=hour[0] <= 12)
    hour = _hour_at(pieces, i + 1) if word == "half" else None
    if hour is not None and hour[0] <= 12 and (prefixed or not is_unit(word_at(pieces, hour[1]))):
        return _close(pieces, hour[1], hour[0], 30, padded=False, bare=True)
    if word in NUMBER_WORDS and 1 <= NUMBER_WORDS[word] <= 12:
        if word_at(pieces, i + 1) in ("o'clock", "oclock", "am", "pm", "ish"):
            return _close(pieces, i + 1, int(NUMBER_WORDS[word]), 0, padded=False, bare=True)
        after = read_number(pieces, i + 1)
        told = prefixed or (
            word_at(pieces, i + 1) in NUMBER_WORDS and after and not is_unit(word_at(pieces, after[1]))
        )
        if told and after is not None and after[0] in (10, 15, 20, 25, 30, 35, 40, 45, 50, 55):
            return _close(pieces, after[1], int(NUMBER_WORDS[word]), int(after[0]), padded=False, bare=True)
        if prefixed and not is_unit(word_at(pieces, i + 1)):
            return _close(pieces, i + 1, int(NUMBER_WORDS[word]), 0, padded=False, bare=True)
    return None


def _says_time(pieces: Sequence[Piece], i: int, prefixed: bool) -> bool:
    """Tell whether "to" makes a time ("20 to 8", "quarter to 8") and not a range ("2 to 3 slices")."""
    word = word_at(pieces, i)
    if prefixed or word in ("quarter", "a") or word_at(pieces, i - 1) in TAGS.until:
        return True
    if (
        TAGS.sleeping & {word_at(pieces, k) for k in range(i - 5, i)}
        or word_at(pieces, i - 1) in MOVEMENT_WORDS
    ):
        return False  # "slept like a log 10 to 7"
    return word in ("ten", "twenty") or (word in ("10", "20", "25") and not is_unit(word_at(pieces, i + 3)))


def _hour_at(pieces: Sequence[Piece], i: int) -> tuple[int, int] | None:
    named = _NOON_NAMES.get(word_at(pieces, i))
    if named is not None:
        return named, i + 1
    number = read_number(pieces, i)
    if number is None or number[0] != int(number[0]) or not 1 <= number[0] <= 23:
        return None
    return int(number[0]), number[1]


def with_clock(moment: Moment, clock: Clock, pieces: Sequence[Piece]) -> Moment:
    """Return a moment with the clock time that was read for it."""
    hour, minute, half, loose, padded, end = clock
    return replace(
        moment, hour=hour, minute=minute, half=half, loose=loose, padded=padded, end=pieces[end - 1].end
    )
