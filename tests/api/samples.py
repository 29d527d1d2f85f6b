"""A valid request for every verb: whoever adds a verb adds a line here, and the tests of access ask it.

``FIELDS`` says what is sent, as a function of the scene (``scene.py``: the records that stand in a group already);
``BEFORE`` says what must be done first.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from stewardship.journal.ids import new_id

if TYPE_CHECKING:
    from tests.api.scene import Scene

Fields = Callable[["Scene"], dict[str, Any]]

MORNING, NOON = "2027-05-01T09:00:00-05:00", "2027-05-01T12:00:00-05:00"
BEFORE_TEN = "2027-05-01T09:45:00-05:00"


def amount(value: str, unit: str = "fl_oz") -> dict[str, str]:
    return {"value": value, "unit": unit}


def nothing(scene: "Scene") -> dict[str, Any]:
    return {}


def why(scene: "Scene") -> dict[str, Any]:
    return {"reason": "entered twice"}


def note(scene: "Scene") -> dict[str, Any]:
    return {"note": "seen again", "reason": "left out at first"}


def _product(scene: "Scene") -> dict[str, Any]:
    ingredient = {"active_ingredient": scene.id("active_ingredient"), "ae": {"value": "4", "unit": "lb_gal"}}
    named = {"name": f"Ester in oil, 4 lb a.e./gal, {new_id()}", "formulation": "ester", "carriers": ["oil"]}
    return named | {"ingredients": [ingredient]}


def _parts(scene: "Scene") -> list[dict[str, Any]]:
    return [{"product": scene.id("product"), "volume": amount("12.8")}]


def _answer(scene: "Scene") -> dict[str, Any]:
    return {"answer": "The licence was renewed late; the authority was told.", "answer_document": "letter of 3 May"}


FIELDS: dict[tuple[str, str], Fields] = {
    ("group", "amend"): lambda s: {"area_unit": "ha"},
    ("member", "create"): lambda s: {"display_name": "Rosalind Fenn", "role": "volunteer"},
    ("member", "amend"): lambda s: {"display_name": "Rosalind Fenn-Moss"},
    ("member", "end"): why,
    ("member", "reinstate"): nothing,
    ("notification_settings", "create"): lambda s: {"page_only": ["invitation"], "digest_hour": 18},
    ("notification_settings", "amend"): lambda s: {"digest": "at_once"},
    ("personal_details", "create"): lambda s: {"adult_from": "2027-04-01", "phone": "555 0100"},
    ("personal_details", "amend"): lambda s: {"phone": "555 0101"},
    ("emergency_contact", "create"): lambda s: {"name": "Odile Fenn", "phone": "555 0102", "relation": "sister"},
    ("emergency_contact", "amend"): lambda s: {"phone": "555 0103"},
    ("emergency_contact", "remove"): nothing,
    ("consent_text", "create"): lambda s: {
        "what": "waiver", "title": "At my own risk", "text": "I work along at my own risk.", "from_on": "2027-01-01",
    },
    ("consent_text", "amend"): lambda s: {"title": "Working along"},
    ("consent_text", "retire"): why,
    ("consent_text", "reinstate"): nothing,
    ("consent", "create"): lambda s: {"text": s.id("consent_text"), "given_on": "2027-05-01", "how": "signed_in"},
    ("consent", "withdraw"): nothing,
    ("consent", "void"): why,
    ("member", "leave"): nothing,
    ("member", "suspend"): why,
    ("member", "erase"): why,
    ("member", "restore"): nothing,
    ("invitation", "create"): lambda s: {
        "email": "nell@tamarack.example", "role": "volunteer", "display_name": "Nell Osgood",
    },
    ("invitation", "withdraw"): nothing,
    ("invitation", "resend"): nothing,
    ("property", "create"): lambda s: {"name": "Heron Bend"},
    ("property", "amend"): note,
    ("unit", "create"): lambda s: {"property": s.id("property"), "name": "North"},
    ("unit", "amend"): note,
    ("sensitive_area", "create"): lambda s: {
        "name": "Heron Creek", "what": "water", "source": "The county's map of streams",
        "geometry": {"type": "LineString", "coordinates": [[-88.1, 42.1], [-88.1, 42.2]]},
    },
    ("sensitive_area", "amend"): note,
    ("sensitive_area", "retire"): why,
    ("sensitive_area", "reinstate"): why,
    ("land_permission", "create"): lambda s: {
        "property": s.id("property"), "given_by": "Quarrel Farm", "relation": "owner", "given_on": "2027-01-10",
        "valid_from": "2027-01-10", "herbicide": True,
    },
    ("land_permission", "amend"): note,
    ("land_permission", "give_copy"): lambda s: {"what": "the record of 1 May", "on": "2027-05-03", "how": "by mail"},
    ("land_permission", "withdraw"): lambda s: {"withdrawn_on": "2027-08-01", "reason": "the land was sold"},
    ("land_permission", "reinstate"): why,
    ("permit", "create"): lambda s: {
        "authority": "The county", "number": "W-12", "what": "waters", "valid_from": "2027-01-01",
        "property": s.id("property"), "units": [s.id("unit")],
    },
    ("permit", "amend"): note,
    ("permit", "withdraw"): lambda s: {"withdrawn_on": "2027-08-01", "reason": "high water"},
    ("permit", "reinstate"): why,
    ("neighbour_notice", "create"): lambda s: {
        "property": s.id("property"), "name": "Odile Brandt", "first_on": "2027-05-01", "last_on": "2027-05-01",
        "permission": s.id("land_permission"),
    },
    ("neighbour_notice", "amend"): note,
    ("neighbour_notice", "attempt"): lambda s: {"at": MORNING, "how": "by telephone", "told": True, "by": s.own},
    ("neighbour_notice", "void"): why,
    ("neighbour_notice", "reinstate"): why,
    ("species", "create"): lambda s: {"scientific_name": f"Rhamnus cathartica {new_id()}"},
    ("species", "amend"): note,
    ("species", "retire"): why,
    ("species", "reinstate"): nothing,
    ("active_ingredient", "create"): lambda s: {"name": "triclopyr", "form": f"ester {new_id()}"},
    ("active_ingredient", "amend"): note,
    ("active_ingredient", "retire"): why,
    ("active_ingredient", "reinstate"): nothing,
    ("product", "create"): _product,
    ("product", "amend"): lambda s: {"ingredients": _product(s)["ingredients"]},
    ("product", "retire"): why,
    ("product", "reinstate"): nothing,
    ("product_registration", "create"): lambda s: {
        "product": s.id("product"), "jurisdiction": "US-WA", "number": "99990-101", "source": "An invented register",
    },
    ("product_registration", "amend"): note,
    ("product_registration", "retire"): why,
    ("product_registration", "reinstate"): nothing,
    ("limit", "create"): lambda s: {
        "what": "wind", "unit": "mph", "low": "3", "high": "10", "wording": "3 to 10 mph",
        "source": "An invented label",
    },
    ("limit", "amend"): note,
    ("limit", "retire"): why,
    ("limit", "reinstate"): nothing,
    ("rule_profile", "create"): lambda s: {
        "name": "The county's rule", "source": "An invented ordinance", "required": ["location"],
        "clock": {"kind": "same_day"},
    },
    ("rule_profile", "amend"): note,
    ("rule_profile", "retire"): why,
    ("rule_profile", "reinstate"): nothing,
    ("credential_type", "create"): lambda s: {
        "name": "Saw card of the county", "covers": "saw", "validity": {"kind": "rolling", "years": 3},
        "needs": ["first_aid"], "source": "An invented ordinance",
    },
    ("credential_type", "amend"): note,
    ("credential_type", "retire"): why,
    ("credential_type", "reinstate"): nothing,
    ("credential", "create"): lambda s: {"holder": s.id("member"), "covers": "saw", "never_expires": True},
    ("credential", "amend"): note,
    ("credential", "void"): why,
    ("credential", "reinstate"): why,
    ("approved_task", "create"): lambda s: {
        "property": s.id("property"), "title": "Buckthorn", "approved_by": "The land committee",
        "approved_on": "2027-02-01", "from_on": "2027-03-01",
    },
    ("approved_task", "amend"): note,
    ("approved_task", "withdraw"): why,
    ("approved_task", "reinstate"): nothing,
    ("work_day_series", "create"): lambda s: {
        "property": s.id("property"), "title": "Second Saturdays", "rule": "FREQ=MONTHLY;BYDAY=2SA;COUNT=2",
        "first_on": "2027-06-12", "starts": "09:00", "minutes": 180, "plan": {"units": [s.id("unit")]},
        "duties": [{"name": "puller", "wanted": 5}],
    },
    ("work_day_series", "amend"): lambda s: {"starts": "10:00", "plan": {"units": [s.id("unit")]}},
    ("work_day_series", "extend"): nothing,
    ("work_day_series", "end"): lambda s: {"last_on": "2027-06-12", "reason": "the site is done"},
    ("credential", "show"): lambda s: {"evidence": [{"sha256": "ab" * 32, "name": "card, both sides"}]},
    ("training", "create"): lambda s: {
        "trainee": s.id("member"), "type": s.rule_of_training(), "trainer": s.own, "on_date": "2027-04-10",
        "title": "Basal bark with volunteers", "minutes": 90, "products": [s.id("product")],
        "properties": [s.id("property")],
    },
    ("training", "amend"): note,
    ("training", "sign"): lambda s: {"sheet": "Sign-in sheet of 10 April 2027"},
    ("training", "void"): why,
    ("training", "reinstate"): why,
    ("credit", "create"): lambda s: {
        "member": s.id("member"), "type": s.id("credential_type"), "mode": "online", "amount": "2.5",
        "on_date": "2027-04-10", "title": "Woody plants along rights-of-way",
    },
    ("credit", "amend"): note,
    ("credit", "void"): why,
    ("credit", "reinstate"): why,
    ("work_day", "create"): lambda s: {
        "property": s.id("property"), "title": "Buckthorn", "on_date": "2027-05-01", "units": [s.id("unit")],
    },
    ("work_day", "amend"): note,
    ("work_day", "open"): nothing,
    ("work_day", "confirm"): nothing,
    ("work_day", "stop"): lambda s: {"stopped_at": NOON, "reason": "rain"},
    ("work_day", "finish"): nothing,
    ("work_day", "postpone"): lambda s: {"on_date": "2027-05-08", "reason": "rain"},
    ("work_day", "cancel"): why,
    ("work_day", "close"): nothing,
    ("duty", "create"): lambda s: {"work_day": s.id("work_day"), "name": "puller", "wanted": 5},
    ("duty", "amend"): lambda s: {"wanted": 6},
    ("sign_up", "create"): lambda s: {"work_day": s.id("work_day"), "duty": s.id("duty")},
    ("sign_up", "withdraw"): why,
    ("attendance", "create"): lambda s: {"work_day": s.id("work_day"), "in_at": MORNING},
    ("attendance", "check_out"): lambda s: {"out_at": NOON, "how_known": "measured"},
    ("attendance", "amend"): lambda s: {"age_class": "staff", "reason": "misread"},
    ("attendance", "void"): why,
    ("attendance", "settle"): lambda s: {"out_at": NOON, "words": "left with Tobias about noon"},
    ("attendance", "admit"): lambda s: {"words": "signed at the truck, the sheet follows"},
    ("work_day", "answer"): lambda s: {"had_incident": False},
    ("practice", "create"): lambda s: {
        "what": "briefing_topic", "title": "Where the creek is", "source": "Common practice, no source",
    },
    ("practice", "amend"): lambda s: {"is_followed": False},
    ("practice", "retire"): why,
    ("practice", "reinstate"): nothing,
    ("emergency_sheet", "create"): lambda s: {
        "property": s.id("property"), "address": "14 Fen Road", "hospital": "County Hospital",
    },
    ("emergency_sheet", "amend"): lambda s: {"access": "The gate's key hangs in the shed."},
    ("briefing", "create"): lambda s: {
        "work_day": s.id("work_day"), "held_at": MORNING, "topics": [s.id("practice")],
    },
    ("briefing", "amend"): lambda s: {"words": "Wasps at the north edge", "reason": "left out at first"},
    ("briefing", "void"): why,
    ("briefing_signature", "create"): lambda s: {"briefing": s.id("briefing"), "signed_at": MORNING},
    ("briefing_signature", "void"): why,
    ("weather_reading", "create"): lambda s: {
        "work_day": s.id("work_day"), "read_at": MORNING, "moment": "start", "wind_speed": amount("5", "mph"),
    },
    ("weather_reading", "go_on"): lambda s: {"went_on": "stumps only, by sponge"},
    ("weather_reading", "void"): why,
    ("posting", "create"): lambda s: {
        "property": s.id("property"), "work_day": s.id("work_day"), "text": "Treated stumps: keep off",
        "put_up_at": MORNING, "units": [s.id("unit")],
    },
    ("posting", "amend"): lambda s: {"due_down_at": NOON, "reason": "left out at first"},
    ("posting", "take_down"): lambda s: {"taken_down_at": NOON},
    ("posting", "void"): why,
    ("incident", "create"): lambda s: {
        "property": s.id("property"), "what": "spill", "happened_at": MORNING, "words": "A cup tipped over.",
        "work_day": s.id("work_day"),
    },
    ("incident", "amend"): lambda s: {"first_action": "soaked up and bagged", "reason": "left out at first"},
    ("incident", "notify"): lambda s: {"whom": "the landowner", "told_at": NOON, "how": "by telephone"},
    ("incident", "answer"): lambda s: {"answered_at": NOON, "answer": "The soil was dug out."},
    ("incident", "reopen"): why,
    ("incident", "void"): why,
    ("incident_details", "create"): lambda s: {"incident": s.id("incident"), "who": "Nobody was hurt."},
    ("incident_details", "amend"): lambda s: {"health": "rinsed an eye", "reason": "left out at first"},
    ("lot", "create"): lambda s: {"product": s.id("product"), "received": amount("1", "gal")},
    ("lot", "amend"): note,
    ("lot", "void"): why,
    ("lot", "reinstate"): why,
    ("stock_movement", "create"): lambda s: {
        "what": "spill", "lot": s.id("lot"), "volume": amount("2"), "happened_at": MORNING, "by": s.own,
        "incident": "A cup tipped over in the shed; soaked up and bagged.",
    },
    ("stock_movement", "void"): why,
    ("stock_movement", "reinstate"): why,
    ("batch", "create"): lambda s: {
        "mixed_at": MORNING, "mixed_by": s.own, "mix": amount("64"), "how_known": "measured", "carrier": "oil",
        "parts": _parts(s),
    },
    ("batch", "amend"): lambda s: {"parts": _parts(s), "reason": "misread"},
    ("batch", "void"): why,
    ("batch", "reinstate"): why,
    ("contractor", "create"): lambda s: {
        "name": "Bramble & Burr Land Care", "licence_number": "B-77", "licence_valid_to": "2027-12-31",
    },
    ("contractor", "amend"): note,
    ("batch", "show"): lambda s: {"photos": [{"sha256": "cd" * 32, "name": "tag on the sprayer"}]},
    ("batch", "close"): lambda s: {"closed_at": NOON, "reason": "the can was knocked over"},
    ("batch", "reopen"): why,
    ("rinse", "create"): lambda s: {
        "rinsed_at": NOON, "by": s.own, "times": 3, "batch": s.id("batch"), "container": "bottle 3",
        "manner": "sprayed out on the treated stumps",
    },
    ("rinse", "void"): why,
    ("rinse", "reinstate"): why,
    ("leftover", "create"): lambda s: {
        "volume": amount("20"), "how_known": "estimated", "measured_at": MORNING, "container": "jug without a tag",
    },
    ("leftover", "amend"): note,
    ("leftover", "end"): lambda s: {"ended_at": NOON, "end": "measured_again"},
    ("leftover", "identify"): lambda s: {
        "batch": s.id("batch"), "evidence": "its tag was found in the shed", "reason": "tag found",
    },
    ("leftover", "void"): why,
    ("leftover", "reinstate"): why,
    ("container", "create"): lambda s: {
        "number": "3", "batch": s.id("batch"), "filled": amount("16"), "holder": s.own, "out_at": MORNING,
    },
    ("container", "bring_back"): lambda s: {"back": {"tap": "1/4"}, "back_at": NOON},
    ("container", "share"): lambda s: {
        "session": s.id("session"),
        "lines": [
            {"species": s.id("species"), "method": "basal_bark", "stems": 12},
            {"species": s.id("species"), "method": "cut_stump", "stems": 5},
        ],
    },
    ("container", "amend"): note,
    ("container", "void"): why,
    ("container", "reinstate"): why,
    ("session", "create"): lambda s: {
        "unit": s.id("unit"), "applicator": s.own, "started_at": MORNING, "written_by": s.own, "written_at": NOON,
    },
    ("session", "end"): lambda s: {"ended_at": BEFORE_TEN},
    ("session", "amend"): lambda s: note(s) | {"written_by": s.own, "written_at": NOON},
    ("session", "void"): why,
    ("session", "reinstate"): why,
    ("session", "answer"): _answer,
    ("session", "show"): lambda s: {"photos": [{"sha256": "ef" * 32, "name": "day sheet, front"}]},
    ("batch", "answer"): _answer,
    ("session", "attest"): nothing,
    ("session", "countersign"): nothing,
    ("session", "lock"): why,
    ("session", "unlock"): why,
    ("application", "create"): lambda s: {
        "session": s.id("session"), "batch": s.id("batch"), "species": s.id("species"), "method": "basal_bark",
        "mix": amount("5"), "how_known": "read_off_container", "stems": 17,
    },
    ("application", "amend"): note,
    ("application", "void"): why,
    ("application", "reinstate"): why,
    ("work_line", "create"): lambda s: {
        "unit": s.id("unit"), "species": s.id("species"), "method": "pulling", "done_at": MORNING, "minutes": 60,
    },
    ("work_line", "amend"): note,
    ("work_line", "void"): why,
    ("work_line", "reinstate"): why,
    ("planned_mix", "create"): lambda s: {
        "unit": s.id("unit"), "planned_on": "2027-06-05", "method": "basal_bark", "carrier": "water",
        "mix": amount("64"), "parts": _parts(s), "override": {"reason": "the label in the hand names water"},
    },
    ("planned_mix", "override"): why,
    ("planned_mix", "finish"): nothing,
    ("planned_mix", "cancel"): why,
    ("season", "create"): lambda s: {"name": "2027", "first_on": "2027-01-01", "last_on": "2027-12-31"},
    ("season", "amend"): lambda s: {"name": "Season of 2027"},
    ("season_report", "create"): lambda s: {"property": s.id("property"), "season": s.id("season")},
    ("to_settle", "release"): why,
    ("to_settle", "settle"): lambda s: {"fields": {"name": "theirs"}, "reason": "he telephoned"},
    ("to_settle", "void"): why,
}  # fmt: skip

IN_LISTS: dict[str, dict[str, Any]] = {"poured_from": {"volume": amount("1")}, "lots": {}}
"""List that a sample leaves empty -> what stands in it beside an id that is tried there."""

BEFORE: dict[tuple[str, str], tuple[tuple[str, str], ...]] = {
    ("member", "reinstate"): (("member", "end"),),
    ("consent_text", "reinstate"): (("consent_text", "retire"),),
    ("member", "restore"): (("member", "suspend"),),
    ("member", "erase"): (("member", "end"),),
    ("sensitive_area", "reinstate"): (("sensitive_area", "retire"),),
    ("species", "reinstate"): (("species", "retire"),),
    ("active_ingredient", "reinstate"): (("active_ingredient", "retire"),),
    ("product", "reinstate"): (("product", "retire"),),
    ("product_registration", "reinstate"): (("product_registration", "retire"),),
    ("limit", "reinstate"): (("limit", "retire"),),
    ("rule_profile", "reinstate"): (("rule_profile", "retire"),),
    ("credential_type", "reinstate"): (("credential_type", "retire"),),
    ("credential", "reinstate"): (("credential", "void"),),
    ("approved_task", "reinstate"): (("approved_task", "withdraw"),),
    ("training", "reinstate"): (("training", "void"),),
    ("credit", "reinstate"): (("credit", "void"),),
    ("work_day", "confirm"): (("work_day", "open"),),
    ("work_day", "stop"): (("work_day", "open"), ("work_day", "confirm"), ("attendance", "create")),
    ("work_day", "finish"): (("work_day", "open"), ("work_day", "confirm"), ("attendance", "create")),
    ("work_day", "close"): (
        ("work_day", "open"), ("work_day", "confirm"), ("attendance", "create"), ("attendance", "check_out"),
        ("work_day", "finish"), ("work_day", "answer"),
    ),
    ("practice", "reinstate"): (("practice", "retire"),),
    ("incident", "reopen"): (("incident", "answer"),),
    ("sign_up", "create"): (("work_day", "open"),),
    ("lot", "reinstate"): (("lot", "void"),),
    ("stock_movement", "reinstate"): (("stock_movement", "void"),),
    ("batch", "reinstate"): (("batch", "void"),),
    ("batch", "reopen"): (("batch", "close"),),
    ("leftover", "reinstate"): (("leftover", "void"),),
    ("rinse", "reinstate"): (("rinse", "void"),),
    ("container", "share"): (("container", "bring_back"),),
    ("container", "reinstate"): (("container", "void"),),
    ("session", "reinstate"): (("session", "void"),),
    ("session", "attest"): (("session", "end"),),
    ("session", "countersign"): (("session", "end"), ("session", "attest")),
    ("session", "lock"): (("session", "end"), ("session", "attest")),
    ("session", "unlock"): (("session", "end"), ("session", "attest"), ("session", "lock")),
    ("application", "reinstate"): (("application", "void"),),
    ("work_line", "reinstate"): (("work_line", "void"),),
}  # fmt: skip

QUERIES: dict[str, Any] = {
    "attachments-one put": "?audience=group",
    "credits-ledger": lambda s: f"?type={s.id('credential_type')}&on=2027-05-01",
    "credentials-coverage": "?on=2027-05-02",
    "work-days-coverage": "?from=2027-05-01&to=2027-05-31",
    "trainings-roster": "?from=2027-01-01&to=2027-12-31",
}
"""Name of a route that needs them, with a method where only that one does -> its query parameters."""

A_PICTURE = b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 4
"""A file by its first bytes: the signature of PNG (RFC 2083, section 12.12)."""
