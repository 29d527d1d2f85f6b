"""Verbs of batches, leftovers, sessions, applications and work lines."""

from typing import Any

from stewardship.catalog.models import RuleProfile, Species
from stewardship.credentials.models import Credential
from stewardship.journal.fields import Target
from stewardship.journal.models import Record
from stewardship.places.models import Property, Unit
from stewardship.sync.verbs.verb import Ahead, Listed, Verb, Verbs, enter_and_amend
from stewardship.treatments import fields
from stewardship.treatments.models import (
    Application,
    Batch,
    Container,
    Contractor,
    Leftover,
    Lot,
    LotDraw,
    PouredFrom,
    Rinse,
    Session,
    StockMovement,
    WorkLine,
)
from stewardship.treatments.services import (
    answers,
    batches,
    closing,
    contractors,
    leftovers,
    licences,
    lines,
    photos,
    rinses,
    screening,
    sessions,
    signatures,
    supervision,
)
from stewardship.treatments.services.limits import LOOKED_AT
from stewardship.workdays.land import LOOKED_AT as LAND
from stewardship.workdays.models import WorkDay

MAY = "record_work"
_DRAWN_ON: dict[str, type[Record]] = {"session_id": Session, "batch_id": Batch, "container_id": Container}
_LINES = (Application, "session_id")
_HELD: dict[str, Listed | tuple[Listed, ...]] = {
    "applicator": (Credential, "holder_id"),
    "supervisor": (Credential, "holder_id"),
}
_ITS_HELD: dict[str, Listed | tuple[Listed, ...]] = {
    ".applicator_id": (Credential, "holder_id"),
    ".supervisor_id": (Credential, "holder_id"),
}
_OF_A_BATCH = Ahead(Leftover, "id", "batch_id", Batch)
_MIXED_FROM: dict[str, Listed | tuple[Listed, ...]] = {
    "mixed_by": (Credential, "holder_id"),
    "parts[].product": (Lot, "product_id"),
    "parts[].lots[].lot": (StockMovement, "lot_id"),
}
_DREW_ON = {
    "id": (
        Ahead(PouredFrom, "batch_id", "parent_id", Batch),
        Ahead(PouredFrom, "batch_id", "leftover_id", Leftover),
        Ahead(LotDraw, "batch_id", "lot_id", Lot),
    )
}
_USED_IN = Ahead(Application, "batch_id", "session_id", Session)
"""The sessions whose records tell of a batch."""
_ITS_COUNTS: Listed = (StockMovement, "batch_id")
"""The counts that stand for what a batch drew beyond the book."""
_ITS_PLACE = {"id": Ahead(Session, "id", "property_id", Property, lock=False)}
_PLACE = {"unit": ("property_id", Property)}


def _of_lines(key: str) -> tuple[Ahead, ...]:
    """Return what lines are judged by: the unit that counts them, their batch and species."""
    return (
        Ahead(Application, key, "unit_id", Unit),
        Ahead(Application, key, "batch_id", Batch, lock=False),
        Ahead(Application, key, "species_id", Species, lock=False),
    )


_JUDGED: dict[str, Any] = {"behind": _DRAWN_ON, "ahead": {"id": _of_lines("id")}, "whole": LOOKED_AT}


def _own(record: type[Record], op: str, kind: Any, service: Any, **more: Any) -> Verbs:
    """Return a correction of one's own record; it says why."""
    return {(record.kind, op): Verb(record, kind, service, MAY, own=True, reason=True, **more)}


def _void_and_reinstate(record: type[Record], void: Any, reinstate: Any, **more: Any) -> Verbs:
    return _own(record, "void", Target, void, **more) | _own(record, "reinstate", Target, reinstate, **more)


