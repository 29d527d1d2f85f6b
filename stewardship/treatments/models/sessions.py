"""A treatment session: the legal record of who treated where, when and in what weather."""

import builtins
from typing import Literal

from django.db import models
from django.db.models import F, Q

from stewardship.accounts.models import Member
from stewardship.places.models import Property, Unit
from stewardship.treatments.models.contractors import Contractor
from stewardship.treatments.models.facts import Answerable, Fact

State = Literal["draft", "attested", "countersigned", "locked"]


class Session(Answerable):
    """One treatment session by one applicator, or one contractor; it may stand without a work day.

    ``weather``: readings in order of time, each ``at``, ``wind_speed`` and ``temperature`` (quantities or null),
    ``wind_direction``, ``humidity_percent``, ``sky``. ``helpers``: ids of members; null: not told, empty: nobody.
    A question and its answer are two columns: ``had_incident`` null is a question that nobody answered.
    """

    kind = "session"
    stands_alone = True
    follows = ("state",)

    property = models.ForeignKey(Property, models.PROTECT, related_name="+", db_index=False)
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="+", db_index=False)
    time_zone = models.CharField("the zone that its local date was told by", max_length=60)
    applicator = models.ForeignKey(Member, models.PROTECT, null=True, related_name="+", db_index=False)
    contractor = models.ForeignKey(Contractor, models.PROTECT, null=True, related_name="+", db_index=False)
    supervisor = models.ForeignKey(Member, models.PROTECT, null=True, related_name="+", db_index=False)
    voice_contact = models.TextField("how supervisor and supervised were in voice contact", blank=True)
    helpers = models.JSONField("ids of everybody else involved; null: not told", null=True)
    all_adults = models.BooleanField("whether everybody who applied was 18 or older; null: not answered", null=True)
    written_by = models.ForeignKey(Member, models.PROTECT, null=True, related_name="+", db_index=False)
    written_at = models.DateTimeField("when it was written on paper, before it was typed", null=True)
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    place_text = models.TextField("a description by which the place can be found", blank=True)
    coordinates = models.JSONField("latitude and longitude in WGS 84, decimal text", null=True)
    site_type = models.CharField("what kind of place it is", max_length=200, blank=True)
    equipment = models.CharField(max_length=200, blank=True)
    weather = models.JSONField("readings at the start and at each change", default=list)
    weather_changed = models.BooleanField("whether wind or weather changed significantly meanwhile", null=True)
    reentry_note = models.TextField("when people may enter again, and how that was posted", blank=True)
    had_incident = models.BooleanField("whether anything unexpected happened; null: not answered", null=True)
    incident = models.TextField("what happened, and what was done about it", blank=True)
    for_a_customer = models.BooleanField("whether it was done for somebody else; null: not answered", null=True)
    customer = models.TextField("name and address of whom it was done for", blank=True)
    photos = models.JSONField("named files: pictures of the paper sheet", default=list)
    attested_at = models.DateTimeField(null=True)
    attested_by = models.ForeignKey(Member, models.PROTECT, null=True, related_name="+", db_index=False)
    attested_from = models.TextField("the contractor's document that it was taken from", blank=True)
    countersigned_at = models.DateTimeField(null=True)
    countersigned_by = models.ForeignKey(Member, models.PROTECT, null=True, related_name="+", db_index=False)
    locked_at = models.DateTimeField(null=True)
    locked_by = models.ForeignKey(Member, models.PROTECT, null=True, related_name="+", db_index=False)

    class Meta(Fact.Meta):
        indexes = [
            *Fact.Meta.indexes,
            models.Index(fields=["group", "property", "on_date"], name="sessions_of_a_property"),
            models.Index(fields=["group", "work_day"], name="sessions_of_a_work_day"),
        ]
        constraints = [
            models.CheckConstraint(
                name="a_session_ends_after_it_begins",
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=F("started_at")),
            ),
            models.CheckConstraint(
                name="a_session_is_a_member_s_or_a_contractor_s",
                condition=Q(applicator__isnull=True, contractor__isnull=False)
                | Q(applicator__isnull=False, contractor__isnull=True),
            ),
            models.CheckConstraint(
                name="what_was_on_paper_says_by_whom_and_when",
                condition=Q(written_by=None, written_at=None) | Q(written_by__isnull=False, written_at__isnull=False),
            ),
            models.CheckConstraint(
                name="a_session_is_signed_in_order",
                condition=(Q(attested_at__isnull=False) | Q(countersigned_at=None, locked_at=None))
                & (Q(attested_at=None) | Q(ended_at__isnull=False)),
            ),
            models.CheckConstraint(
                name="what_happened_is_told_where_something_did", condition=Q(incident="") | Q(had_incident=True)
            ),
            models.CheckConstraint(
                name="a_customer_is_named_where_there_is_one", condition=Q(customer="") | Q(for_a_customer=True)
            ),
        ]

    def __str__(self) -> str:
        return f"session of {self.on_date}"

    @builtins.property
    def state(self) -> State:
        """Return how far the record has come: draft, attested, countersigned, locked."""
        if self.locked_at:
            return "locked"
        if self.countersigned_at:
            return "countersigned"
        return "attested" if self.attested_at else "draft"

    @builtins.property
    def done_by(self) -> str:
        """Return the name of the applicator or contractor."""
        party = self.applicator or self.contractor
        assert party
        return party.display_name if isinstance(party, Member) else party.name
