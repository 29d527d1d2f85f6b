"""New ids and salts: the only place that asks the machine for randomness or, for an id, its clock."""

import os
import time
from uuid import UUID


def new_id() -> UUID:
    """Return a UUIDv7 (RFC 9562, section 5.7): 48 bits of Unix time [ms], the rest random."""
    value = int.from_bytes(os.urandom(10), "big") | (time.time_ns() // 1_000_000) << 80
    value = value & ~(0xF << 76) | 0x7 << 76
    return UUID(int=value & ~(0x3 << 62) | 0x2 << 62)


def new_salts(count: int) -> list[str]:
    """Return ``count`` random salts of 128 bits, in hexadecimal."""
    noise = os.urandom(16 * count).hex()
    return [noise[i : i + 32] for i in range(0, 32 * count, 32)]
