"""Permissions, permits, notices, registrations on pages; property and unit corrected, a boundary from a file."""

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from stewardship.accounts.models import Group
from stewardship.catalog.models import ProductRegistration
from stewardship.journal.ids import new_id
from stewardship.places.models import LandPermission, NeighbourNotice, Permit, Property, Unit
from tests.stewardship.places.papers import notice, permission, permit
from tests.stewardship.web.pages import ON, body, send

SQUARE = {
    "type": "Polygon",
    "coordinates": [[[-88.1, 42.1], [-88.0, 42.1], [-88.0, 42.2], [-88.1, 42.2], [-88.1, 42.1]]],
}


@pytest.fixture
def client(pages):
    return pages.coordinator.signed_in()


@pytest.fixture
def place(pages):
    return f"/places/{pages.ground.property}/"


def file(told):
    data = told if isinstance(told, bytes) else json.dumps(told).encode()
    return SimpleUploadedFile("boundary.geojson", data, "application/geo+json")


# -- correcting land ------------------------------------------------------------------------------


def test_a_property_is_corrected_and_gets_its_boundary_from_a_feature(client, place, pages):
    told = {"name": "Heron Bend East", "address": "Mill Road 4", "county_section": "Cook, T41N R9E S12"}
    feature = {"type": "FeatureCollection", "features": [{"type": "Feature", "geometry": SQUARE, "properties": {}}]}

    done = client.post(f"{place}edit/", {"mid": str(new_id()), "boundary_file": file(feature)} | told)

    found = Property.objects.get(id=pages.ground.property)
    assert done["Location"] == place
    assert (found.name, found.address, found.county_section) == tuple(told.values())
    assert found.area_mm2 > 0


def test_without_a_file_the_boundary_stays(client, pages):
    edit = f"/units/{pages.ground.unit}/edit/"
    send(client, edit, name="North edge", boundary_file=file(SQUARE))
    send(client, edit, name="North", site_type="pasture", needs_permit="waters")

    found = Unit.objects.get(id=pages.ground.unit)
    assert (found.name, found.site_type, found.needs_permit) == ("North", "pasture", "waters")
    assert found.area_mm2 > 0


@pytest.mark.parametrize(
    ("told", "words"),
    [
        (b"no json", "cannot be read as GeoJSON"),
        ({"type": "FeatureCollection", "features": []}, "several areas, or none"),
        ([], "holds no area"),
        ({"type": "Point", "coordinates": [1, 2]}, "Polygon"),
        (b" " * (1024 * 1024 + 1), "larger than 1 MiB"),
    ],
)
def test_a_file_that_is_no_boundary_is_refused_in_words_and_nothing_is_changed(client, pages, told, words):
    before = Unit.objects.get(id=pages.ground.unit)

    response = send(client, f"/units/{pages.ground.unit}/edit/", name="Elsewhere", boundary_file=file(told))

    assert response.status_code == 400 or response.status_code == 409
    assert words in body(response)
    assert Unit.objects.get(id=pages.ground.unit).rev == before.rev


TOLD = {"authority": "The county", "number": "W-12", "what": "waters", "valid_from": "2026-01-01"}

# -- papers ---------------------------------------------------------------------------------------


def test_a_permission_is_entered_read_copied_from_and_withdrawn(client, place, pages):
    assert "No landowner's permission is on record" in body(client.get(place))
    told = {"given_by": "Quarrel Farm", "relation": "owner", "given_on": "2026-01-10", "valid_from": "2026-01-10"}

    send(client, f"{place}new/permission/", **told, herbicide="yes", excluded_actives="picloram, aminopyralid",
         excluded_methods=["foliar"], hours_before="48", to="the farm's office")  # fmt: skip
    found = LandPermission.objects.get()
    page = f"/permissions/{found.id}/"
    send(client, f"{page}copy/", what="the record of 1 May", on="2026-05-03", how="by mail")
    send(client, f"{page}withdraw/", withdrawn_on="2026-06-01", reason="the land was sold")

    shown = body(client.get(page))
    assert found.excluded_actives == ["picloram", "aminopyralid"]
    assert (found.excluded_methods, found.notice["hours_before"]) == (["foliar"], 48)
    assert "the record of 1 May" in shown
    assert "the land was sold" in shown
    assert "does not hold today" in body(client.get(place))


def test_a_permission_that_begins_later_says_from_which_day_it_holds(client, place, pages):
    id = permission(pages.coordinator, pages.ground.property, valid_from="2027-06-01")

    assert "holds from Tue 1 Jun 2027" in body(client.get(place))
    assert "it holds from Tue 1 Jun 2027" in body(client.get(f"/permissions/{id}/"))


