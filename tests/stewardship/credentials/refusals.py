"""How the refusals about credentials and their kinds come about."""

from stewardship.attachments.refusals import TooManyFiles
from stewardship.credentials.services import credits, trainings, types
from stewardship.credentials.services.credentials import (
    CategoryUnknown,
    CoversDisagree,
    EndsAndNeverEnds,
    LastDayDisagrees,
    LimitsMissing,
    TypeRetired,
)
from tests.credentials import enters, kind
from tests.doors import Case, last_act
from tests.planning import licence
from tests.trainings import rule, trains


def a_licence_ends_and_never_ends(cast):
    return last_act(lambda: licence(cast.coordinator, cast.volunteer, "2027-06-30", never_expires=True))


def a_licence_of_a_kind_out_of_use(cast):
    id = kind(cast.coordinator)
    cast.coordinator.does("credential_type", "retire", id=id)
    return last_act(lambda: enters(cast.coordinator, cast.volunteer, id))


def a_saw_card_of_a_kind_of_licence(cast):
    id = kind(cast.coordinator)
    return last_act(lambda: enters(cast.coordinator, cast.volunteer, id, covers="saw"))


def a_last_day_that_the_rule_does_not_give(cast):
    id = kind(cast.coordinator, validity={"kind": "end_of_year"})
    return last_act(lambda: enters(cast.coordinator, cast.volunteer, id, expires_on="2027-06-30"))


def a_category_that_the_kind_does_not_have(cast):
    id = kind(cast.coordinator)
    return last_act(lambda: enters(cast.coordinator, cast.volunteer, id, categories=["1D"]))


def a_certificate_for_named_lands_that_names_none(cast):
    id = kind(cast.coordinator, names_properties=True)
    return last_act(lambda: enters(cast.coordinator, cast.volunteer, id))


def a_kind_with_a_category_twice(cast):
    return last_act(lambda: kind(cast.coordinator, categories=[{"code": "1A"}, {"code": "1A"}]))


def a_kind_that_needs_itself(cast):
    return last_act(lambda: kind(cast.coordinator, needs=["herbicide_application"]))


def a_kind_with_credits_without_a_cycle(cast):
    return last_act(lambda: kind(cast.coordinator, credits=[{"wanted": "6"}]))


def a_kind_with_credits_in_a_category_that_it_does_not_have(cast):
    wanted = [{"category": "1D", "wanted": "6"}]
    return last_act(lambda: kind(cast.coordinator, credits=wanted, credit_cycle_years=3))


def a_training_under_the_rule_of_a_licence(cast):
    licence_rule = kind(cast.coordinator)
    return last_act(lambda: trains(cast.coordinator, cast.volunteer, licence_rule))


def a_training_without_a_trainer(cast):
    type = rule(cast.coordinator)
    return last_act(lambda: trains(cast.coordinator, cast.volunteer, type, trainer=None))


def a_training_of_oneself(cast):
    type = rule(cast.coordinator)
    return last_act(lambda: trains(cast.coordinator, cast.volunteer, type, trainer=cast.volunteer.member.id))


def a_training_next_month(cast):
    type = rule(cast.coordinator)
    return last_act(lambda: trains(cast.coordinator, cast.volunteer, type, on_date="2027-06-01"))


def a_signature_from_no_sheet(cast):
    training = trains(cast.coordinator, cast.volunteer, rule(cast.coordinator), signed=False)
    return last_act(lambda: cast.coordinator.does("training", "sign", id=training.id))


def _credit(cast, **values):
    type = kind(cast.coordinator)
    told = {"member": cast.volunteer.member.id, "type": type, "mode": "online", "on_date": "2027-04-01"} | values
    return last_act(lambda: cast.coordinator.does("credit", "create", title="Woody plants", **told))


def credits_that_are_none(cast):
    return _credit(cast, amount="0.0")


def credits_in_a_category_that_the_kind_does_not_have(cast):
    return _credit(cast, amount="2", category="1D")


def an_eleventh_scan_of_a_card(cast):
    files = [{"sha256": f"{n:064x}", "name": f"page {n}"} for n in range(11)]
    card = enters(cast.coordinator, cast.volunteer, kind(cast.coordinator), evidence=files[:10])
    return last_act(lambda: cast.volunteer.does("credential", "show", id=card.id, evidence=files[10:]))


CASES = [
    Case(TooManyFiles, an_eleventh_scan_of_a_card),
    Case(EndsAndNeverEnds, a_licence_ends_and_never_ends),
    Case(TypeRetired, a_licence_of_a_kind_out_of_use),
    Case(CoversDisagree, a_saw_card_of_a_kind_of_licence),
    Case(LastDayDisagrees, a_last_day_that_the_rule_does_not_give),
    Case(CategoryUnknown, a_category_that_the_kind_does_not_have),
    Case(LimitsMissing, a_certificate_for_named_lands_that_names_none),
    Case(types.CategoryTwice, a_kind_with_a_category_twice),
    Case(types.NeedsItself, a_kind_that_needs_itself),
    Case(types.CreditsWithoutCycle, a_kind_with_credits_without_a_cycle),
    Case(types.CreditsOfUnknownCategory, a_kind_with_credits_in_a_category_that_it_does_not_have),
    Case(trainings.RuleOfNoTraining, a_training_under_the_rule_of_a_licence),
    Case(trainings.TrainerMissing, a_training_without_a_trainer),
    Case(trainings.TrainedByThemselves, a_training_of_oneself),
    Case(trainings.TrainingToCome, a_training_next_month),
    Case(trainings.SheetMissing, a_signature_from_no_sheet),
    Case(credits.CreditsAreNone, credits_that_are_none),
    Case(credits.CreditsInUnknownCategory, credits_in_a_category_that_the_kind_does_not_have),
]
