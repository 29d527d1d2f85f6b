"""Verbs of credentials."""

from stewardship.credentials import fields, services
from stewardship.credentials.models import Credential
from stewardship.journal.fields import Target
from stewardship.sync.verbs.verb import Verb, Verbs

MAY = "manage_credentials"

VERBS: Verbs = {
    ("credential", "create"): Verb(Credential, fields.NewCredential, services.add_credential, MAY),
    ("credential", "amend"): Verb(Credential, fields.AmendCredential, services.amend_credential, MAY, reason=True),
    ("credential", "void"): Verb(Credential, Target, services.void_credential, MAY, reason=True),
    ("credential", "reinstate"): Verb(Credential, Target, services.reinstate_credential, MAY, reason=True),
}
