"""The scan of a document on a credential: named by its hash, private, there before or after the record."""

from hashlib import sha256

import pytest

from stewardship.attachments.queries import readable
from stewardship.attachments.services import hand_in
from stewardship.credentials.models import Credential
from stewardship.errors import AlreadyVoided, Unavailable
from tests.api.asking import get, post
from tests.cast import AT
from tests.credentials import enters, kind
from tests.planning import licence

SCAN = b"%PDF-1.7\n" + b"a scan of a card\n" * 100
HASH = sha256(SCAN).hexdigest()
NAMED = {"sha256": HASH, "name": "card, both sides"}


def test_a_record_names_a_file_before_it_is_there_and_naming_it_opens_it_to_nobody(cast):
    id = licence(cast.coordinator, cast.volunteer, "2027-12-31", evidence=[NAMED])
    assert Credential.objects.get(id=id).evidence == [NAMED]
    assert readable(cast.volunteer.actor, [HASH]) == {}, "it waits for its upload"

    hand_in(cast.coordinator.actor, SCAN, str(cast.volunteer.person.id), AT)

    who = ("coordinator", "volunteer", "other_volunteer", "reviewer")
    assert {name for name in who if readable(getattr(cast, name).actor, [HASH])} == {"coordinator", "volunteer"}
    assert get(cast.volunteer, f"attachments/{HASH}").content == SCAN


def test_a_credential_takes_ten_files_and_no_name_that_is_no_hash(cast):
    told = {"holder": str(cast.volunteer.member.id), "covers": "saw", "never_expires": True}
    files = [{"sha256": f"{place:064x}", "name": f"page {place}"} for place in range(11)]

    assert post(cast.coordinator, "credentials", told | {"evidence": files[:10]}).status_code == 201
    assert post(cast.coordinator, "credentials", told | {"evidence": files}).status_code == 400
    for wrong in ("../secret_key", HASH.upper(), HASH[:-1]):
        answer = post(cast.coordinator, "credentials", told | {"evidence": [NAMED | {"sha256": wrong}]})
        assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (400, "/evidence/0/sha256")


def test_a_holder_shows_a_card_beside_what_it_names_and_again_changes_nothing(cast):
    front, back = ({"sha256": f"{n:064x}", "name": name} for n, name in enumerate(("front", "back")))
    card = enters(cast.coordinator, cast.volunteer, kind(cast.coordinator), evidence=[front])

    for _ in range(2):
        cast.volunteer.does("credential", "show", id=card.id, evidence=[back, front | {"name": "renamed"}])

    card.refresh_from_db()
    assert (card.evidence, card.rev) == ([front, back], 2)


def test_a_card_is_shown_by_its_holder_or_a_coordinator_and_never_once_it_is_voided(cast):
    file = {"sha256": "a" * 64, "name": "front"}
    card = enters(cast.coordinator, cast.volunteer, kind(cast.coordinator))
    with pytest.raises(Unavailable):
        cast.other_volunteer.does("credential", "show", id=card.id, evidence=[file])
    cast.coordinator.does("credential", "show", id=card.id, evidence=[file])
    cast.coordinator.does("credential", "void", id=card.id, reason="somebody else's")

    with pytest.raises(AlreadyVoided):
        cast.volunteer.does("credential", "show", id=card.id, evidence=[file | {"sha256": "b" * 64}])
