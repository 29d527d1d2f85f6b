"""What may be sent about kinds of credentials and about credentials."""

from stewardship.credentials.fields.credentials import AmendCredential, NewCredential, ShowCredential
from stewardship.credentials.fields.credits import AmendCredit, NewCredit
from stewardship.credentials.fields.trainings import AmendTraining, NewTraining, SignTraining
from stewardship.credentials.fields.types import AmendCredentialType, NewCredentialType

__all__ = [
    "AmendCredential", "AmendCredentialType", "AmendCredit", "AmendTraining", "NewCredential", "NewCredentialType",
    "NewCredit", "NewTraining", "ShowCredential", "SignTraining",
]  # fmt: skip
