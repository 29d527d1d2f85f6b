"""Species, active ingredient, product, registration, limit and rule profile: each row with its source."""

from datetime import date
from typing import Any
from uuid import UUID

from django.db import models
from django.db.models import F, Q

from stewardship.journal.models import Projection, Record


class Reference(Record):
    """A row of the catalogue: copied from the reference files under its key, or the group's own."""

    reference_key = models.CharField("key of the reference row it was copied from, if any", max_length=80, blank=True)
    source = models.TextField("where its facts are published", blank=True)
    note = models.TextField(blank=True)
    retired_at = models.DateTimeField("taken out of use; what was recorded with it stays", null=True)

    class Meta(Record.Meta):
        abstract = True


class Species(Reference):
    """A plant, by its scientific name and the open identifiers of it."""

    kind = "species"

    scientific_name = models.CharField(max_length=200)
    common_name = models.CharField(max_length=200, blank=True)
    growth_form = models.CharField(max_length=20, blank=True)
    usda_symbol = models.CharField("USDA PLANTS symbol", max_length=10, blank=True)
    itis_tsn = models.PositiveIntegerField("ITIS taxonomic serial number", null=True)
    eppo_code = models.CharField("EPPO code, five letters", max_length=5, blank=True)
    accepted_name = models.CharField(
        "accepted name, where the scientific name is a synonym", max_length=200, blank=True
    )
    synonyms = models.JSONField(default=list)
    look_alikes = models.JSONField("native plants it is taken for: name, how to tell, source", default=list)
    cautions = models.JSONField("text and source", default=list)

    def __str__(self) -> str:
        return self.scientific_name


class ActiveIngredient(Reference):
    """An active ingredient in one of its forms: the acid itself, a salt or an ester."""

    kind = "active_ingredient"

    name = models.CharField("of the acid, without the form", max_length=200)
    form = models.CharField("acid, or the salt or ester by name", max_length=200)
    cas = models.CharField("CAS registry number of the form", max_length=12, blank=True)
    acid_formula = models.CharField("sum formula; empty where no acid equivalent is stated", max_length=80, blank=True)
    formula = models.CharField("sum formula of the form", max_length=80, blank=True)
    acids = models.PositiveSmallIntegerField("molecules of acid in one of the form", default=1)
    ae_per_ai = models.CharField(
        "grams of acid in a gram of the form, exact text; empty: unknown", max_length=80, blank=True
    )

    def __str__(self) -> str:
        return f"{self.name}, {self.form}"


class ProductIngredient(Projection):
    """Which active ingredients a product holds."""

    source = "product"

    product = models.ForeignKey("Product", models.PROTECT, related_name="+", db_index=False)
    active_ingredient = models.ForeignKey(ActiveIngredient, models.PROTECT, related_name="+", db_index=False)

    class Meta(Projection.Meta):
        indexes = [
            models.Index(fields=["product"], name="ingredients_of_a_product"),
            models.Index(fields=["group", "active_ingredient"], name="products_with_an_ingredient"),
        ]

    def __str__(self) -> str:
        return f"{self.active_ingredient_id} in {self.product_id}"

    @classmethod
    def rows_of(cls, record: Any) -> list[dict[str, Any]]:
        """Return one row for each active ingredient of a product."""
        ids = [UUID(each["active_ingredient"]) for each in record.ingredients]
        return [{"product_id": record.id, "active_ingredient_id": id} for id in ids]


class Product(Reference):
    """A herbicide by plain description, with what its label states; never by a brand.

    ``ingredients``: for each ``active_ingredient`` (id) its ``name``; as the label prints them ``ai_percent_w_w``,
    ``ae_percent_w_w`` (decimal text) and ``ai``, ``ae`` (``{"value", "unit"}``, lb_gal or g_l); and ``ai_g_l``,
    ``ae_g_l``, grams in a litre as stated or as they follow from the rest, exact text. None is unknown.
    """

    kind = "product"
    projections = (ProductIngredient,)

    name = models.CharField("plain description", max_length=200)
    registration_no = models.CharField(max_length=40, blank=True)
    formulation = models.CharField(max_length=20)
    carriers = models.JSONField("what the label has it used in: water, oil, none (undiluted)", default=list)
    signal_word = models.CharField(max_length=20, blank=True)
    restricted_use = models.BooleanField(default=False)
    aquatic = models.BooleanField("labelled for use over or beside water", default=False)
    is_dry = models.BooleanField(default=False)
    undiluted_only = models.BooleanField("ready to use: its label has it used undiluted", default=False)
    piece = models.JSONField("value and unit of product in one pre-measured piece, as stated", null=True)
    density = models.JSONField("value and unit (g_ml, lb_gal) as stated", null=True)
    ingredients = models.JSONField(default=list)
    ppe_mixing = models.TextField(blank=True)
    ppe_applying = models.TextField(blank=True)
    reentry = models.TextField("when people may enter again, as the label words it", blank=True)
    rainfast_hours = models.CharField("decimal text; empty: unknown", max_length=20, blank=True)
    label_version = models.CharField(max_length=100, blank=True)
    compatible_with = models.JSONField("ids of products its label names as tank-mix partners", default=list)

    def __str__(self) -> str:
        return self.name


