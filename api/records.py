"""The one view set of group records: what may be done with a type stands in the table of verbs."""

import re
from collections.abc import Callable
from typing import Any, ClassVar, NamedTuple
from uuid import UUID

from django.urls import URLPattern, path
from django.utils import timezone
from rest_framework.response import Response
from rest_framework.viewsets import ViewSetMixin

from api import answers, histories, operations, writing
from api.describing import describe
from api.filtering import Filters, check_parameters, filtered
from api.paging import page
from api.permissions import GroupEndpoint, read_id
from stewardship.errors import Unavailable
from stewardship.journal.models import Record
from stewardship.sync.verbs import VERBS
from stewardship.treatments.models import Voidable
from stewardship.treatments.verdicts.keeping import refuse_to_delete


class Below(NamedTuple):
    """Of which record a type is a part: where that stands, what it is, and the field that names it."""

    at: str
    model: type[Record]
    field: str


class GroupRecords(ViewSetMixin, GroupEndpoint):
    """List, read, create, amend and act on the records of one type.

    A subclass states ``at`` (its place below the group), ``model`` and, where its list has filters,
    ``filterset_class``. ``below`` says of which record it is a part: ``Below("properties", Property, "property")``
    also gives ``properties/{id}/units``, to list and to create. POST, PATCH and ``POST {id}/{op}`` exist where the
    table of verbs has a verb for them; DELETE of a legal record is there to be refused.
    """

    at: ClassVar[str]
    model: ClassVar[type[Record]]
    filterset_class: ClassVar[type[Filters]] = Filters
    below: ClassVar[Below | None] = None
    op: str = ""
    is_below: bool = False

    # -- addresses -------------------------------------------------------------------------------

    @classmethod
    def urls(cls) -> list[URLPattern]:
        """Return every route of this type."""
        root, one = f"groups/<str:group>/{cls.at}", f"groups/<str:group>/{cls.at}/<str:id>"
        found = [
            path(root, cls._view(get="list", post="create"), name=cls.at),
            path(one, cls._view(get="retrieve", patch="amend", delete="keep"), name=f"{cls.at}-one"),
            path(f"{one}/history", cls._view(get="history"), name=f"{cls.at}-history"),
            *(path(f"{one}/{op.replace('_', '-')}", cls._act(op), name=f"{cls.at}-{op}") for op in cls.ops()),
        ]
        if cls.below:
            nested = f"groups/<str:group>/{cls.below.at}/<str:parent>/{cls.at}"
            view = cls._view(get="list", post="create", is_below=True)
            found.append(path(nested, view, name=f"{cls.below.at}-{cls.at}"))
        return found

    @classmethod
    def _view(cls, *, is_below: bool = False, **actions: str) -> Callable[..., Any]:
        """Return the view of an address, without the methods that no verb stands for."""
        lacking = [action for action in ("create", "amend") if (cls.model.kind, action) not in VERBS]
        lacking += [] if issubclass(cls.model, Voidable) else ["keep"]
        known = {method: action for method, action in actions.items() if action not in lacking}
        return cls.as_view(known, is_below=is_below)

    @classmethod
    def _act(cls, op: str) -> Callable[..., Any]:
        return cls.as_view({"post": "act"}, op=op)

    @classmethod
    def ops(cls) -> list[str]:
        """Return the verbs of this type beyond creating and amending."""
        return [op for kind, op in VERBS if kind == cls.model.kind and op not in ("create", "amend")]

    # -- reading ---------------------------------------------------------------------------------

    def rows(self) -> Any:
        """Return the records of the group that the person may read."""
        actor = self.request.actor
        return self.model._default_manager.filter(self.model.visible_to(actor), group_id=actor.group_id)

    def list(self, request: Any, **place: str) -> Response:
        """Return a page of the records."""
        rows = self.rows()
        if self.below and "parent" in place:
            rows = rows.filter(**{f"{self.below.field}_id": self._parent(place["parent"])})
        found, links = page(filtered(rows, self.filterset_class, request), request)
        return Response(links | {"results": [answers.answer(record, request.group) for record in found]})

    def retrieve(self, request: Any, **place: str) -> Response:
        """Return one record."""
        check_parameters(request)
        return self._told(self._record())

    def history(self, request: Any, **place: str) -> Response:
        """Return every revision of a record: who, when, by which device, what changed, why."""
        check_parameters(request)
        return Response({"results": histories.of(self._record(), request.group, request.actor)})

    # -- writing ---------------------------------------------------------------------------------

    def create(self, request: Any, **place: str) -> Response:
        """Make a record."""
        fields = writing.fields_of(request)
        if self.below and "parent" in place:
            parent = str(self._parent(place["parent"]))
            fields = writing.with_parent(fields, self.below.field, parent)
        return self._perform("create", fields)

    def amend(self, request: Any, **place: str) -> Response:
        """Correct a record, from the revision that If-Match names."""
        base_rev = writing.base_rev(request, is_needed=True)
        return self._perform("amend", writing.fields_of(request), id=self._id(), base_rev=base_rev)

    def act(self, request: Any, **place: str) -> Response:
        """Perform one of the type's own verbs."""
        base_rev = writing.base_rev(request, is_needed=False)
        return self._perform(self.op, writing.fields_of(request), id=self._id(), base_rev=base_rev)

    def keep(self, request: Any, **place: str) -> Response:
        """Refuse to delete a legal record, and say until when the longest rule holds it."""
        check_parameters(request)
        refuse_to_delete(request.group, self._record(), timezone.now())

    # -- what the document says --------------------------------------------------------------------

    def describe(self, method: str) -> operations.Does:
        """Return what an operation takes and gives."""
        return describe(self)

    # -- parts -----------------------------------------------------------------------------------

    def _perform(self, op: str, fields: dict[str, Any], *, id: UUID | None = None, base_rev: int | None = None) -> Any:
        check_parameters(self.request)
        if id is not None:
            self._record()
        sent = writing.sent(self.request, self.model.kind, op, fields, id=id, base_rev=base_rev)
        done = writing.perform(sent, self.request, at=timezone.now())
        response = self._told(done.record, done.content)
        if op == "create":
            response.headers["Location"] = self._location(done.record)
        if op == "create" and done.is_new:
            response.status_code = 201
        if done.replayed:
            response.headers["Idempotency-Replayed"] = "true"
        return response

    def _told(self, record: Record, content: dict[str, Any] | None = None) -> Response:
        body = answers.answer(record, self.request.group, content)
        return Response(body, headers={"ETag": f'"{record.rev}"'})

    def _id(self) -> UUID:
        return read_id(self.kwargs["id"])

    def _record(self) -> Record:
        record: Record | None = self.rows().filter(id=self._id()).first()
        if record is None:
            raise Unavailable
        return record

    def _parent(self, text: str) -> UUID:
        assert self.below
        id, actor, model = read_id(text), self.request.actor, self.below.model
        if not model._default_manager.filter(model.visible_to(actor), group_id=actor.group_id, id=id).exists():
            raise Unavailable
        return id

    def _location(self, record: Record) -> str:
        place = re.match(r".*?/groups/[^/]+", self.request.path)
        assert place
        return self.request.build_absolute_uri(f"{place[0]}/{self.at}/{record.id}")
