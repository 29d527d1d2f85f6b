"""Places on pages: a property is taken in, its units are laid out, both are found in the list."""

from stewardship.places.models import Property, Unit
from tests.stewardship.web.pages import body, send


def test_a_property_is_taken_in_and_its_first_unit_laid_out(pages):
    client = pages.coordinator.signed_in()

    taken_in = client.post("/places/new/", form_of(client, "/places/new/", name="Sedge Flat", address="Mill Road 4"))
    found = Property.objects.get(group_id=pages.cast.group.id, name="Sedge Flat")
    empty = body(client.get(f"/places/{found.id}/"))
    send(client, f"/places/{found.id}/unit/", name="East bank")

    assert taken_in["Location"] == f"/places/{found.id}/"
    assert "would stand here" in empty
    assert Unit.objects.get(property=found).name == "East bank"
    assert "Sedge Flat Mill Road 4 1 management unit" in body(client.get("/places/"))


def test_a_property_without_a_name_is_not_taken_in_and_what_was_typed_stays(pages):
    client = pages.coordinator.signed_in()

    response = client.post("/places/new/", form_of(client, "/places/new/", name="", address="Mill Road 4"))

    assert response.status_code == 400
    assert "Please fill this in." in body(response)
    assert "Mill Road 4" in response.content.decode()


def test_a_unit_without_a_name_is_not_laid_out(pages):
    before = Unit.objects.count()

    response = send(pages.coordinator.signed_in(), f"/places/{pages.ground.property}/unit/", name=" ")

    assert response.status_code == 400
    assert Unit.objects.count() == before


def test_places_cost_the_same_statements_however_many(pages, django_assert_num_queries):
    client = pages.coordinator.signed_in()
    client.get("/places/")
    for name in ("Sedge Flat", "Heron Bend", "Otter Hill"):
        send(client, "/places/new/", name=name)

    with django_assert_num_queries(5):  # session, person, memberships, properties, units
        client.get("/places/")


def form_of(client, path, **values):
    mid = client.get(path).context["form"].initial["mid"]
    return {"mid": str(mid)} | values
