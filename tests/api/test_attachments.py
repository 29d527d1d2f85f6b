"""Private files: in pieces and resumed, checked by hash and first bytes, read by whom they are for and nobody else."""

from datetime import timedelta
from hashlib import sha256

import pytest

from stewardship.attachments import store
from stewardship.attachments.models import Attachment
from stewardship.attachments.services import Piece, take_piece
from tests.api.asking import at
from tests.cast import AT
from tests.concurrency import in_threads

PDF = b"%PDF-1.7\n" + b"a scan of a card\n" * 400
"""A file by its first bytes (ISO 32000-1, section 7.5.2)."""
JPEG = b"\xff\xd8\xff\xe0\x00\x10JFIF\x00" + bytes(4000)
WEBP = b"RIFF\x00\x10\x00\x00WEBPVP8 " + bytes(4000)
HEIC = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + bytes(4000)
PNG = b"\x89PNG\r\n\x1a\n" + bytes(4000)


def hash_of(body):
    return sha256(body).hexdigest()


def put(
    someone, body, *, digest=None, audience="coordinators", first=None, whole=None, kind="application/octet-stream"
):
    headers = {}
    if first is not None:
        headers["Content-Range"] = f"bytes {first}-{first + len(body) - 1}/{whole}"
    address = at(someone, f"attachments/{digest or hash_of(body)}?audience={audience}")
    return someone.client().generic("PUT", address, body, kind, headers=headers)


def head(someone, digest):
    return someone.client().head(at(someone, f"attachments/{digest}"))


def get(someone, digest, **headers):
    return someone.client().get(at(someone, f"attachments/{digest}"), headers=headers)


def body_of(response):
    return response.content


@pytest.mark.parametrize(
    ("body", "media_type"),
    [
        (PDF, "application/pdf"), (JPEG, "image/jpeg"), (PNG, "image/png"), (WEBP, "image/webp"), (HEIC, "image/heic"),
    ],
)  # fmt: skip
def test_a_file_is_typed_by_its_first_bytes_and_comes_back_as_it_was(coordinator, body, media_type):
    told = put(coordinator, body).json()

    assert (told["media_type"], told["offset_bytes"], told["size_bytes"]) == (media_type, len(body), len(body))
    answer = get(coordinator, hash_of(body))
    assert body_of(answer) == body
    assert answer["Content-Type"] == media_type


def test_it_is_served_to_be_kept_and_never_as_a_page_of_ours(coordinator):
    put(coordinator, PDF)

    answer = get(coordinator, hash_of(PDF))

    assert answer["Content-Disposition"] == f'attachment; filename="{hash_of(PDF)[:16]}.pdf"'
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert answer["Cache-Control"] == "private, no-cache"
    assert get(coordinator, hash_of(PDF), **{"If-None-Match": answer["ETag"]}).status_code == 304


@pytest.mark.parametrize(
    "body",
    [
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>" * 20, b"<!doctype html><p>" * 90,
        b"PK\x03\x04" + bytes(900), b"MZ" + bytes(900), b"a note\n" * 200, b"\x00\x00\x00\x18ftyp\xff\xfe\xfd\xfc",
    ],
)  # fmt: skip
def test_anything_else_is_refused_with_a_sentence_and_nothing_is_kept(coordinator, body):
    answer = put(coordinator, body)

    assert (answer.status_code, answer.json()["code"]) == (415, "file_kind_not_taken")
    assert "JPEG" in answer.json()["detail"]
    assert not Attachment.objects.exists()


def test_what_its_sender_calls_it_counts_for_nothing(coordinator):
    assert put(coordinator, PDF, kind="application/pdf").status_code == 415
    assert put(coordinator, b"<html>" * 200, kind="image/png").status_code == 415


def test_a_file_arrives_in_pieces_and_an_interrupted_upload_resumes_where_it_broke_off(volunteer):
    digest, whole = hash_of(PDF), len(PDF)
    assert head(volunteer, digest).status_code == 404
    put(volunteer, PDF[:1000], digest=digest, first=0, whole=whole)

    told = head(volunteer, digest)
    assert (told["Upload-Offset"], told["Upload-Length"], told["Upload-Complete"]) == ("1000", str(whole), "?0")
    last = put(volunteer, PDF[1000:], digest=digest, first=1000, whole=whole)

    assert last.json()["media_type"] == "application/pdf"
    assert head(volunteer, digest)["Upload-Complete"] == "?1"
    assert store.place_of(volunteer.group_id, digest).read_bytes() == PDF


