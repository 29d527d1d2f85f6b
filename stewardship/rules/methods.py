"""Methods: how a stem is treated, in the trade's own words, with herbicide or without.

The words are common practice among extension services and land managers; the list is the one place for them.
"""

from typing import Literal, get_args

HerbicideMethod = Literal["cut_stump", "basal_bark", "hack_and_squirt", "injection", "frill", "foliar"]
ManualMethod = Literal["pulling", "digging", "girdling", "cutting", "mowing"]
Method = Literal[HerbicideMethod, ManualMethod]

HERBICIDE_METHODS: tuple[str, ...] = get_args(HerbicideMethod)
MANUAL_METHODS: tuple[str, ...] = get_args(ManualMethod)
METHODS: tuple[str, ...] = HERBICIDE_METHODS + MANUAL_METHODS

WORDS: dict[str, str] = {
    "cut_stump": "cut-stump",
    "basal_bark": "basal bark",
    "hack_and_squirt": "hack-and-squirt",
    "injection": "injection",
    "frill": "frill with herbicide",
    "foliar": "foliar",
    "pulling": "pulling",
    "digging": "digging",
    "girdling": "girdling",
    "cutting": "cutting",
    "mowing": "mowing",
}
