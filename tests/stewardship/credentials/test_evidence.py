"""The scan of a document on a credential: named by its hash, private, there before or after the record."""

from hashlib import sha256

from stewardship.attachments.queries import readable
from stewardship.attachments.services import hand_in
from stewardship.credentials.models import Credential
from tests.api.asking import get, post
from tests.cast import AT
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