def test_a_piece_sent_again_is_harmless_and_one_beyond_a_gap_says_where_to_go_on(volunteer):
    digest, whole = hash_of(PDF), len(PDF)
    for _ in range(2):
        put(volunteer, PDF[:1000], digest=digest, first=0, whole=whole)
    overlapping = put(volunteer, PDF[500:1500], digest=digest, first=500, whole=whole)
    assert overlapping["Upload-Offset"] == "1500"

    beyond = put(volunteer, PDF[2000:], digest=digest, first=2000, whole=whole)

    assert (beyond.status_code, beyond.json()["code"], beyond.json()["expected"]) == (409, "piece_missing", 1500)
    assert put(volunteer, PDF, digest=digest).json()["completed_at"]
    assert put(volunteer, PDF, digest=digest).status_code == 200, "the whole file again is harmless too"
    assert Attachment.objects.count() == 1


def test_a_wrong_hash_is_refused_and_nothing_is_kept(volunteer):
    digest = hash_of(PDF)
    put(volunteer, PDF[:1000], digest=digest, first=0, whole=len(PDF))

    answer = put(volunteer, b"x" * (len(PDF) - 1000), digest=digest, first=1000, whole=len(PDF))

    assert (answer.status_code, answer.json()["code"]) == (422, "hash_differs")
    assert not Attachment.objects.exists()
    assert not store.place_of(volunteer.group_id, digest).exists()
    assert put(volunteer, PDF).status_code == 200, "it can be sent anew"


def test_a_piece_that_was_written_but_never_counted_is_overwritten(volunteer):
    digest = hash_of(PDF)
    put(volunteer, PDF[:1000], digest=digest, first=0, whole=len(PDF))
    upload = Attachment.objects.get()
    store.append(store.part_of(upload.group_id, upload.id), 1000, b"the service stopped before this was counted")

    assert put(volunteer, PDF[1000:], digest=digest, first=1000, whole=len(PDF)).json()["completed_at"]


def test_a_part_that_was_lost_from_the_disk_begins_again(volunteer):
    digest = hash_of(PDF)
    put(volunteer, PDF[:1000], digest=digest, first=0, whole=len(PDF))
    upload = Attachment.objects.get()
    store.forget(store.part_of(upload.group_id, upload.id))

    answer = put(volunteer, PDF[1000:], digest=digest, first=1000, whole=len(PDF))

    assert (answer.status_code, answer.json()["expected"]) == (409, 0)
    assert put(volunteer, PDF).json()["completed_at"]


def test_a_file_that_was_lost_from_the_disk_is_not_there_until_it_is_handed_in_again(coordinator):
    put(coordinator, PDF)
    store.place_of(coordinator.group_id, hash_of(PDF)).unlink()

    assert get(coordinator, hash_of(PDF)).status_code == 404
    put(coordinator, PDF)
    assert body_of(get(coordinator, hash_of(PDF))) == PDF


def test_files_have_a_largest_size_and_the_edge_of_it_is_taken(coordinator, settings):
    settings.ATTACHMENT_MAX_BYTES = len(PDF)
    longer = PDF + b"."

    assert put(coordinator, PDF).status_code == 200
    for answer in (
        put(coordinator, longer),
        put(coordinator, longer[:9], digest=hash_of(longer), first=0, whole=10**9),
    ):
        assert (answer.status_code, answer.json()["code"]) == (413, "file_too_large")
    assert put(coordinator, b"").json()["code"] == "file_empty"


def test_a_file_may_be_larger_than_the_json_of_any_request(coordinator):
    body = PDF + bytes(3 << 20)

    assert put(coordinator, body).status_code == 200
    assert body_of(get(coordinator, hash_of(body))) == body


def test_a_group_has_a_quota_and_an_upload_begun_takes_its_room(cast, settings):
    settings.ATTACHMENT_QUOTA_BYTES = len(PDF) + len(PNG)
    put(cast.coordinator, PDF)
    put(cast.volunteer, JPEG[:10], digest=hash_of(JPEG), first=0, whole=len(PNG))

    answer = put(cast.coordinator, WEBP)

    assert (answer.status_code, answer.json()["code"]) == (409, "quota_full")
    assert put(cast.volunteer, PDF).status_code == 200, "a file that is there already takes no more room"
    assert put(cast.stranger, WEBP).status_code == 200, "another group has its own room"


