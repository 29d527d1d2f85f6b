"""Trainings and the rules they are given under, for every test that needs one."""

from typing import Any
from uuid import UUID

from stewardship.credentials.models import Training
from tests.cast import Someone
from tests.credentials import kind

TWELVE_MONTHS = {"covers": "training", "validity": {"kind": "rolling", "months": 12}, "name": "Training of helpers"}
"""The pattern of 40 CFR 171.201, reconstructed from states that copy it."""


def rule(coordinator: Someone, **values: Any) -> UUID:
    """Enter a rule of trainings: twelve months unless told otherwise."""
    return kind(coordinator, **TWELVE_MONTHS | {"authority": ""} | values)


def trains(coordinator: Someone, trainee: Someone, type: UUID, *, signed: bool = True, **values: Any) -> Training:
    """Enter a training that the coordinator gave; its trainee signs it unless told otherwise."""
    told = {
        "trainee": trainee.member.id, "type": type, "trainer": coordinator.member.id, "on_date": "2026-07-01",
        "title": "Basal bark with volunteers", "minutes": 90,
    } | values  # fmt: skip
    if values.get("trainer_name"):
        told["trainer"] = None
    training: Training = coordinator.does("training", "create", **told).record
    if signed:
        trainee.does("training", "sign", id=training.id)
    return Training.objects.get(id=training.id)


def product(coordinator: Someone, name: str = "Ester in oil, 4 lb a.e./gal", **values: Any) -> str:
    """Enter a product; return its id."""
    active = coordinator.does("active_ingredient", "create", name="triclopyr", form="butoxyethyl ester").record
    strength = {"active_ingredient": str(active.id), "ae": {"value": "4", "unit": "lb_gal"}}
    told = {"formulation": "ester", "carriers": ["oil"], "ingredients": [strength]} | values
    return str(coordinator.does("product", "create", name=name, **told).record.id)
