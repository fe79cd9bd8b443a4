"""The flags of a curve that more than one module must know: parts of the plain words, and what follows.

Flags are sentences for people (`Curve.flags`). What a program must find in them stands here, so that words
and rule cannot part.
"""

TOGETHER = "in the same curve"
"""Another meal's rise could not be taken off."""
FIRST_DAY = "the sensor's first day"
DIP = "a dip like that of lying on the sensor"
LATE_BITE = "late bite"
HIGH_START = "already high before the first bite"
SLOW = "slow"
"""So a flag begins of a response of which much comes after two hours (`analysis.slowness`)."""

UNFIT = {
    TOGETHER: "its rise can't be told from that of the meal beside it",
    FIRST_DAY: "it was the sensor's first day",
    DIP: "somebody lay on the sensor, it seems",
    LATE_BITE: "the rise began before the first bite that is noted",
}
"""Flags of curves that are not to be ranked, with the reason in words."""
