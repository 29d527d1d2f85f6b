"""Papers: one's own credentials, trainings and credits; trainings entered, signed and listed; files of evidence."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.attachments.handing_out import handed_out
from stewardship.credentials.models import Credential, Training
from stewardship.credentials.roster import COLUMNS, as_csv, gaps, roster, rows_of
from stewardship.errors import Unavailable
from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms.papers import FileForm, RosterForm, SignForm, TrainingForm
from stewardship.web.handing_in import handed_in
from stewardship.web.queries import papers as queries


@page("read")
def mine(request: HttpRequest, here: Here) -> HttpResponse:
    """Show one's own credentials, trainings and credits."""
    trainings = queries.trainings_of(here, here.member)
    return show(
        request,
        "my_papers",
        credentials=queries.credentials_held(here),
        trainings=[(each, queries.files_of(here, each.evidence)) for each in trainings],
        ledgers=queries.ledgers_of(here),
    )


@page("manage_credentials")
def trainings(request: HttpRequest, here: Here) -> HttpResponse:
    """List everybody's trainings, and ask for the days of a roster."""
    form = RosterForm(initial=RosterForm.of_year(here.today))
    return show(request, "trainings", trainings=queries.trainings_of(here), roster_form=form)


@page("manage_credentials", "GET", "POST")
def new_training(request: HttpRequest, here: Here) -> HttpResponse:
    """Enter a training of several people: a record for each."""
    form = TrainingForm(request.POST if request.method == "POST" else None, here=here)
    done = performed(form, here) if form.is_bound else None
    if done is None:
        return show(request, "new_training", form=form, status=form.status)
    count = len(done)
    people = "1 person" if count == 1 else f"{count} people"
    messages.success(request, f"The training of {people} is recorded. It counts once each of them has signed it.")
    return redirect("trainings")


@page("read", "GET")
def training(request: HttpRequest, here: Here, training_id: UUID) -> HttpResponse:
    """Show one training."""
    found = queries.training_of(here, training_id)
    return _training(request, here, found, SignForm(here=here, training_id=found.id))


@page("record_work", "POST")
def sign_training(request: HttpRequest, here: Here, training_id: UUID) -> HttpResponse:
    """Sign one's own training, or enter a signature from paper."""
    found = queries.training_of(here, training_id)
    form = SignForm(request.POST, here=here, training_id=found.id)
    if performed(form, here) is None:
        return _training(request, here, found, form)
    messages.success(request, "The training is signed.")
    return redirect("training", training_id=found.id)


def _training(request: HttpRequest, here: Here, found: Training, form: SignForm) -> HttpResponse:
    (told,) = rows_of(here.group, [found])
    files = queries.files_of(here, found.evidence)
    return show(request, "training", training=found, told=told, files=files, form=form, status=form.status)


@page("manage_credentials")
def roster_page(request: HttpRequest, here: Here) -> HttpResponse:
    """Show the roster of some days, its gaps first, or hand it over as a table."""
    form = RosterForm(request.GET)
    if not form.is_valid():
        return show(request, "trainings", trainings=queries.trainings_of(here), roster_form=form, status=400)
    first_on, last_on = form.cleaned_data["from_date"], form.cleaned_data["to_date"]
    rows = roster(here.group, first_on, last_on)
    if request.GET.get("as") == "csv":
        headers = {"Content-Disposition": f'attachment; filename="trainings-{first_on}-{last_on}.csv"'}
        return HttpResponse(as_csv(rows), content_type="text/csv; charset=utf-8", headers=headers)
    lacking = [(row, [COLUMNS[name].lower() for name in gaps(row)]) for row in rows if gaps(row)]
    return show(request, "roster", rows=rows, lacking=lacking, first_on=first_on, last_on=last_on)


# -- files of evidence ---------------------------------------------------------------------------------


@page("read")
def credential(request: HttpRequest, here: Here, credential_id: UUID) -> HttpResponse:
    """Show one credential and its files."""
    return _credential(request, here, queries.credential_of(here, credential_id), FileForm(here=here))


@page("hand_in_files", "POST")
def add_file(request: HttpRequest, here: Here, credential_id: UUID) -> HttpResponse:
    """Hand in a file of a credential: its holder does, or a coordinator."""
    found = queries.credential_of(here, credential_id)
    form = FileForm(request.POST, request.FILES, here=here)
    if handed_in(request, here, form, found, "evidence", str(found.person_id)):
        messages.success(request, "The file is kept, for its holder and the coordinators.")
        return redirect("credential", credential_id=found.id)
    return _credential(request, here, found, form)


def _credential(request: HttpRequest, here: Here, found: Credential, form: FileForm) -> HttpResponse:
    files = queries.files_of(here, found.evidence)
    is_own = found.holder_id == here.member.id
    may_add = here.actor.may("manage_credentials") or (is_own and here.actor.may("hand_in_files"))
    return show(
        request, "credential", credential=found, files=files, form=form if may_add else None, status=form.status
    )


@page("read")
def open_file(request: HttpRequest, here: Here, digest: str) -> HttpResponse:
    """Hand out a file to keep."""
    try:
        return handed_out(here.actor, digest, request.headers.get("If-None-Match"))
    except Unavailable as refusal:
        raise Http404 from refusal
