"""Trainings of helpers that end: who was trained, and who trains, are reminded."""

from collections.abc import Iterator
from datetime import timedelta
from uuid import UUID

from stewardship.credentials.models import Training
from stewardship.notices.rounds import Ending, Round

ANEW = "To help with herbicide after that, you need a new training: ask a coordinator."
UNSIGNED = "A newer one is on record and counts once you have signed it: under My account."


def trainings_that_end(round: Round) -> Iterator[Ending]:
    """Give every training with a last day; one statement."""
    found = Training.objects.filter(group_id=round.group.id, voided_at=None).order_by("id")
    alike: dict[tuple[UUID, UUID], list[Training]] = {}
    for training in found:
        alike.setdefault((training.trainee_id, training.type_id), []).append(training)
    for trainings in alike.values():
        for training in trainings:
            if training.last_on:
                after = max(training.last_on + timedelta(days=1), round.today)
                newer = [each for each in trainings if each.id != training.id and each.runs_on(after)]
                yield Ending(
                    key=f"training.{training.id}",
                    member_id=training.trainee_id,
                    last_on=training.last_on,
                    name=f"training “{training.title}”",
                    what_to_do=UNSIGNED if newer else ANEW,
                    is_renewed=any(each.signed_at for each in newer),
                    path="/",
                    coordinators_path=f"/people/{training.trainee_id}/",
                )
