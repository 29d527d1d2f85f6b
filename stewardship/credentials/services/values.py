"""What was sent about credentials, as the columns that keep it."""

from typing import Any

import msgspec

from stewardship.journal.fields import Closed, columns


def told_values(wish: Closed) -> dict[str, Any]:
    """Return the column values of what was sent; lists and nested values as JSON."""
    return {name: msgspec.to_builtins(value, enc_hook=str) if isinstance(value, list | Closed) else value
            for name, value in columns(wish).items()}  # fmt: skip
