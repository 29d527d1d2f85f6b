"""What a person enters tells what they saw: the values in the copy, or what they entered themselves since."""

import pytest

from tests.client.scripted import device, page, put, waiting


def test_a_correction_tells_what_its_author_saw():
    phone, _, _ = device(page(put("a", 3, name="Fen", note="wet")))
    phone.pull()

    phone.amend("a", {"name": "Bog"}, "misnamed")

    (entry,) = phone.store.outbox()
    assert (entry.said["base_rev"], entry.said["base"]) == (3, {"name": "Fen"})


def test_a_second_correction_tells_what_the_first_one_made_of_it():
    phone, _, _ = device(page(put("a", 3, name="Fen", note="wet")))
    phone.pull()
    phone.amend("a", {"name": "Bog"}, "misnamed")

    phone.amend("a", {"name": "Mire", "note": "dry"}, "misnamed again")

    entry = phone.store.outbox()[-1]
    assert (entry.said["base_rev"], entry.said["base"]) == (3, {"name": "Bog", "note": "wet"})


def test_what_was_never_sent_is_corrected_by_what_was_entered():
    phone, _, _ = device()
    id = phone.create("property", {"name": "Fen"})

    phone.amend(id, {"name": "Bog"}, "misnamed")

    entry = phone.store.outbox()[-1]
    assert (entry.said["type"], entry.said["base_rev"], entry.said["base"]) == ("property", 1, {"name": "Fen"})


def test_what_nobody_here_has_seen_is_not_corrected():
    phone, _, _ = device()

    with pytest.raises(KeyError):
        phone.amend("a", {"name": "Bog"}, "misnamed")

    assert waiting(phone) == []
