"""People with and without licences, and a product for restricted use, for the tests of who was licensed."""

from tests.credentials import enters, kind
from tests.ground import Ground

TEN = "2027-05-01T10:30:00-05:00"
ANSWER = {
    "answer": "The licence holder stood beside it.",
    "answer_document": "letter of 3 May",
}


def restrict(ground: Ground) -> Ground:
    """Make the ester of the ground a restricted-use product."""
    ground.coordinator.does("product", "amend", id=ground.product, restricted_use=True)
    return ground


def crew(cast, ground: Ground, *, holder=None, **of_kind):
    """Open a work day of 1 July with herbicide on the ground, with one applicator who holds a licence of a kind."""
    lead, holder = cast.coordinator, holder or cast.volunteer
    told = {"property": ground.property, "title": "Buckthorn", "on_date": "2027-07-01", "units": [str(ground.unit)]}
    day = lead.does("work_day", "create", **told, herbicide_planned=True).record.id
    lead.does("work_day", "open", id=day)
    duty = lead.does("duty", "create", work_day=day, name="applicator", wanted=1).record.id
    enters(lead, holder, kind(lead, **of_kind))
    holder.does("sign_up", "create", work_day=day, duty=duty)
    return day
