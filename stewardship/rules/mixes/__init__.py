"""Mixes: what to pour for a wanted mix, and what a pour makes; exact in nanolitres, micrograms and fractions."""

from stewardship.rules.mixes.amounts import (
    fraction_of_parts,
    mix_from_product,
    product_into_carrier,
    product_nl,
    product_nl_holding,
    product_ug_holding,
    substance_ug_by_weight,
    ug_in_pieces,
)
from stewardship.rules.mixes.ceilings import highest_ratio
from stewardship.rules.mixes.compositions import Composition, carrier_to_dilute, combine, mix_from_pour, portion
from stewardship.rules.mixes.plans import DryPart, Note, Part, Plan, Wanted, plan_mix
from stewardship.rules.mixes.pouring import Pour, Step
from stewardship.rules.mixes.rates import amount_in_load, amount_over_area, area_covered_mm2, rate_of_amount

__all__ = [
    "Composition",
    "DryPart",
    "Note",
    "Part",
    "Plan",
    "Pour",
    "Step",
    "Wanted",
    "amount_in_load",
    "amount_over_area",
    "area_covered_mm2",
    "carrier_to_dilute",
    "combine",
    "fraction_of_parts",
    "highest_ratio",
    "mix_from_pour",
    "mix_from_product",
    "plan_mix",
    "portion",
    "product_into_carrier",
    "product_nl",
    "product_nl_holding",
    "product_ug_holding",
    "rate_of_amount",
    "substance_ug_by_weight",
    "ug_in_pieces",
]
