"""Filters of lists: each is declared, bounded, and refused where it is unknown or unreadable."""

import re
from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet
from django.utils.dateparse import parse_date, parse_datetime

from api.paging import PARAMETERS
from api.problems import InvalidRequest

_DAY = re.compile(r"(19|2[0-9])[0-9]{2}-[0-9]{2}-[0-9]{2}")


class FilterUnknown(InvalidRequest):
    """A list has the filters that it declares."""

    code = "filter_unknown"
    message = "This list has no such filter."


class FilterInvalid(InvalidRequest):
    """A filter whose value cannot be meant."""

    code = "filter_invalid"
    message = "A filter has a value that cannot be read."


class Filters(django_filters.FilterSet):
    """The filters of a list; a view set's own subclass names them."""


class _Declared:
    """A filter that says in the schema what it takes."""

    schema: dict[str, Any]


class Id(_Declared, django_filters.UUIDFilter):
    """The id of a record; one that does not exist finds nothing, and neither does another group's."""

    schema = {"type": "string", "format": "uuid"}


class Text(_Declared, django_filters.CharFilter):
    """A text of at most 200 characters."""

    schema = {"type": "string", "maxLength": 200}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Bound it."""
        super().__init__(*args, max_length=200, strip=False, **kwargs)


class Choice(_Declared, django_filters.ChoiceFilter):
    """One of the words of a list."""

    def __init__(self, *args: Any, words: list[str], **kwargs: Any) -> None:
        """``words``: what may be asked for."""
        super().__init__(*args, choices=[(word, word) for word in words], empty_label=None, **kwargs)
        self.schema = {"type": "string", "enum": words}


class Flag(_Declared, django_filters.TypedChoiceFilter):
    """The word true or false, and nothing like them."""

    schema = {"type": "boolean"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Take the two words."""
        words = [("true", "true"), ("false", "false")]
        super().__init__(*args, choices=words, coerce="true".__eq__, **kwargs)


class _DayField(forms.CharField):
    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            day = parse_date(text) if _DAY.fullmatch(text) else None
        except ValueError:
            day = None
        if day is None:
            raise forms.ValidationError("Write a date from 1900 to 2999, such as 2027-05-02.")
        return day


class Day(_Declared, django_filters.Filter):
    """A date, such as 2027-05-02, from 1900 to 2999."""

    field_class = _DayField
    schema = {"type": "string", "format": "date"}


class _MomentField(forms.CharField):
    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            moment = parse_datetime(text)
        except ValueError:
            moment = None
        if moment is None or moment.tzinfo is None or not 1900 <= moment.year <= 2999:
            raise forms.ValidationError("Write a date and time with offset, such as 2027-05-02T09:00:00Z.")
        return moment


class Moment(_Declared, django_filters.Filter):
    """A date and time with its offset."""

    field_class = _MomentField
    schema = {"type": "string", "format": "date-time"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Bound it."""
        super().__init__(*args, max_length=40, **kwargs)


class Number(_Declared, django_filters.NumberFilter):
    """A whole number from 0 to 2^53."""

    field_class = forms.IntegerField
    schema = {"type": "integer", "minimum": 0, "maximum": 1 << 53}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Bound it."""
        super().__init__(*args, min_value=0, max_value=1 << 53, **kwargs)


def filtered(rows: QuerySet[Any], filterset_class: type[Filters], request: Any) -> QuerySet[Any]:
    """Return the rows that the request's filters leave. Raises FilterUnknown, FilterInvalid."""
    parameters = request.query_params
    _check_names(parameters, filterset_class.base_filters.keys() | set(PARAMETERS))
    filters = filterset_class(parameters, queryset=rows, request=request)
    if not filters.form.is_valid():
        raise FilterInvalid(errors=_problems(filters.form.errors.get_json_data()))
    found: QuerySet[Any] = filters.qs
    return found


def read(request: Any, filters: dict[str, django_filters.Filter]) -> dict[str, Any]:
    """Return the query parameters of a view without rows, None where one is left out.

    Raises FilterUnknown, FilterInvalid.
    """
    check_parameters(request, *filters)
    return {name: _value(filter, name, request) for name, filter in filters.items()}


def _value(filter: django_filters.Filter, name: str, request: Any) -> Any:
    try:
        return filter.field.clean(request.query_params.get(name, "")) or None
    except forms.ValidationError as error:
        problem = {"pointer": f"/{name}", "code": FilterInvalid.code, "detail": error.messages[0]}
        raise FilterInvalid(errors=[problem]) from None


def check_parameters(request: Any, *names: str) -> None:
    """Refuse a query parameter that is none of these."""
    _check_names(request.query_params, set(names))


def _check_names(parameters: Any, known: set[str]) -> None:
    errors = [
        {"pointer": f"/{name[:80]}", "code": "filter_unknown", "detail": f"There is no filter {name[:80]!r} here."}
        for name in parameters
        if name not in known
    ]
    if errors:
        raise FilterUnknown(errors=errors)
    odd = [name for name, values in parameters.lists() if values != [values[0]] or not values[0]]
    if odd:
        detail = "This filter is given once, with a value, or not at all."
        raise FilterInvalid(errors=[{"pointer": f"/{n}", "code": "filter_invalid", "detail": detail} for n in odd])


def _problems(errors: dict[str, list[dict[str, str]]]) -> list[dict[str, str]]:
    return [
        {"pointer": f"/{name}", "code": "filter_invalid", "detail": error["message"]}
        for name, found in errors.items()
        for error in found
    ]
