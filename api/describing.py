"""What a view set of records says of itself in the OpenAPI document: all of it follows from verbs and models."""

from typing import Any

from api import components, operations
from api.operations import Does, a_list, a_page, an_object, ref
from stewardship.sync.verbs import VERBS, Verb


def describe(view: Any) -> Does:
    """Return what the view's present action takes and gives."""
    return _ACTIONS[view.action](view)


def _list(view: Any) -> Does:
    filters = [
        operations.in_query(name, filter.schema, (type(filter).__doc__ or "").strip())
        for name, filter in view.filterset_class.base_filters.items()
    ]
    return Does(f"List {_plural(view)}", a_page(_answer(view)), parameters=[*operations.PAGE, *filters])


def _retrieve(view: Any) -> Does:
    return Does(f"Read one of {_plural(view)}", _answer(view), headers=("ETag",))


def _history(view: Any) -> Does:
    return Does(f"Tell every revision of one of {_plural(view)}", an_object({"results": a_list(ref("Revision"))}))


def _create(view: Any) -> Does:
    takes: Any = _verb(view, "create").fields
    if view.is_below:
        takes = components.within(takes, view.below.field)
    headers = ("ETag", "Location", "Idempotency-Replayed")
    parameters = [operations.KEY]
    return Does(f"Create one of {_plural(view)}", _answer(view), takes, 201, parameters=parameters, headers=headers)


def _amend(view: Any) -> Does:
    return _changes(view, "amend", operations.IF_MATCH_NEEDED)


def _act(view: Any) -> Does:
    return _changes(view, view.op, operations.IF_MATCH)


def _keep(view: Any) -> Does:
    summary = f"Refuse to delete one of {_plural(view)}, and say until when it is kept"
    return Does(summary, ref("Problem"), status=409, media_type="application/problem+json")


def _changes(view: Any, op: str, if_match: operations.Schema) -> Does:
    verb = _verb(view, op)
    gives = components.answer_of(verb.record)
    parameters = [operations.KEY, if_match]
    summary = f"{op.replace('_', ' ').capitalize()} one of {_plural(view)}"
    return Does(summary, gives, verb.fields, parameters=parameters, headers=("ETag", "Idempotency-Replayed"))


def _verb(view: Any, op: str) -> Verb:
    return VERBS[view.model.kind, op]


def _answer(view: Any) -> operations.Schema:
    return components.answer_of(view.model)


def _plural(view: Any) -> str:
    return str(view.at).replace("-", " ")


_ACTIONS = {
    "list": _list,
    "retrieve": _retrieve,
    "history": _history,
    "create": _create,
    "amend": _amend,
    "act": _act,
    "keep": _keep,
}
