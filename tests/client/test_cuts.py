"""A page of a pull that breaks off after any number of bytes moves no cursor past a row that was not taken in.

Invariant I3, on the side of the device.
"""

import gzip

import pytest

from tests.client.pages import read_page
from tests.client.scripted import device, lines, page, put
from tests.client.transport import Answer, NoAnswer

PUTS = [put("a", 1, 1, name="Fen"), put("b", 1, 2, name="Bög \u2028 {"), put("a", 2, 3, name="Mire")]
WHOLE = lines(*PUTS, cursor="next")


@pytest.mark.parametrize("is_packed", [False, True], ids=["plain", "gzip"])
def test_a_page_cut_at_any_byte_is_no_page(is_packed):
    """Invariant I3: neither rows nor cursor of it are taken, and whole it is taken afterwards."""
    body = gzip.compress(WHOLE, mtime=0) if is_packed else WHOLE
    headers = {"content-encoding": "gzip"} if is_packed else {}
    phone, service, _ = device(page(put("a", 1, 1), cursor="here"))
    phone.pull()
    before = phone.store.records()

    for cut in range(len(body)):
        service.script = [Answer(200, headers, body[:cut])]
        phone.wait_until = 0
        assert phone.pull() is False
        assert (phone.store["cursor"], phone.store["staged_cursor"], phone.store.records()) == ("here", None, before)

    service.script = [Answer(200, headers, body)]
    phone.wait_until = 0
    assert phone.pull() is True
    assert phone.store["cursor"] == "next"
    assert {id: rev for id, (_, rev, _) in phone.store.records().items()} == {"a": 2, "b": 1}


@pytest.mark.parametrize("is_packed", [False, True], ids=["plain", "gzip"])
def test_a_page_cut_at_any_byte_and_asked_for_again_goes_on_after_the_page_before(is_packed):
    """Invariant I3: of two pages the second is cut; the device asks for it again from where the first one ended."""
    body = gzip.compress(WHOLE, mtime=0) if is_packed else WHOLE
    headers = {"content-encoding": "gzip"} if is_packed else {}
    first = lines(PUTS[0], cursor="1", more=True)
    for cut in range(len(body)):
        answers = [Answer(200, {}, first), Answer(200, headers, body[:cut]), Answer(200, headers, body)]
        phone, service, _ = device(*answers)
        phone.pull()
        assert (phone.store["cursor"], phone.store["staged_cursor"], phone.store.records()) == (None, "1", {})
        phone.wait_until = 0

        phone.pull()

        assert [body["cursor"] for body in service.calls("pull")] == [None, "1", "1"]
        assert phone.store["cursor"] == "next"
        assert sorted(phone.store.records()) == ["a", "b"]


@pytest.mark.parametrize("body", [
    WHOLE + WHOLE, WHOLE.replace(b'"k": "put"', b'"k": "pot"', 1), WHOLE[len(WHOLE.splitlines()[0]) + 1 :],
    b"\n".join(WHOLE.splitlines()[::-1]) + b"\n", WHOLE.replace(b'"cursor"', b'"curses"'), b"[]\n[]\n", b"{}\n",
    b"1\n2\n",
])  # fmt: skip
def test_lines_in_another_order_or_of_another_kind_are_no_page(body):
    with pytest.raises(NoAnswer):
        read_page(body)
