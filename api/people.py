"""What members say of themselves: one's own; a coordinator sees all."""

from api import filtering
from api.records import GroupRecords
from stewardship.accounts.models import Consent, ConsentKind, ConsentText, EmergencyContact, PersonalDetails


class OfAMember(filtering.Filters):
    """By member."""

    member = filtering.Id(field_name="member_id")


class ContactFilters(OfAMember):
    """By member, and whether they were taken off."""

    removed = filtering.Flag(field_name="removed_at", lookup_expr="isnull", exclude=True)


class ConsentTextFilters(filtering.Filters):
    """By what a text is for, and whether it was taken out of use."""

    what = filtering.Choice(words=ConsentKind.values)
    retired = filtering.Flag(field_name="retired_at", lookup_expr="isnull", exclude=True)


class ConsentFilters(OfAMember):
    """By member, text, last day, and whether it was withdrawn or voided."""

    text = filtering.Id(field_name="text_id")
    ends_before = filtering.Day(field_name="ends_on", lookup_expr="lt")
    withdrawn = filtering.Flag(field_name="withdrawn_at", lookup_expr="isnull", exclude=True)
    voided = filtering.Flag(field_name="voided_at", lookup_expr="isnull", exclude=True)


class Details(GroupRecords):
    """How old members are, as exact as is needed, and where to reach them."""

    at = "personal-details"
    model = PersonalDetails
    filterset_class = OfAMember


class EmergencyContacts(GroupRecords):
    """Whom to call if something happens to a member."""

    at = "emergency-contacts"
    model = EmergencyContact
    filterset_class = ContactFilters


class ConsentTexts(GroupRecords):
    """Texts that people agree to: waivers, a guardian's consent, consent to photographs."""

    at = "consent-texts"
    model = ConsentText
    filterset_class = ConsentTextFilters


class Consents(GroupRecords):
    """Who agreed to which text, from which day until which; withdrawn or voided, never deleted."""

    at = "consents"
    model = Consent
    filterset_class = ConsentFilters
