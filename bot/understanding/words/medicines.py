"""The one list of medicines: by generic name, and by the words that everybody has for them."""

import tomllib
from importlib.resources import files

_LISTS = tomllib.loads(files(__package__).joinpath("medicines.toml").read_text(encoding="utf-8"))
GLUCOSE_MEDICINES = frozenset(_LISTS["glucose"].split())
"""These act on glucose."""
MEDICINES = GLUCOSE_MEDICINES | frozenset(_LISTS["other"].split())
MEDICINE_KINDS = frozenset(_LISTS["kinds"].split())
