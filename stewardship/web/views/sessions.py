"""A session: what was recorded, how its record stands under the rules of the place, and its signing."""

from uuid import UUID
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.accounts.models import Member
from stewardship.catalog.models import Product
from stewardship.journal.models import GROUP
from stewardship.treatments.models import Session
from stewardship.treatments.services.answers import open_codes
from stewardship.treatments.services.licences import SUPERVISED_BY, unlicensed
from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.papers import PhotoForm
from stewardship.web.forms.records import FOR_LEADERS, SIGNING, CompleteForm, acts_for
from stewardship.web.forms.uses import EndForm
from stewardship.web.handing_in import handed_in
from stewardship.web.queries.days import lines_of
from stewardship.web.queries.papers import files_of
from stewardship.web.queries.records import rules_of, written_of

TOLD = (
    "unit",
    "property",
    "applicator",
    "contractor",
    "supervisor",
    "attested_by",
    "countersigned_by",
    "locked_by",
    "written_by",
    "answered_by",
)


@page("read")
def session(request: HttpRequest, here: Here, session_id: UUID) -> HttpResponse:
    """Show a session: what was recorded, what is left of each batch, what was flagged, how the record stands."""
    return _shown(request, here, _session(here, session_id))


@page("record_work", "POST")
def end_session(request: HttpRequest, here: Here, session_id: UUID) -> HttpResponse:
    """Record when a session ended."""
    found = _session(here, session_id)
    form = EndForm(request.POST, here=here, session=found)
    if performed(form, here) is None:
        return _shown(request, here, found, refused=form, act="end")
    messages.success(request, "The end of the session is recorded.")
    return redirect("session", session_id=session_id)


@page("hand_in_files", "POST")
def add_photo(request: HttpRequest, here: Here, session_id: UUID) -> HttpResponse:
    """Hand in a picture of the paper sheet; the whole group sees it."""
    found, form = _session(here, session_id), PhotoForm(request.POST, request.FILES, here=here)
    if not handed_in(request, here, form, found, "photos", GROUP):
        return _shown(request, here, found, refused=form, act="photo")
    messages.success(request, "The photo is kept, for the whole group.")
    return redirect("session", session_id=found.id)


@page("record_work", "POST")
def sign(request: HttpRequest, here: Here, session_id: UUID, act: str) -> HttpResponse:
    """Attest, countersign, lock or unlock a record."""
    if act not in SIGNING or (act in FOR_LEADERS and not here.actor.may("lock_records")):
        raise Http404
    found = _session(here, session_id)
    kind, _, said = SIGNING[act]
    form = kind(request.POST, here=here, session=found)
    if performed(form, here) is None:
        return _shown(request, here, found, refused=form, act=act)
    messages.success(request, said)
    return redirect("session", session_id=session_id)


@page("record_work", "GET", "POST")
def complete(request: HttpRequest, here: Here, session_id: UUID) -> HttpResponse:
    """Tell what the record does not say yet."""
    found = _session(here, session_id)
    if not _may_correct(here, found):
        raise Http404
    form = CompleteForm(request.POST if request.method == "POST" else None, here=here, session=found)
    done = performed(form, here) if form.is_bound else None
    if done is None:
        return show(
            request, "complete_record", form=form, session=found, rules=rules_of(here, found),
            zone=ZoneInfo(found.time_zone), status=form.status,
        )  # fmt: skip
    is_changed = done[0].result["outcome"] == "applied"
    messages.success(request, "The record is corrected." if is_changed else "The record says this already.")
    return redirect("session", session_id=session_id)


def _session(here: Here, session_id: UUID) -> Session:
    """Return the group's session; another group's does not exist here."""
    told = Session.objects.select_related(*TOLD, "work_day")
    found = told.filter(group_id=here.group.id, id=session_id).first()
    if found is None:
        raise Http404
    return found


def _shown(
    request: HttpRequest, here: Here, found: Session, *, refused: ActForm | None = None, act: str = ""
) -> HttpResponse:
    lines = list(
        lines_of(here).filter(session=found).prefetch_related("product_uses__product", "active_uses__active_ingredient")
    )
    batches = list({line.batch_id: line.batch for line in lines}.values())
    products = Product.objects.filter(
        group_id=here.group.id, id__in={part["product"] for batch in batches for part in batch.parts}
    )
    codes = unlicensed([mark for each in (found, *lines) for mark in each.marks], SUPERVISED_BY)
    is_unanswered = bool(open_codes(found, codes))
    acts = dict.fromkeys([*acts_for(here, found, is_unanswered=is_unanswered), *([act] if act in SIGNING else [])])
    return show(
        request, "session", session=found, zone=ZoneInfo(found.time_zone), lines=lines, batches=batches,
        products=list(products),
        species=list({line.species_id: line.species for line in lines}.values()),
        end=refused if act == "end" else EndForm(here=here, session=found) if _may_end(here, found) else None,
        signing=[(each, *_signing(here, found, each, refused if each == act else None)) for each in acts],
        typist=Member.objects.filter(group_id=here.group.id, person_id=found.entered_by_id).first(),
        may_correct=_may_correct(here, found), rules=rules_of(here, found), written=written_of(here, found),
        is_unanswered=is_unanswered,
        files=files_of(here, found.photos), photo_form=_photo_form(here, found, refused if act == "photo" else None),
        helpers=Member.objects.filter(group_id=here.group.id, id__in=found.helpers or []).order_by("display_name"),
        status=refused.status if refused else 200,
    )  # fmt: skip


def _photo_form(here: Here, found: Session, refused: ActForm | None) -> ActForm | None:
    """Return the form for a picture: for who works in the field, while nothing is locked."""
    may_add = here.actor.may("record_work") and not (found.voided_at or found.locked_at)
    return refused or (PhotoForm(here=here) if may_add else None)


def _signing(here: Here, found: Session, act: str, refused: ActForm | None) -> tuple[ActForm, str]:
    kind, label, _ = SIGNING[act]
    return refused or kind(here=here, session=found), label


def _may_end(here: Here, found: Session) -> bool:
    """Tell whether this person may say when the session ended: who entered it, or a coordinator."""
    return found.ended_at is None and _may_correct(here, found)


def _may_correct(here: Here, found: Session) -> bool:
    is_own = found.entered_by_id == here.actor.person_id
    is_open = found.voided_at is None and found.locked_at is None
    return is_open and here.actor.may("record_work") and (is_own or here.actor.may("amend_anyones"))
