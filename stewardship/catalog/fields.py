"""What may be sent about species, active ingredients, products and limits."""

from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.catalog.models import ActiveIngredient, Product, Species
from stewardship.catalog.texts import (
    CasNumber,
    DecimalOrNone,
    DecimalText,
    EppoCode,
    Formula,
    LimitValue,
    RegistrationNo,
    UsdaSymbol,
)
from stewardship.journal.fields import Amend, Citation, Closed, Name, New, Ref, Text
from stewardship.rules import units
from stewardship.rules.methods import Method

GrowthForm = Literal["", "tree", "shrub", "vine", "herb", "grass"]
Formulation = Literal["acid", "amine", "salt", "ester", "other"]
Carrier = Literal["water", "oil", "none"]
"""What a mix is carried in; ``none`` where the product is used undiluted."""
SignalWord = Literal["", "none", "caution", "warning", "danger", "danger_poison"]
What = Literal[
    "cut_to_treat", "strength", "wind", "temperature", "hot_and_dry", "rainfast", "dose_per_cut", "stem_diameter",
    "area_year_ceiling", "water_setback", "notice_before", "notice_distance",
]  # fmt: skip
Source = Annotated[str, Meta(min_length=1, max_length=4000, pattern=r"\S")]
Key = Annotated[str, Meta(max_length=80, pattern=r"^[a-z0-9-]*$")]
Names = Annotated[list[Name], Meta(max_length=50)]


class Caution(Closed, frozen=True):
    """Something to look out for, with its source; ``methods``: what is marked when it is done by one of these."""

    text: Source
    source: Citation
    methods: Annotated[list[Method], Meta(max_length=11)] = []


class LookAlike(Closed, frozen=True):
    """A native plant that is taken for this one, and how to tell them apart."""

    name: Name
    differs: Text = ""
    source: Text = ""


Cautions = Annotated[list[Caution], Meta(max_length=20)]
LookAlikes = Annotated[list[LookAlike], Meta(max_length=20)]
Tsn = Annotated[int, Meta(ge=1, le=9_999_999)]


class NewSpecies(New, frozen=True):
    """A plant that the group works on."""

    scientific_name: Name
    common_name: Annotated[str, Meta(max_length=200)] = ""
    growth_form: GrowthForm = ""
    usda_symbol: UsdaSymbol = UsdaSymbol("")
    itis_tsn: Tsn | None = None
    eppo_code: EppoCode = EppoCode("")
    accepted_name: Annotated[str, Meta(max_length=200)] = ""
    synonyms: Names = []
    look_alikes: LookAlikes = []
    cautions: Cautions = []
    source: Text = ""
    note: Text = ""
    reference_key: Key = ""


class AmendSpecies(Amend, frozen=True):
    """A correction of a species."""

    scientific_name: Name | UnsetType = UNSET
    common_name: Annotated[str, Meta(max_length=200)] | UnsetType = UNSET
    growth_form: GrowthForm | UnsetType = UNSET
    usda_symbol: UsdaSymbol | UnsetType = UNSET
    itis_tsn: Tsn | None | UnsetType = UNSET
    eppo_code: EppoCode | UnsetType = UNSET
    accepted_name: Annotated[str, Meta(max_length=200)] | UnsetType = UNSET
    synonyms: Names | UnsetType = UNSET
    look_alikes: LookAlikes | UnsetType = UNSET
    cautions: Cautions | UnsetType = UNSET
    source: Text | UnsetType = UNSET
    note: Text | UnsetType = UNSET


Acids = Annotated[int, Meta(ge=1, le=6)]


class NewActiveIngredient(New, frozen=True):
    """An active ingredient in one form. With both formulas its acid equivalent follows from chemistry; else unknown."""

    name: Name
    form: Name
    cas: CasNumber = CasNumber("")
    acid_formula: Formula = Formula("")
    formula: Formula = Formula("")
    acids: Acids = 1
    source: Text = ""
    note: Text = ""
    reference_key: Key = ""


class AmendActiveIngredient(Amend, frozen=True):
    """A correction of an active ingredient; what products hold of it is worked out anew."""

    name: Name | UnsetType = UNSET
    form: Name | UnsetType = UNSET
    cas: CasNumber | UnsetType = UNSET
    acid_formula: Formula | UnsetType = UNSET
    formula: Formula | UnsetType = UNSET
    acids: Acids | UnsetType = UNSET
    source: Text | UnsetType = UNSET
    note: Text | UnsetType = UNSET


class Content(Closed, frozen=True):
    """A weight in a volume of product, as the label prints it."""

    value: DecimalText
    unit: Literal["g_l", "lb_gal"]


class Density(Closed, frozen=True):
    """The density of a product, as it is stated."""

    value: DecimalText
    unit: Literal["g_ml", "lb_gal"]


