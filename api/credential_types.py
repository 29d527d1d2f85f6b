"""Kinds of credentials: who issues them, how long they count, what they are good for."""

from api import filtering
from api.records import GroupRecords
from stewardship.credentials.models import Covers, CredentialType


class CredentialTypeFilters(filtering.Filters):
    """By a part of the name, by what it is for, by jurisdiction and by what is out of use."""

    name = filtering.Text(lookup_expr="icontains")
    covers = filtering.Choice(words=Covers.values)
    jurisdiction = filtering.Text()
    retired = filtering.Flag(field_name="retired_at", lookup_expr="isnull", exclude=True)


class CredentialTypes(GroupRecords):
    """Kinds of licences, certificates, trainings and cards, each with the source of its rules. Verify them."""

    at = "credential-types"
    model = CredentialType
    filterset_class = CredentialTypeFilters
