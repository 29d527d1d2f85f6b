"""What land work lacks before the law or the landowner: the same for plans, which are refused, and facts, marked."""

from typing import NamedTuple


class Lack(NamedTuple):
    """One thing that is missing: a code, a sentence that names nobody, who says so, the path of what it is about."""

    code: str
    detail: str
    source: str = ""
    about: str = ""
