"""What may be sent about kinds of credentials and about credentials."""

from stewardship.credentials.fields.credentials import AmendCredential, NewCredential
from stewardship.credentials.fields.types import AmendCredentialType, NewCredentialType

__all__ = ["AmendCredential", "AmendCredentialType", "NewCredential", "NewCredentialType"]
