"""Kind of credential, and the credential that somebody holds."""

from stewardship.credentials.models.covers import Covers
from stewardship.credentials.models.credentials import Credential
from stewardship.credentials.models.credits import Credit, Mode
from stewardship.credentials.models.trainings import Training
from stewardship.credentials.models.types import CredentialType

__all__ = ["Covers", "Credential", "CredentialType", "Credit", "Mode", "Training"]
