"""The OpenAPI document is valid, says what the service does and nothing else, and can be read by people."""

import io
import json
import re

from django.core.management import call_command
from django.urls import get_resolver
from jsonschema import Draft202012Validator
from openapi_spec_validator import OpenAPIV31SpecValidator

from api.schema import document
from stewardship.sync.verbs import VERBS
from tests.api.routes import BODILESS, ask, routes, stage
from tests.api.scene import Scene

DOCUMENT = json.loads(document())
UNDOCUMENTED = {"schema", "docs"}
OPERATIONS = [(path, method, op) for path, found in DOCUMENT["paths"].items() for method, op in found.items()]


def test_it_validates_without_a_warning(capsys):
    call_command("spectacular", "--validate", "--fail-on-warn", stdout=io.StringIO())

    assert capsys.readouterr().err == ""


def test_an_independent_validator_finds_nothing_wrong():
    assert list(OpenAPIV31SpecValidator(DOCUMENT).iter_errors()) == []
    assert DOCUMENT["openapi"].startswith("3.1")


def test_every_route_is_described_and_nothing_else():
    described = sorted((path, method) for path, method, _ in OPERATIONS)
    known = get_resolver("api.urls").reverse_dict
    addresses = {route.name: _template(known[route.name][0][0][0]) for route in routes()}

    assert described == sorted(
        (f"/api/v1/{addresses[r.name]}", r.method) for r in routes() if r.name not in UNDOCUMENTED
    )


def test_each_operation_has_a_name_of_its_own():
    names = [op["operationId"] for _, _, op in OPERATIONS]

    assert len(set(names)) == len(names)


def test_each_operation_says_how_it_can_go_wrong():
    for _, _, op in OPERATIONS:
        for status in ("4XX", "503"):
            assert op["responses"][status]["content"]["application/problem+json"]["schema"] == {
                "$ref": "#/components/schemas/Problem"
            }


def test_every_reference_leads_somewhere():
    text = json.dumps(DOCUMENT)

    for name in set(re.findall(r'"#/components/schemas/([^"]+)"', text)):
        assert name in DOCUMENT["components"]["schemas"], name


def test_the_label_is_the_law_and_the_document_says_so():
    notice = DOCUMENT["info"]["description"]

    for words in ("label is the law", "violation", "reference only", "replaces the label, a licence or local rules"):
        assert words in notice


def test_a_verb_is_described_by_the_fields_of_its_struct():
    schemas = DOCUMENT["components"]["schemas"]
    for route in [r for r in routes() if r.is_records and r.method not in BODILESS]:
        verb = VERBS[route.view.cls.model.kind, route.op]
        names = set(verb.fields.__struct_fields__) - (set() if route.op == "create" else {"id"})
        assert schemas[verb.fields.__name__]["properties"].keys() == names


def test_an_answer_is_what_the_document_describes(coordinator):
    scene = Scene(coordinator)
    for route in [route for route in routes() if route.is_records and route.method == "get"]:
        stage(route, scene)

        answer = ask(route, scene, coordinator).json()

        schema = _schema_of(route)
        assert [error.message for error in Draft202012Validator(schema).iter_errors(answer)] == [], route.name


def test_an_answer_has_no_member_that_is_not_described(coordinator):
    scene = Scene(coordinator)
    for route in [route for route in routes() if route.is_records and route.op == "retrieve"]:
        stage(route, scene)
        described = DOCUMENT["components"]["schemas"][f"{route.view.cls.model.__name__}Record"]["properties"]

        assert ask(route, scene, coordinator).json().keys() <= described.keys(), route.name


def _schema_of(route):
    known = get_resolver("api.urls").reverse_dict[route.name][0][0][0]
    operation = DOCUMENT["paths"][f"/api/v1/{_template(known)}"][route.method]
    content = operation["responses"]["200"]["content"]["application/json"]
    return content["schema"] | {"components": DOCUMENT["components"]}


def _template(address):
    return re.sub(r"%\((\w+)\)s", r"{\1}", address)


def test_it_is_served_to_anybody(client, db):
    served = client.get("/api/v1/schema")

    assert served.json() == DOCUMENT
    assert served["Content-Type"] == "application/json"


def test_the_page_loads_nothing_from_elsewhere_and_its_script_has_the_nonce(client, db):
    page = client.get("/api/v1/docs", headers={"Accept": "text/html"})

    text = page.content.decode()
    nonce = re.search(r"'nonce-([^']+)'", page["Content-Security-Policy"])[1]
    assert page["Content-Type"].startswith("text/html")
    written = text.replace(nonce, "")  # which is base64: two of its slashes may stand side by side
    assert "//" not in re.sub(r"<!doctype.*?>", "", written).replace("</", "")
    assert text.count(f'nonce="{nonce}"') == text.count("<script")
