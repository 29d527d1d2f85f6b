"""A form hands in a file and names it in a record, together or not at all."""

from http import HTTPStatus

from django.conf import settings
from django.http import HttpRequest

from stewardship.attachments.refusals import FileTooLarge
from stewardship.attachments.services import MEGABYTE, hand_in
from stewardship.errors import RuleViolation
from stewardship.journal.models import Record
from stewardship.sync.perform import perform_together
from stewardship.web.access import Here
from stewardship.web.forms.papers import FileForm


def handed_in(request: HttpRequest, here: Here, form: FileForm, record: Record, field: str, audience: str) -> bool:
    """Keep the file for an audience and name it in a field of the record; a refusal goes into the form."""
    if "FILES_LEFT_OUT" in request.META:
        form.is_valid()
        form.errors.pop("file", None)
        form.refuse(FileTooLarge(most=settings.ATTACHMENT_MAX_BYTES // MEGABYTE, where="file"))
        return False
    if not form.is_valid():
        form.status = HTTPStatus.BAD_REQUEST
        return False
    try:
        _keep(here, form, record, field, audience)
    except RuleViolation as refusal:
        form.refuse(refusal)
        return False
    return True


def _keep(here: Here, form: FileForm, record: Record, field: str, audience: str) -> None:
    try:
        upload = hand_in(here.actor, form.cleaned_data["file"].read(), audience, here.at)
    except RuleViolation as refusal:
        raise type(refusal)(str(refusal), where="file") from None
    named = [{"sha256": upload.sha256, "name": form.cleaned_data["name"]}]
    perform_together([form.sent(record.kind, "show", id=record.id, **{field: named})], actor=here.actor, at=here.at)