VERBS: Verbs = {
    ("batch", "create"): Verb(
        Batch,
        fields.NewBatch,
        batches.record_batch,
        MAY,
        lists=_MIXED_FROM,
        ahead={"poured_from[].leftover": _OF_A_BATCH},
        whole=LOOKED_AT,
    ),
    **_own(
        Batch,
        "amend",
        fields.AmendBatch,
        batches.amend_batch,
        lists=_MIXED_FROM | {"id": _ITS_COUNTS},
        carried=(_ITS_COUNTS,),
        ahead={"id": (*_DREW_ON["id"], _USED_IN, Ahead(Batch, "id", "work_day_id", WorkDay, lock=False))},
        whole=LOOKED_AT,
    ),
    **_own(
        Batch,
        "void",
        Target,
        batches.void_batch,
        lists={"id": _ITS_COUNTS},
        carried=(_ITS_COUNTS,),
        ahead=_DREW_ON,
    ),
    **_own(Batch, "reinstate", Target, batches.reinstate_batch, ahead=_DREW_ON),
    ("batch", "show"): Verb(Batch, fields.ShowPhotos, photos.show_batch, MAY),
    ("batch", "close"): Verb(Batch, fields.CloseBatch, closing.close_batch, MAY, own=True),
    **_own(Batch, "reopen", Target, closing.reopen_batch),
    ("leftover", "create"): Verb(Leftover, fields.NewLeftover, leftovers.record_leftover, MAY),
    **_own(Leftover, "amend", fields.AmendLeftover, leftovers.amend_leftover, ahead={"id": _OF_A_BATCH}),
    ("leftover", "end"): Verb(Leftover, fields.EndLeftover, leftovers.end_leftover, MAY),
    ("leftover", "identify"): Verb(
        Leftover,
        fields.IdentifyLeftover,
        leftovers.identify_leftover,
        "amend_anyones",
        reason=True,
        lists={"id": (StockMovement, "leftover_id")},
    ),
    **_void_and_reinstate(Leftover, leftovers.void_leftover, leftovers.reinstate_leftover, ahead={"id": _OF_A_BATCH}),
    **enter_and_amend(
        Contractor,
        "manage_contractors",
        (fields.NewContractor, contractors.add_contractor),
        (fields.AmendContractor, contractors.amend_contractor),
    ),
    ("rinse", "create"): Verb(Rinse, fields.NewRinse, rinses.record_rinse, MAY),
    **_void_and_reinstate(Rinse, rinses.void_rinse, rinses.reinstate_rinse),
    ("session", "create"): Verb(
        Session,
        fields.NewSession,
        sessions.record_session,
        MAY,
        lists=_HELD,
        through=_PLACE,
        whole=(*LAND, RuleProfile),
        surveys=(supervision.credentials_of_sessions,),
    ),
    ("session", "end"): Verb(Session, fields.EndSession, sessions.end_session, MAY, own=True),
    **_own(
        Session,
        "amend",
        fields.AmendSession,
        sessions.amend_session,
        lists={"id": _LINES} | _HELD | _ITS_HELD,
        carried=(_LINES,),
        ahead={
            "id": (
                *_of_lines("session_id"),
                Ahead(Session, "id", "contractor_id", Contractor, lock=False),
                Ahead(Session, "id", "unit_id", Unit, lock=False),
                _ITS_PLACE["id"],
            )
        },
        whole=(*LOOKED_AT, RuleProfile),
        surveys=(supervision.credentials_of_sessions,),
    ),
    **_void_and_reinstate(Session, sessions.void_session, sessions.reinstate_session, lists={"id": _LINES}),
    ("session", "show"): Verb(Session, fields.ShowPhotos, photos.show_session, MAY),
    ("session", "attest"): Verb(Session, fields.Attest, signatures.attest, MAY),
    ("session", "countersign"): Verb(Session, fields.Countersign, signatures.countersign, MAY),
    ("session", "lock"): Verb(
        Session,
        fields.Lock,
        signatures.lock,
        "lock_records",
        ahead=_ITS_PLACE,
        whole=(RuleProfile,),
        lists={"id": _LINES},
    ),
    ("session", "answer"): Verb(
        Session, fields.AnswerLapse, answers.answer_session, "lock_records", lists={"id": _LINES}
    ),
    ("batch", "answer"): Verb(Batch, fields.AnswerLapse, answers.answer_batch, "lock_records"),
    ("session", "unlock"): Verb(Session, fields.Unlock, signatures.unlock, "lock_records", reason=True),
    ("application", "create"): Verb(
        Application,
        fields.NewApplication,
        lines.record_application,
        MAY,
        ahead={"session": Ahead(Session, "id", "unit_id", Unit), "leftover": _OF_A_BATCH},
        whole=LOOKED_AT,
        surveys=(*screening.SURVEYS, licences.credentials_of_lines),
    ),
    **_own(
        Application,
        "amend",
        fields.AmendApplication,
        lines.amend_application,
        **_JUDGED,
        surveys=(*screening.SURVEYS, licences.credentials_of_lines),
    ),
    **_own(Application, "void", Target, lines.void_application, behind=_DRAWN_ON, ahead={"id": _of_lines("id")[:1]}),
    **_own(Application, "reinstate", Target, lines.reinstate_application, **_JUDGED),
    ("work_line", "create"): Verb(WorkLine, fields.NewWorkLine, lines.record_work_line, MAY, through=_PLACE),
    **_own(
        WorkLine,
        "amend",
        fields.AmendWorkLine,
        lines.amend_work_line,
        ahead={"id": Ahead(WorkLine, "id", "species_id", Species, lock=False)},
    ),
    **_void_and_reinstate(WorkLine, lines.void_work_line, lines.reinstate_work_line),
}
