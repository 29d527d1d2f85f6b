"""RFC 9562, section 5.7 (UUID version 7), and its example in appendix A.6."""

import os
import time
from datetime import UTC, datetime
from uuid import RFC_4122, UUID

from stewardship.journal.ids import new_id, new_salts


def test_the_example_of_rfc_9562_appendix_a_6_comes_out(monkeypatch):
    # Unix time 0x017F22E279B0 ms (2022-02-22 14:22:22 -05:00), rand_a 0xCC3, rand_b 0b01 and 0x8C4DC0C0C07398F.
    noise = (0xFCC3 << 64 | 0xD8C4DC0C0C07398F).to_bytes(10, "big")
    monkeypatch.setattr(time, "time_ns", lambda: 0x017F22E279B0 * 1_000_000 + 999_999)
    monkeypatch.setattr(os, "urandom", lambda count: noise[:count])

    assert new_id() == UUID("017F22E2-79B0-7CC3-98C4-DC0C0C07398F")


def test_whatever_the_noise_is_version_and_variant_stand(monkeypatch):
    for noise in (b"\x00" * 10, b"\xff" * 10):
        monkeypatch.setattr(os, "urandom", lambda count, noise=noise: noise[:count])

        made = new_id()

        assert (made.version, made.variant) == (7, RFC_4122)


def test_an_id_tells_the_millisecond_it_was_made_in():
    before = time.time_ns() // 1_000_000

    made = new_id()

    after = time.time_ns() // 1_000_000
    assert before <= made.int >> 80 <= after
    assert datetime.fromtimestamp((made.int >> 80) / 1000, UTC).year >= 2024


def test_ten_thousand_ids_differ_and_sort_by_their_time():
    made = [new_id() for _ in range(10_000)]

    times = [id.int >> 80 for id in made]
    assert len(set(made)) == 10_000
    assert times == sorted(times)


def test_salts_are_128_bits_each_and_differ():
    salts = new_salts(500)

    assert len(set(salts)) == 500
    assert {len(bytes.fromhex(salt)) for salt in salts} == {16}
    assert new_salts(0) == []
