"""What a form says is performed through the one door of writes; a refusal goes back into the form, in its words."""

from http import HTTPStatus
from typing import Any

from django.http import Http404

from stewardship.errors import NotPermitted, RuleViolation, Unavailable, Unreadable
from stewardship.sync.perform import Done, MutationReused, perform_together
from stewardship.web.access import Here
from stewardship.web.forms.base import ActForm

HANDED_IN_BEFORE = (
    "This form was handed in once already, with other words. What was recorded then stands and was not changed. "
    "If this is something else, send it again and it is recorded as well."
)


def performed(form: ActForm, here: Here) -> list[Done] | None:
    """Return what became of a form that was sent; None if it was not recorded, and the form then says why.

    A role that does not do this, and an id that is not the group's, raise Http404.
    """
    if not form.is_valid():
        form.status = HTTPStatus.BAD_REQUEST
        return None
    try:
        return perform_together(form.sends(), actor=here.actor, at=here.at)
    except (NotPermitted, Unavailable) as refusal:
        raise Http404(str(refusal)) from refusal
    except MutationReused:
        form.send_as_new()
        form.refuse(RuleViolation(HANDED_IN_BEFORE))
    except Unreadable as refusal:
        for problem in refusal.facts["errors"]:
            form.refuse(RuleViolation(problem["detail"], where=problem["pointer"].strip("/").replace("/", ".")))
    except RuleViolation as refusal:
        form.refuse(refusal)
    return None


def marks_of(done: list[Done]) -> list[dict[str, Any]]:
    """Return what was flagged about the records that were written, each mark once."""
    told: dict[str, dict[str, Any]] = {}
    for each in done:
        for mark in each.result.get("warnings", ()):
            told[mark["detail"]] = mark
    return list(told.values())