def test_a_permission_that_ends_before_it_begins_is_refused_beside_its_date_and_what_was_typed_stays(client, place):
    told = {"given_by": "Quarrel Farm", "relation": "owner", "given_on": "2026-01-10", "valid_from": "2026-01-10"}

    response = send(client, f"{place}new/permission/", **told, valid_to="2026-01-09", herbicide="yes")

    assert response.status_code == 409
    assert response.context["form"].errors["valid_to"]
    assert "Quarrel Farm" in response.content.decode()


def test_a_withdrawal_without_a_reason_is_refused_on_the_same_page(client, pages):
    id = permission(pages.coordinator, pages.ground.property)

    response = send(client, f"/permissions/{id}/withdraw/", withdrawn_on="2026-06-01", reason="")

    assert response.status_code == 400
    assert LandPermission.objects.get(id=id).withdrawn_on is None


def test_a_permit_is_entered_for_units_of_the_property(client, place, pages):
    told = {"authority": "The county", "number": "W-12", "what": "waters", "valid_from": "2026-01-01"}

    send(client, f"{place}new/permit/", **told, units=[str(pages.ground.unit)], actives="triclopyr")

    found = Permit.objects.get()
    assert (found.units, found.actives) == ([str(pages.ground.unit)], ["triclopyr"])
    assert "Permit The county W-12" in body(client.get(place))


def test_a_permit_is_corrected_withdrawn_and_the_withdrawal_taken_back(client, place, pages):
    unit = str(pages.ground.unit)
    id = permit(pages.coordinator, pages.ground.property, units=[unit], actives=["triclopyr"], note="In the red binder")
    page = f"/permits/{id}/"
    kept = client.get(f"{page}edit/").context["form"].initial

    send(client, f"{page}edit/", **TOLD | {"number": "W-13", "units": [unit], "actives": "triclopyr, glyphosate"})
    corrected, shown = Permit.objects.get(), body(client.get(page))
    refused = send(client, f"{page}withdraw/", withdrawn_on="2027-03-01", reason="")
    send(client, f"{page}withdraw/", withdrawn_on="2026-03-01", reason="the office took it back")
    withdrawn = body(client.get(page))
    send(client, f"{page}reinstate/", reason="it was the other permit")

    assert (kept["number"], kept["units"], kept["actives"]) == ("W-12", [unit], "triclopyr")
    assert (corrected.number, corrected.units, corrected.note) == ("W-13", [unit], "In the red binder")
    assert corrected.actives == ["triclopyr", "glyphosate"]
    assert "W-13" in shown
    assert "A copy of a record was given" not in shown
    assert refused.status_code == 400
    assert "it does not hold" in withdrawn
    assert "the office took it back" in withdrawn
    assert Permit.objects.get().withdrawn_on is None
    assert f'href="{page}"' in client.get(place).content.decode()


def test_a_permit_for_all_land_is_read_and_corrected_without_a_property(client, pages):
    page = f"/permits/{permit(pages.coordinator, None)}/"

    send(client, f"{page}edit/", **TOLD | {"conditions": "Not by night"})

    assert Permit.objects.get().conditions == "Not by night"
    assert "wherever the group works" in body(client.get(page))


def test_a_permission_is_corrected_and_what_was_not_touched_stays(client, pages):
    notice = {"hours_before": 48, "how": "by mail", "to": "the farm's office"}
    id = permission(pages.coordinator, pages.ground.property, notice=notice, excluded_methods=["foliar"])
    form = client.get(f"/permissions/{id}/edit/").context["form"]

    kept = {name: form.initial[name] for name in form.fields if form.initial.get(name) not in (None, False, "")}
    send(client, f"/permissions/{id}/edit/", **kept | {"given_by": "Quarrel Farm and heirs"})

    found = LandPermission.objects.get()
    assert (found.given_by, found.notice, found.excluded_methods) == ("Quarrel Farm and heirs", notice, ["foliar"])
    assert found.herbicide


def test_only_coordinators_correct_or_withdraw_a_paper(pages):
    id, volunteer = permit(pages.coordinator, pages.ground.property), pages.cast.volunteer.signed_in()

    assert volunteer.get(f"/permits/{id}/").status_code == 200
    assert "It was withdrawn" not in body(volunteer.get(f"/permits/{id}/"))
    assert volunteer.get(f"/permits/{id}/edit/").status_code == 404
    assert send(volunteer, f"/permits/{id}/withdraw/", withdrawn_on="2027-03-01", reason="no").status_code == 404
    assert send(pages.coordinator.signed_in(), f"/permits/{id}/copy/", what="x").status_code == 404


def test_a_neighbour_is_entered_and_told_and_each_attempt_is_listed(client, place, pages):
    send(client, f"{place}new/notice/", name="Odile Brandt", far="300", unit="ft", registered="yes",
         first_on="2027-05-15", last_on="2027-05-15")  # fmt: skip
    found = NeighbourNotice.objects.get()
    page = f"/notices/{found.id}/"
    send(client, page, on="2026-01-02", at="18:00", how="by telephone", told="no", outcome="nobody answered")
    send(client, page, on="2026-01-02", at="19:00", how="at the door", told="yes")

    found.refresh_from_db()
    assert [each["told"] for each in found.attempts] == [False, True]
    assert "nobody answered" in body(client.get(page))


