"""What a batch's account comes to, and the tags of its containers."""

from typing import Any

from rest_framework.response import Response

from api import answers
from api.components import SHOWN
from api.filtering import check_parameters
from api.operations import ID, INTEGER, MOMENT, TEXT, Does, a_list, an_object, or_null
from api.permissions import GroupEndpoint
from stewardship.rules.balances import DRAWN
from stewardship.treatments.models import Batch, Leftover
from stewardship.treatments.queries.balances import balance_of
from stewardship.treatments.queries.lacking import lacking
from stewardship.treatments.queries.tags import tag_of, tag_of_leftover

_TERMS = ("mix", *DRAWN, "difference", "leftover", "left", "tolerance", "booked")
_STATEMENT = an_object(
    {
        "what": {"type": "string", "enum": [*DRAWN, "measured"]}, "type": TEXT, "id": ID,
        "volume": an_object({"value": TEXT, "unit": TEXT, "nl": INTEGER, "shown": SHOWN}),
        "how_known": TEXT, "at": MOMENT, "by": or_null(an_object({"id": ID, "name": TEXT})), "container": TEXT,
        "ended_at": or_null(MOMENT),
    }
)  # fmt: skip
_BALANCE = an_object(
    {
        "batch": ID, "measured_at": or_null(MOMENT), "balances": {"type": "boolean"}, "detail": TEXT,
        "closed_at": or_null(MOMENT), "statements": a_list(_STATEMENT), "held": INTEGER,
        **{f"{term}_nl": INTEGER for term in _TERMS}, **dict.fromkeys(_TERMS, SHOWN),
    }
)  # fmt: skip
_LEFT = an_object({"id": ID, "volume": TEXT, "how_known": TEXT, "measured": TEXT, "container": TEXT})
_ON_TAG = an_object(
    {
        "name": TEXT, "registration_no": TEXT, "signal_word": TEXT, "percent": TEXT,
        "actives": a_list(an_object({"name": TEXT, "ai_percent": TEXT, "ae_percent": TEXT})),
    }
)  # fmt: skip
_TAG = an_object(
    {
        "lines": a_list(TEXT),
        "fields": an_object(
            {"batch": or_null(ID), "contents": {"type": "string", "enum": ["known", "unknown"]},
             "leftover": or_null(_LEFT), "cautions": a_list(TEXT)},
            {"products": a_list(_ON_TAG), "adjuvants": a_list(TEXT), "carrier": TEXT, "mixed": TEXT, "mixer": TEXT,
             "volume": TEXT},
        ),
    }
)  # fmt: skip

_LACKING = an_object(
    {
        "results": a_list(
            an_object({"batch": ID, "mixed_at": MOMENT, "mix_nl": INTEGER, "lacks_nl": INTEGER, "mix": SHOWN,
                       "lacks": SHOWN})
        )
    }
)  # fmt: skip


class BatchBalance(GroupEndpoint):
    """What was mixed of a batch, used, poured on, disposed of, lost and left, with every statement behind it."""

    does = {"get": Does("Tell a batch's balance", _BALANCE)}

    def get(self, request: Any, id: str, **place: str) -> Response:
        """Return the balance as it stands now."""
        check_parameters(request)
        found = balance_of(self.one(Batch.objects.all(), id))
        for each in found["statements"]:
            each["volume"] |= {"shown": answers.shown(each["volume"]["nl"], "nl", request.group)}
        statements = found.pop("statements")
        return Response(answers.told(found, request.group) | {"statements": statements})


class BatchTag(GroupEndpoint):
    """The tag of a batch's containers, as lines of text and as fields: it says what was true when it was mixed."""

    does = {"get": Does("Tell the tag of a batch", _TAG)}

    def get(self, request: Any, id: str, **place: str) -> Response:
        """Return the tag."""
        check_parameters(request)
        return Response(tag_of(self.one(Batch.objects.select_related("mixed_by"), id)))


class LeftoverTag(GroupEndpoint):
    """The tag of a leftover; of a container that nobody has identified: contents unknown, do not use."""

    does = {"get": Does("Tell the tag of a leftover", _TAG)}

    def get(self, request: Any, id: str, **place: str) -> Response:
        """Return the tag."""
        check_parameters(request)
        return Response(tag_of_leftover(self.one(Leftover.objects.select_related("batch__mixed_by"), id)))


class LackingBatches(GroupEndpoint):
    """Batches that lack about as much as a container of unknown contents holds: to look into, linked by a person."""

    does = {"get": Does("Tell which batches lack what was found", _LACKING)}

    def get(self, request: Any, id: str, **place: str) -> Response:
        """Return the batches, the latest first."""
        check_parameters(request)
        leftover = self.one(Leftover.objects.all(), id)
        return Response({"results": [answers.told(each, request.group) for each in lacking(leftover)]})
