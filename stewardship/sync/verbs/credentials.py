"""Verbs of kinds of credentials, and of credentials."""

from stewardship.catalog.services import reinstating, retiring
from stewardship.credentials import fields
from stewardship.credentials.models import Credential, CredentialType, Credit, Training
from stewardship.credentials.services import credentials, credits, trainings, types
from stewardship.journal.fields import Target
from stewardship.sync.verbs.verb import Ahead, Verb, Verbs, enter_and_amend

MAY = "manage_credentials"
_ITS_TYPE = {"id": Ahead(Credential, "id", "type_id", CredentialType, lock=False)}
_RULE_OF_TRAINING = {"id": Ahead(Training, "id", "type_id", CredentialType, lock=False)}
_RULE_OF_CREDIT = {"id": Ahead(Credit, "id", "type_id", CredentialType, lock=False)}

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
    ("credential", "show"): Verb(Credential, fields.ShowCredential, credentials.show_credential, "hand_in_files"),
    ("credential", "void"): Verb(Credential, Target, credentials.void_credential, MAY, reason=True),
    ("credential", "reinstate"): Verb(Credential, Target, credentials.reinstate_credential, MAY, reason=True),
    ("training", "create"): Verb(Training, fields.NewTraining, trainings.add_training, MAY),
    ("training", "amend"): Verb(
        Training, fields.AmendTraining, trainings.amend_training, MAY, reason=True, ahead=_RULE_OF_TRAINING
    ),
    ("training", "sign"): Verb(Training, fields.SignTraining, trainings.sign_training, "record_work"),
    ("training", "void"): Verb(Training, Target, trainings.void_training, MAY, reason=True),
    ("training", "reinstate"): Verb(Training, Target, trainings.reinstate_training, MAY, reason=True),
    ("credit", "create"): Verb(Credit, fields.NewCredit, credits.add_credit, MAY),
    ("credit", "amend"): Verb(
        Credit, fields.AmendCredit, credits.amend_credit, MAY, reason=True, ahead=_RULE_OF_CREDIT
    ),
    ("credit", "void"): Verb(Credit, Target, credits.void_credit, MAY, reason=True),
    ("credit", "reinstate"): Verb(Credit, Target, credits.reinstate_credit, MAY, reason=True),
}