def test_neighbours_stand_on_no_page_of_a_volunteer(pages, place):
    id = notice(pages.coordinator, pages.ground.property)
    permit(pages.coordinator, pages.ground.property)
    volunteer = pages.cast.volunteer.signed_in()

    assert "Odile" not in body(volunteer.get(place))
    assert volunteer.get(f"/notices/{id}/").status_code == 404
    assert volunteer.get(f"{place}edit/").status_code == 404
    assert volunteer.get(f"{place}new/permit/").status_code == 404


def test_a_kind_of_paper_or_act_that_is_none_does_not_exist(client, place, pages):
    id = permission(pages.coordinator, pages.ground.property)

    assert client.get(f"{place}new/colour/").status_code == 404
    assert send(client, f"/permissions/{id}/colour/").status_code == 404


# -- registrations and settings -------------------------------------------------------------------


def test_a_product_without_a_registration_is_not_on_record_until_one_is_entered(client, pages):
    assert "triclopyr ester 4 lb a.e./gal not on record" in body(client.get("/registrations/"))
    told = {
        "product": str(pages.ground.product),
        "jurisdiction": "US-IL",
        "number": "99990-101",
        "valid_to": "2020-12-31",
    }

    send(client, "/registrations/new/", **told, methods=["basal_bark"], carriers=["oil"], strength="20",
         basis="product_v_v", retreat_days="30", source="The state's register (invented)")  # fmt: skip

    found = ProductRegistration.objects.get()
    assert found.uses == [{"sites": [], "methods": ["basal_bark"], "carriers": ["oil"]}]
    assert found.max_strength == {"value": "20", "basis": "product_v_v"}
    assert "does not hold today" in body(client.get("/registrations/"))


def test_a_registration_is_corrected_and_what_was_not_touched_stays(client, pages):
    most, use = (
        {"value": "20", "basis": "product_v_v"},
        {"sites": ["pasture"], "methods": ["basal_bark"], "carriers": []},
    )
    told = {"product": pages.ground.product, "jurisdiction": "US-IL", "source": "The register", "soil_active": True}
    id = pages.coordinator.does("product_registration", "create", **told, uses=[use], max_strength=most).record.id
    page = f"/registrations/{id}/edit/"
    form = client.get(page).context["form"]

    kept = {name: form.initial[name] for name in form.fields if form.initial.get(name)}
    send(client, page, **kept | {"valid_to": "2028-12-31", "sites": "pasture, roadside"})

    found = ProductRegistration.objects.get(id=id)
    assert (str(found.valid_to), found.uses) == ("2028-12-31", [use | {"sites": ["pasture", "roadside"]}])
    assert ({name: found.max_strength[name] for name in most}, found.soil_active) == (most, True)
    assert f'href="{page}"' in client.get("/registrations/").content.decode()
    assert pages.cast.volunteer.signed_in().get(page).status_code == 404


def test_uses_that_one_form_cannot_show_stay_as_they_are(client, pages):
    uses = [{"sites": [site], "methods": [], "carriers": []} for site in ("pasture", "roadside")]
    told = {"product": pages.ground.product, "jurisdiction": "US-IL", "source": "The register"}
    id = pages.coordinator.does("product_registration", "create", **told, uses=uses).record.id

    send(client, f"/registrations/{id}/edit/", basis="product_v_v", source="The register of 2027")

    found = ProductRegistration.objects.get(id=id)
    assert (found.source, found.uses) == ("The register of 2027", uses)


def test_a_registration_number_of_a_factory_is_refused_in_words(client, pages):
    told = {
        "product": str(pages.ground.product),
        "jurisdiction": "US-IL",
        "source": "A register",
        "number": "99999-NY-002",
    }

    response = send(client, "/registrations/new/", **told, basis="product_v_v")

    assert "establishment number" in body(response)
    assert not ProductRegistration.objects.exists()


def test_what_is_asked_before_a_day_with_herbicide_is_set_by_a_tick(client, pages):
    send(client, "/places/wants/", wants_permissions="on")

    group = Group.objects.get(id=pages.cast.group.id)
    assert (group.wants_permissions, group.wants_registrations) == (True, False)
    assert pages.cast.volunteer.signed_in().post("/places/wants/").status_code == 404


def test_a_refused_confirmation_tells_what_law_and_landowner_ask(client, pages):
    permission(pages.coordinator, pages.ground.property, valid_to=ON)
    pages.coordinator.does("unit", "amend", id=pages.ground.unit, needs_permit="waters")

    shown = body(send(client, f"/work-days/{pages.day}/confirm/"))

    assert "The last permission for this property ended on 1 May 2027" in shown
    assert "takes a permit for work in or over waters; none is on record" in shown
