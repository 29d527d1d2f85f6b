"""Verbs of mixes that are planned for a unit."""

from stewardship.catalog.models import Species
from stewardship.journal.fields import Target
from stewardship.places.models import Unit
from stewardship.sync.verbs.verb import ANYTHING, Ahead, Verb, Verbs
from stewardship.treatments import fields
from stewardship.treatments.models import PlannedMix
from stewardship.treatments.services import crews, planned_mixes
from stewardship.treatments.services.limits import LOOKED_AT
from stewardship.workdays.models import WorkDay

MAY, OVERRIDE = "record_work", "override_limits"
_OF_A_UNIT = (PlannedMix, "unit_id")

VERBS: Verbs = {
    ("planned_mix", "create"): Verb(
        PlannedMix,
        fields.NewPlannedMix,
        planned_mixes.plan_mix,
        MAY,
        besides={("override", ANYTHING): OVERRIDE},
        lists={"unit": _OF_A_UNIT},
        whole=LOOKED_AT,
        surveys=(crews.credentials_of_crews,),
    ),
    ("planned_mix", "override"): Verb(
        PlannedMix,
        Target,
        planned_mixes.override_mix,
        OVERRIDE,
        reason=True,
        ahead={
            "id": (
                Ahead(PlannedMix, "id", "unit_id", Unit),
                Ahead(PlannedMix, "id", "species_id", Species, lock=False),
                Ahead(PlannedMix, "id", "work_day_id", WorkDay, lock=False),
            )
        },
        whole=LOOKED_AT,
    ),
    ("planned_mix", "finish"): Verb(PlannedMix, Target, planned_mixes.finish_mix, MAY, own=True),
    ("planned_mix", "cancel"): Verb(PlannedMix, Target, planned_mixes.cancel_mix, MAY, own=True, reason=True),
}