class ProductRegistration(Reference):
    """A product's registration in a jurisdiction, from a day to a day, and what the label edition on site says there.

    ``uses``: what it is labelled for, each ``sites``, ``methods``, ``carriers`` (an empty list: any); no uses at all:
    not on record. ``max_strength``: ``value``, ``basis``. ``yearly_max``: ``value``, ``unit`` (as of a ceiling),
    ``area`` (which acre). ``setbacks``: each ``from``, ``distance``. None and empty text are unknown.
    """

    kind = "product_registration"

    product = models.ForeignKey(Product, models.PROTECT, related_name="+", db_index=False)
    jurisdiction = models.CharField("ISO 3166 code of a state or country", max_length=6)
    number = models.CharField(max_length=40, blank=True)
    valid_from = models.DateField("first day; none: not known", null=True)
    valid_to = models.DateField("last day; none: not ended", null=True)
    label_edition = models.CharField("edition of the label on site", max_length=100, blank=True)
    uses = models.JSONField(default=list)
    max_strength = models.JSONField(null=True)
    yearly_max = models.JSONField(null=True)
    retreat_days = models.PositiveSmallIntegerField("days between two treatments of one place", null=True)
    entry = models.TextField("when people may enter again, as the label words it", blank=True)
    entry_hours = models.CharField("decimal text; empty: unknown", max_length=20, blank=True)
    rainfast_hours = models.CharField("decimal text; empty: unknown", max_length=20, blank=True)
    soil_active = models.BooleanField(null=True)
    setbacks = models.JSONField(default=list)

    class Meta(Reference.Meta):
        constraints = [
            models.CheckConstraint(name="a_registration_names_its_source", condition=~Q(source="")),
            models.CheckConstraint(name="a_registration_names_its_jurisdiction", condition=~Q(jurisdiction="")),
            models.CheckConstraint(
                name="a_registration_ends_after_it_begins",
                condition=Q(valid_from=None) | Q(valid_to=None) | Q(valid_to__gte=F("valid_from")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.jurisdiction} {self.number}".strip()

    def holds_on(self, on: date) -> bool:
        """Return whether it holds on a local date; its last day counts."""
        begun = self.valid_from is None or self.valid_from <= on
        return begun and (self.valid_to is None or on <= self.valid_to)


class Limit(Reference):
    """A published limit: what is limited, from which value to which, for what, and who says so."""

    kind = "limit"

    what = models.CharField(max_length=30)
    low = models.CharField("decimal text; empty: no lower end", max_length=20, blank=True)
    high = models.CharField("decimal text; empty: no upper end", max_length=20, blank=True)
    unit = models.CharField(max_length=30)
    method = models.CharField("empty: any", max_length=30, blank=True)
    carrier = models.CharField("empty: any", max_length=10, blank=True)
    formulation = models.CharField("empty: any", max_length=20, blank=True)
    species = models.ForeignKey(Species, models.PROTECT, null=True, related_name="+", db_index=False)
    product = models.ForeignKey(Product, models.PROTECT, null=True, related_name="+", db_index=False)
    active = models.CharField("name of an active ingredient; empty: any", max_length=200, blank=True)
    region = models.CharField("where it holds or was observed; empty: not said", max_length=100, blank=True)
    wording = models.TextField("what the source says, in a sentence")

    class Meta(Reference.Meta):
        constraints = [
            models.CheckConstraint(name="a_limit_names_its_source", condition=~Q(source="")),
            models.CheckConstraint(name="a_limit_has_a_value", condition=~Q(low="", high="")),
        ]

    def __str__(self) -> str:
        return f"{self.what}: {self.wording}"

    def ends(self) -> str:
        """Return from which value to which, without the unit: 10 to 15, at least 10, at most 15."""
        if self.low and self.high:
            return f"{self.low} to {self.high}"
        return f"at least {self.low}" if self.low else f"at most {self.high}"


class RuleProfile(Reference):
    """What a jurisdiction asks of a record of use, from one day to another.

    ``required``: names from ``rules.requirements``; ``conditional``: for each requirement ``any_of`` (lists of names)
    and ``when`` (conditions); ``spot``: ``below`` (``{"value", "unit"}``, an area) and ``required``; ``clock``:
    ``kind``, ``count``, ``month``, ``day``; ``reports``: for each ``name``, ``clock``, ``nil_due``.
    """

    kind = "rule_profile"

    name = models.CharField(max_length=200)
    jurisdiction = models.CharField("ISO 3166 code; empty: a general default", max_length=6, blank=True)
    applies_to = models.TextField("whom and what it concerns", blank=True)
    restricted_only = models.BooleanField("holds for restricted-use products only", default=False)
    effective_from = models.DateField("first day; none: not known", null=True)
    effective_to = models.DateField("last day; none: not ended", null=True)
    required = models.JSONField("facts that a record always says", default=list)
    conditional = models.JSONField("facts that it says if something holds, or one set of several", default=list)
    spot = models.JSONField("the shorter list for small areas", null=True)
    clock = models.JSONField("how long there is to complete the record")
    retention_years = models.PositiveSmallIntegerField("years to keep it; none: not stated", null=True)
    only_licensed_mix = models.BooleanField("only licence holders mix and load", default=False)
    minimum_age_years = models.PositiveSmallIntegerField("of who applies; none: not stated", null=True)
    supervised_per_licensed = models.PositiveSmallIntegerField(
        "people that one licence holder may supervise; none: not stated", null=True
    )
    countersign = models.BooleanField("the supervising licence holder signs supervised work", default=False)
    location_forms = models.JSONField("forms in which a place counts; empty: any", default=list)
    reports = models.JSONField("reports that are due", default=list)

    class Meta(Reference.Meta):
        constraints = [
            models.CheckConstraint(name="a_rule_profile_names_its_source", condition=~Q(source="")),
            models.CheckConstraint(
                name="a_rule_profile_ends_after_it_begins",
                condition=Q(effective_from=None) | Q(effective_to=None) | Q(effective_to__gte=F("effective_from")),
            ),
        ]

    def __str__(self) -> str:
        return self.name