def test_an_upload_broken_off_long_ago_gives_its_room_back(cast, settings):
    settings.ATTACHMENT_QUOTA_BYTES = len(PDF)
    old = take_piece(cast.volunteer.actor, hash_of(PDF), Piece(0, len(PDF), PDF[:1000]), "group", AT)
    Attachment.objects.update(last_piece_at=AT - timedelta(days=8))

    take_piece(cast.coordinator.actor, hash_of(PNG), Piece(0, len(PNG), PNG), "group", AT)

    assert not Attachment.objects.filter(id=old.id).exists()
    assert not store.part_of(old.group_id, old.id).exists()


@pytest.mark.parametrize(
    "said", ["bytes 0-9", "bytes */100", "bytes 5-2/100", "items 0-9/100", "bytes 0-8/100", "bytes 95-104/100", "0"]
)
def test_a_piece_that_does_not_say_where_it_belongs_is_refused(coordinator, said):
    address = at(coordinator, f"attachments/{hash_of(PDF)}?audience=group")

    answer = coordinator.client().generic(
        "PUT", address, PDF[:10], "application/octet-stream", headers={"Content-Range": said}
    )

    assert (answer.status_code, answer.json()["code"]) == (400, "piece_unreadable")
    assert not Attachment.objects.exists()


# -- for whom ------------------------------------------------------------------------------------------


def readers(cast, digest):
    who = ("coordinator", "volunteer", "other_volunteer", "reviewer", "stranger", "former")
    return {name for name in who if get(getattr(cast, name), digest).status_code == 200}


@pytest.mark.parametrize(
    ("audience", "who"),
    [
        ("group", {"coordinator", "volunteer", "other_volunteer", "reviewer"}),
        ("coordinators", {"coordinator"}),
        ("volunteer", {"coordinator", "volunteer"}),
    ],
)
def test_a_file_is_read_by_whom_it_is_for(cast, audience, who):
    audience = str(cast.volunteer.person.id) if audience == "volunteer" else audience
    put(cast.coordinator, PDF, audience=audience)

    assert readers(cast, hash_of(PDF)) == who


def test_who_may_not_read_it_is_answered_like_for_one_that_nobody_has(cast):
    put(cast.coordinator, PDF)
    unknown, malformed = hash_of(b"?"), "no-hash"

    answers = [get(cast.volunteer, digest) for digest in (hash_of(PDF), unknown, malformed, hash_of(PDF).upper())]
    answers += [get(cast.stranger, hash_of(PDF))]

    assert {(a.status_code, a.content) for a in answers} == {(404, answers[0].content)}
    assert head(cast.volunteer, hash_of(PDF)).status_code == head(cast.volunteer, unknown).status_code == 404


def test_naming_a_hash_or_handing_in_a_part_opens_nobody_elses_file(cast):
    put(cast.coordinator, PDF)

    put(cast.volunteer, PDF[:1000], digest=hash_of(PDF), first=0, whole=len(PDF), audience="group")

    assert head(cast.volunteer, hash_of(PDF))["Upload-Offset"] == "1000", "it tells only of the own upload"
    assert readers(cast, hash_of(PDF)) == {"coordinator"}


def test_the_same_bytes_for_two_audiences_are_one_file_on_the_disk(cast):
    put(cast.coordinator, PDF)
    put(cast.volunteer, PDF, audience=str(cast.volunteer.person.id))

    assert readers(cast, hash_of(PDF)) == {"coordinator", "volunteer"}
    folder = store.place_of(cast.group.id, hash_of(PDF)).parent
    assert len([path for path in folder.iterdir() if path.name == hash_of(PDF)]) == 1


def test_a_file_for_somebody_else_is_handed_in_by_a_coordinator_and_for_a_stranger_by_nobody(cast):
    theirs = str(cast.other_volunteer.person.id)

    assert put(cast.volunteer, PDF, audience=theirs).json()["code"] == "not_permitted"
    for audience in (str(cast.stranger.person.id), "everybody", "", hash_of(b"")):
        assert put(cast.coordinator, PDF, audience=audience).status_code in (400, 404), audience
    assert not Attachment.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_parallel_uploads_of_the_same_file_are_one(cast):
    pieces = [Piece(first, len(PDF), PDF[first : first + 1000]) for first in range(0, len(PDF), 1000)]

    def upload():
        for piece in pieces:
            take_piece(cast.volunteer.actor, hash_of(PDF), piece, "group", AT)

    told = in_threads([upload] * 4)

    assert told == [None] * 4

    upload = Attachment.objects.get()
    assert upload.is_complete
    assert store.place_of(cast.group.id, hash_of(PDF)).read_bytes() == PDF
