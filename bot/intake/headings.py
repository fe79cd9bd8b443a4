"""What the words of a heading say: general words for time and glucose in several languages."""

import re
import unicodedata

_TIME_PARTS = (
    "time", "date", "zeit", "datum", "fecha", "heure", "tijd", "stamp", "quando", "tidspunkt", "klokke",
    "epoch", "giorno", "temps", "время", "дата", "日時", "时间",
)  # fmt: skip
_TIME_WORDS = {
    "hora",
    "ora",
    "data",
    "dato",
    "tid",
    "tag",
    "day",
    "when",
    "jour",
    "dia",
    "at",
    "uhr",
    "czas",
    "ts",
}
_TIME_AGAINST = (
    "export", "creat", "upload", "modif", "updat", "import", "sync", "birth", "geburt", "expir", "erstellt",
)  # fmt: skip
_GLUCOSE_PARTS = (
    "gluco", "gluko", "glyc", "glyk", "glic", "blutzucker", "zucker", "sugar", "mmol", "mgdl", "suiker",
    "sukker", "глюкоз", "血糖",
)  # fmt: skip
_GLUCOSE_WORDS = {"bg", "mg", "bz"}
_VALUE_WORDS = {
    "value", "values", "wert", "werte", "messwert", "valeur", "valor", "valore", "waarde", "reading",
    "result", "level", "sensor", "measurement", "vaerdi", "y",
}  # fmt: skip
_GLUCOSE_AGAINST = (
    "target", "ziel", "limit", "insulin", "carb", "keton", "trend", "rate", "delta", "change", "calib",
    "battery", "temp", "puls", "heart", "serial", "index", "mean", "average", "mittel", "count", "steps",
    "hba", "bolus", "basal", "weight", "press",
)  # fmt: skip
_GLUCOSE_AGAINST_WORDS = {
    "min",
    "max",
    "low",
    "high",
    "id",
    "nr",
    "no",
    "kh",
    "sd",
    "cv",
    "note",
    "unit",
    "type",
}


def time_score(heading: str) -> int:
    """Return 2 for a heading of times, 0 for one that says nothing, -1 for a time of something else."""
    plain, words = _plain(heading)
    if any(part in plain for part in _TIME_AGAINST):
        return -1
    return 2 if any(part in plain for part in _TIME_PARTS) or words & _TIME_WORDS else 0


def glucose_score(heading: str) -> int:
    """Return 3 for a heading of glucose, 1 for one of some value, 0 for none, -2 for another quantity."""
    plain, words = _plain(heading)
    if any(part in plain for part in _GLUCOSE_AGAINST) or words & _GLUCOSE_AGAINST_WORDS:
        return -2
    if any(part in plain for part in _GLUCOSE_PARTS) or words & _GLUCOSE_WORDS:
        return 3
    return 1 if words & _VALUE_WORDS else 0


def is_utc(heading: str) -> bool:
    """Say whether a heading states that its times are in UTC."""
    return bool(_plain(heading)[1] & {"utc", "gmt"})


def _plain(heading: str) -> tuple[str, set[str]]:
    bare = unicodedata.normalize("NFKD", heading)
    spaced = re.sub(
        r"([a-z])([A-Z])", r"\1 \2", "".join(c for c in bare if not unicodedata.combining(c))
    ).lower()
    words = re.findall(r"[^\W\d_]+", spaced)
    return "".join(words), set(words)