class Piece(Closed, frozen=True):
    """What one pre-measured piece (a tablet, a packet) holds, as the product states it."""

    value: DecimalText
    unit: Literal["g", "kg", "oz", "lb", "ml", "l", "fl_oz", "pt", "qt", "gal"]

    def __post_init__(self) -> None:
        """Refuse a piece that holds nothing."""
        if self.amount() == 0:
            raise ValueError("A piece holds more than nothing.")

    def amount(self) -> int:
        """Return it in base units [nL or µg]."""
        return units.to_base(self.value, self.unit, units.UNITS[self.unit].dimension)


class Ingredient(Closed, frozen=True):
    """What the label states of one active ingredient; what it does not state is null and stays unknown."""

    active_ingredient: Annotated[UUID, Ref(ActiveIngredient, lock=True)]
    ai_percent_w_w: DecimalText | None = None
    ae_percent_w_w: DecimalText | None = None
    ai: Content | None = None
    ae: Content | None = None


Ingredients = Annotated[list[Ingredient], Meta(min_length=1, max_length=8)]
Carriers = Annotated[list[Carrier], Meta(max_length=3)]
Partners = Annotated[list[Annotated[UUID, Ref(Product)]], Meta(max_length=50)]


class NewProduct(New, frozen=True):
    """A herbicide by plain description, with what its label states."""

    name: Name
    formulation: Formulation
    ingredients: Ingredients
    registration_no: RegistrationNo = RegistrationNo("")
    carriers: Carriers = []
    signal_word: SignalWord = ""
    restricted_use: bool = False
    aquatic: bool = False
    is_dry: bool = False
    undiluted_only: bool = False
    piece: Piece | None = None
    density: Density | None = None
    ppe_mixing: Text = ""
    ppe_applying: Text = ""
    reentry: Text = ""
    rainfast_hours: DecimalOrNone = DecimalOrNone("")
    label_version: Annotated[str, Meta(max_length=100)] = ""
    compatible_with: Partners = []
    source: Text = ""
    note: Text = ""
    reference_key: Key = ""


class AmendProduct(Amend, frozen=True):
    """A correction of a product, or a new edition of its label; batches keep what they were mixed with."""

    name: Name | UnsetType = UNSET
    formulation: Formulation | UnsetType = UNSET
    ingredients: Ingredients | UnsetType = UNSET
    registration_no: RegistrationNo | UnsetType = UNSET
    carriers: Carriers | UnsetType = UNSET
    signal_word: SignalWord | UnsetType = UNSET
    restricted_use: bool | UnsetType = UNSET
    aquatic: bool | UnsetType = UNSET
    is_dry: bool | UnsetType = UNSET
    undiluted_only: bool | UnsetType = UNSET
    piece: Piece | None | UnsetType = UNSET
    density: Density | None | UnsetType = UNSET
    ppe_mixing: Text | UnsetType = UNSET
    ppe_applying: Text | UnsetType = UNSET
    reentry: Text | UnsetType = UNSET
    rainfast_hours: DecimalOrNone | UnsetType = UNSET
    label_version: Annotated[str, Meta(max_length=100)] | UnsetType = UNSET
    compatible_with: Partners | UnsetType = UNSET
    source: Text | UnsetType = UNSET
    note: Text | UnsetType = UNSET


class NewLimit(New, frozen=True):
    """A published limit, with its source."""

    what: What
    unit: Annotated[str, Meta(max_length=30)]
    wording: Source
    source: Citation
    low: LimitValue = LimitValue("")
    high: LimitValue = LimitValue("")
    method: Method | Literal[""] = ""
    carrier: Carrier | Literal[""] = ""
    formulation: Formulation | Literal[""] = ""
    species: Annotated[UUID, Ref(Species)] | None = None
    product: Annotated[UUID, Ref(Product)] | None = None
    active: Annotated[str, Meta(max_length=200)] = ""
    region: Annotated[str, Meta(max_length=100)] = ""
    note: Text = ""
    reference_key: Key = ""


class AmendLimit(Amend, frozen=True):
    """A correction of a limit; it never loses its source."""

    what: What | UnsetType = UNSET
    unit: Annotated[str, Meta(max_length=30)] | UnsetType = UNSET
    wording: Source | UnsetType = UNSET
    source: Citation | UnsetType = UNSET
    low: LimitValue | UnsetType = UNSET
    high: LimitValue | UnsetType = UNSET
    method: Method | Literal[""] | UnsetType = UNSET
    carrier: Carrier | Literal[""] | UnsetType = UNSET
    formulation: Formulation | Literal[""] | UnsetType = UNSET
    species: Annotated[UUID, Ref(Species)] | None | UnsetType = UNSET
    product: Annotated[UUID, Ref(Product)] | None | UnsetType = UNSET
    active: Annotated[str, Meta(max_length=200)] | UnsetType = UNSET
    region: Annotated[str, Meta(max_length=100)] | UnsetType = UNSET
    note: Text | UnsetType = UNSET
