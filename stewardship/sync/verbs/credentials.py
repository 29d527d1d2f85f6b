"""Verbs of kinds of credentials, and of credentials."""

from stewardship.catalog.services import reinstating, retiring
from stewardship.credentials import fields
from stewardship.credentials.models import Credential, CredentialType
from stewardship.credentials.services import credentials, types
from stewardship.journal.fields import Target
from stewardship.sync.verbs.verb import Ahead, Verb, Verbs, enter_and_amend

MAY = "manage_credentials"
_ITS_TYPE = {"id": Ahead(Credential, "id", "type_id", CredentialType, lock=False)}

VERBS: Verbs = {
    **enter_and_amend(
        CredentialType,
        MAY,
        (fields.NewCredentialType, types.add_type),
        (fields.AmendCredentialType, types.amend_type),
    ),
    ("credential_type", "retire"): Verb(CredentialType, Target, retiring(CredentialType), MAY),
    ("credential_type", "reinstate"): Verb(CredentialType, Target, reinstating(CredentialType), MAY),
    ("credential", "create"): Verb(Credential, fields.NewCredential, credentials.add_credential, MAY),
    ("credential", "amend"): Verb(
        Credential, fields.AmendCredential, credentials.amend_credential, MAY, reason=True, ahead=_ITS_TYPE
    ),
    ("credential", "void"): Verb(Credential, Target, credentials.void_credential, MAY, reason=True),
    ("credential", "reinstate"): Verb(Credential, Target, credentials.reinstate_credential, MAY, reason=True),
}
