"""What the words of a heading say: general words for time and glucose in many languages.

A part is looked for anywhere in a heading, a word only as a whole; the lines are one language or a few alike.
"""

from functools import lru_cache

from bot.intake.words import folded, words_of

_TIME_PARTS = folded((
    "time date zeit datum stamp epoch fecha heure horodat tijd quando giorno temps",
    "tidspunkt klokke klokka klockslag tidpunkt paivamaara kello aikaleima ajankohta",
    "godzina znacznik okamzik hodina vreme zaman tarih idopont idobelyeg",
    "время дата дату  ημερομηνια χρονοσ  日時 日期 日付 时间 時間 時刻 时刻 날짜 시간 시각 일시",
    "ngay thoigian waktu tanggal التاريخ الوقت תאריך שעה",
))  # fmt: skip
_TIME_WORDS = folded((
    "at ts day when tag uhr hora ora data dato tid jour dia dag dataora instante momento czas cas den čas",
    "aika paiva klo saat gun ido nap ora ωρα час момент дан datum data_ora zeitpunkt timp moment",
))  # fmt: skip
_TIME_AGAINST = folded((
    "export creat upload modif updat import sync birth geburt expir erstellt hochgeladen received",
))  # fmt: skip
_GLUCOSE_PARTS = folded((
    "gluco gluko glyc glyk glyc glic glukoz glükóz glikoz glucem zucker sugar mmol mgdl suiker sukker",
    "blodsocker verensokeri sokeri cukier cukr vercukor şeker seker azucar açucar zuccher sucre",
    "глюкоз сахар глікем гликем цукор γλυκοζ σακχαρ 血糖 葡萄糖 グルコース 혈당 포도당 سكر גלוקוז סוכר",
))  # fmt: skip
_GLUCOSE_WORDS = folded(("bg mg bz",))
_FINGER_PARTS = folded((
    "finger fingre kapill capill capilar piqure puncion pungi polpastrell vinger palec palce prst sormi",
    "parmak ujjbegy палец пальц капилляр δαχτυλ 指尖 指先 毛细 毛細",
))  # fmt: skip
_METER_PARTS = folded(("strip teststreifen strimmel sticka meter glucometer",))
_METER_WORDS = folded(("strip strips teststreifen meter glucometer glukometer glucometre glucometro",))
_SENSOR_PARTS = folded((
    "sensor capteur interstit gewebe tissue tejido tissut weefsel kontinu continu cgm senzor czujnik anturi",
    "сенсор датчик αισθητ 传感 センサ 센서",
))  # fmt: skip
_BLOOD_BEGINS = tuple(folded((
    "plasma serum blood blut bloed blod sang krew krwi krev krv veren vercuk kan кров αιμα",
)))  # fmt: skip
_VALUE_WORDS = folded((
    "value values wert werte messwert valeur valor valore waarde reading readings result level sensor cgm y",
    "measurement vaerdi verdi varde arvo wartosc wynik hodnota deger ertek ergebnis mesure medida misura",
    "meting lettura lectura leitura pomiar mereni mittaus olcum meres maling matning значение измерение",
    "результат τιμη μετρηση 値 测量值 数值 测定值 結果 값 valoare",
))  # fmt: skip
_GLUCOSE_AGAINST = folded((
    "target ziel limit insulin carb keton cetona trend rate delta change calib battery batter akku temp puls",
    "heart serial index mean average mittel durchschn count steps hba bolus basal weight gewicht press",
    "objetivo objectif obiettivo doelwaarde promedio moyenne gemiddel sredni srednia prumer keskiarvo",
    "kohlenhydr glucides hidrato carboidr koolhydr kolhydr kulhydr karbo hiilihydr weglowod sacharid",
    "szenhidr углевод инсулин кетон средн υδατανθρ ινσουλιν 胰岛素 インスリン 糖質 碳水 平均 目标 인슐린",
    "variab deviation variance percent prozent minutes calor kcal energ",
))  # fmt: skip
_GLUCOSE_AGAINST_WORDS = folded((
    "min max low high id nr no kh sd cv note notes unit units type einheit unite unidad unita eenheid enhet",
    "jednostka jednotka yksikko birim egyseg typ tipo g gram grams gramm comment kommentar device",
    "единица 単位 单位",
))  # fmt: skip

_LONGEST = 200  # so much of a heading is looked at


def time_score(heading: str) -> int:
    """Return 2 for a heading of times, 0 for one that says nothing, -1 for a time of something else."""
    return _score_time(heading[:_LONGEST])


@lru_cache(maxsize=4096)
def _score_time(heading: str) -> int:
    words = words_of(heading)
    if _any_part(_TIME_AGAINST, words):
        return -1
    return 2 if _any_part(_TIME_PARTS, words) or not _TIME_WORDS.isdisjoint(words) else 0


def glucose_score(heading: str) -> int:
    """Say how much a heading speaks of glucose.

    3: glucose; 2: glucose from a finger; 1: some value; 0: nothing; -2: another quantity
    """
    return _score_glucose(heading[:_LONGEST])


@lru_cache(maxsize=4096)
def _score_glucose(heading: str) -> int:
    words = words_of(heading)
    if _any_part(_GLUCOSE_AGAINST, words) or not _GLUCOSE_AGAINST_WORDS.isdisjoint(words):
        return -2
    if _any_part(_FINGER_PARTS, words):
        return 2
    if _any_part(_GLUCOSE_PARTS, words) or not _GLUCOSE_WORDS.isdisjoint(words):
        return 2 if _any_part(_METER_PARTS, words) else 3
    return 1 if not _VALUE_WORDS.isdisjoint(words) else 0


@lru_cache(maxsize=1024)
def specimen_of(text: str) -> str:
    """Return what a heading, or a cell that names a row's kind, says to have been measured in; else ""."""
    words = words_of(text[:_LONGEST])
    if _any_part(_FINGER_PARTS, words):
        return "capillary"
    for specimen in ("plasma", "serum"):
        if specimen in words:
            return specimen
    if _any_part(_SENSOR_PARTS, words):
        return "interstitial"
    if words == ["blood"] or (words and set(words) <= _METER_WORDS and not any(map(str.isdigit, text))):
        return "blood"
    return text if text == "body fluid" else ""


def names_other_quantity(text: str) -> bool:
    """Say whether a cell that names a row's kind names another quantity than glucose."""
    return _any_part(_GLUCOSE_AGAINST, words_of(text[:_LONGEST]))


def names_sensor(heading: str) -> bool:
    """Say whether a heading speaks of a sensor."""
    return _any_part(_SENSOR_PARTS, words_of(heading[:_LONGEST]))


def names_blood(heading: str) -> bool:
    """Say whether a heading speaks of blood: beside a sensor's column that is a finger-prick's."""
    words = words_of(heading[:_LONGEST])
    return any(word.startswith(_BLOOD_BEGINS) for word in words) and not names_sensor(heading)


def is_utc(heading: str) -> bool:
    """Say whether a heading states that its times are in UTC."""
    return not {"utc", "gmt"}.isdisjoint(words_of(heading))


def is_offset(heading: str) -> bool:
    """Say whether a heading is of offsets from UTC."""
    return any("offset" in word for word in words_of(heading))


def _any_part(parts: frozenset[str], words: list[str]) -> bool:
    plain = "".join(words)
    return any(part in plain for part in parts)
