"""What credentials are for, as it is sent."""

from typing import Annotated, Literal

from msgspec import Meta

CoversName = Literal["herbicide_application", "saw", "first_aid", "burning", "training"]
Authority = Annotated[str, Meta(max_length=200)]
GraceDays = Annotated[int, Meta(ge=0, le=3660)]
Code = Annotated[str, Meta(min_length=1, max_length=40, pattern=r"\S")]
"""The code of a category, as the authority writes it, such as 1D."""
