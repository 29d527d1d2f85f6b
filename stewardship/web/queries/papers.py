"""Trainings, credits and files of evidence, as their pages show them."""

from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

from django.http import Http404

from stewardship.accounts.models import Member
from stewardship.attachments.queries import readable
from stewardship.credentials.credits import Ledger, reckoned
from stewardship.credentials.models import Credential, CredentialType, Credit, Training
from stewardship.rules.figures import exact_text
from stewardship.web.access import Here

Shown = dict[str, Any]


def credential_of(here: Here, credential_id: UUID) -> Credential:
    """Return a credential that the person may see; any other does not exist here."""
    seen = Credential.objects.select_related("holder", "type").filter(Credential.visible_to(here.actor))
    found = seen.filter(group_id=here.group.id, id=credential_id).first()
    if found is None:
        raise Http404
    return found


def training_of(here: Here, training_id: UUID) -> Training:
    """Return a training that the person may see; any other does not exist here."""
    found = _trainings(here).filter(id=training_id).first()
    if found is None:
        raise Http404
    return found


def _trainings(here: Here) -> Any:
    seen = Training.objects.select_related("trainee", "trainer", "type").filter(Training.visible_to(here.actor))
    return seen.filter(group_id=here.group.id, voided_at=None)


def trainings_of(here: Here, member: Member | None = None) -> list[Training]:
    """Return the trainings of a member, or of everybody, the latest first."""
    found = _trainings(here)
    return list((found.filter(trainee=member) if member else found).order_by("-on_date", "trainee__display_name", "id"))


def files_of(here: Here, named: Iterable[Mapping[str, str]]) -> list[Shown]:
    """Return the files that a record names, each with whether the person can open it or it waits for its upload."""
    named = list(named)
    there = readable(here.actor, [each["sha256"] for each in named]) if named else {}
    return [{**each, "is_here": each["sha256"] in there} for each in named]


def credentials_held(here: Here) -> list[Credential]:
    """Return the person's own credentials, the one that ends last first."""
    own = Credential.objects.filter(group_id=here.group.id, holder=here.member, voided_at=None)
    return list(own.select_related("type").order_by("covers", "-expires_on", "id"))


def ledgers_of(here: Here) -> list[Shown]:
    """Return what the person's credits come to, for each kind that they hold or have credits for; three statements."""
    held = [each for each in credentials_held(here) if each.type_id]
    own = Credit.objects.filter(group_id=here.group.id, member=here.member, voided_at=None)
    credits = list(own.order_by("on_date", "id"))
    ids = {each.type_id for each in [*held, *credits]}
    kinds = CredentialType.objects.filter(group_id=here.group.id, id__in=ids).order_by("name", "id")
    found = []
    for kind in kinds:
        of_kind = [each for each in credits if each.type_id == kind.id]
        if kind.credits or of_kind:
            mine = [each for each in held if each.type_id == kind.id]
            found.append(_shown(reckoned(kind, mine, of_kind, here.today), of_kind))
    return found


def _shown(found: Ledger, credits: list[Credit]) -> Shown:
    names = {each["code"]: each["name"] for each in found.type.categories}
    lines = [
        {
            "category": f"{line.category} {names.get(line.category, '')}".strip() or "core",
            "wanted": exact_text(line.wanted),
            "earned": exact_text(line.earned),
            "counted": exact_text(line.counted),
            "beyond": [(mode.replace("_", " "), exact_text(over)) for mode, over in line.beyond_caps.items()],
            "lacking": exact_text(line.lacking) if found.cycle and line.lacking else "",
        }
        for line in found.lines
    ]
    lacking = found.lacking
    return {
        "type": found.type, "cycle": found.cycle, "unclear": found.unclear, "lines": lines, "credits": credits,
        "lacking": exact_text(lacking) if lacking else "",
    }  # fmt: skip
