"""Verbs of the numbered bottles that people carry."""

from stewardship.journal.fields import Target
from stewardship.places.models import Unit
from stewardship.sync.verbs.verb import Ahead, Verb, Verbs
from stewardship.treatments import fields
from stewardship.treatments.models import Batch, Container, Session
from stewardship.treatments.services import containers, licences, screening, sharing
from stewardship.treatments.services.limits import LOOKED_AT
from stewardship.treatments.services.numbers import outings_of_numbers

MAY = "record_work"
FILLED_FROM = {"id": Ahead(Container, "id", "batch_id", Batch)}

VERBS: Verbs = {
    ("container", "create"): Verb(
        Container, fields.NewContainer, containers.take_out, MAY, surveys=(*screening.SURVEYS, outings_of_numbers)
    ),
    ("container", "bring_back"): Verb(Container, fields.BringBack, containers.bring_back, MAY, ahead=FILLED_FROM),
    ("container", "share"): Verb(
        Container,
        fields.ShareContainer,
        sharing.share_container,
        MAY,
        ahead=FILLED_FROM | {"session": Ahead(Session, "id", "unit_id", Unit)},
        whole=LOOKED_AT,
        surveys=(*screening.SURVEYS, licences.credentials_of_lines),
    ),
    ("container", "amend"): Verb(
        Container,
        fields.AmendContainer,
        containers.amend_container,
        MAY,
        own=True,
        reason=True,
        ahead=FILLED_FROM,
        surveys=(outings_of_numbers,),
    ),
    ("container", "void"): Verb(
        Container, Target, containers.void_container, MAY, own=True, reason=True, ahead=FILLED_FROM
    ),
    ("container", "reinstate"): Verb(
        Container, Target, containers.reinstate_container, MAY, own=True, reason=True, ahead=FILLED_FROM
    ),
}
