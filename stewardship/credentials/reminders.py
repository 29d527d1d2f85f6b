"""Trainings of helpers that end: who was trained, and who trains, are reminded."""

from collections.abc import Iterator
from datetime import timedelta
from uuid import UUID

from stewardship.credentials.models import Training
from stewardship.notices.rounds import Ending, Round


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
                yield Ending(
                    key=f"training.{training.id}",
                    member_id=training.trainee_id,
                    last_on=training.last_on,
                    name=f"training “{training.title}”",
                    what_to_do="After that you help with herbicide again once you are trained anew: ask a coordinator.",
                    is_renewed=any(other.runs_on(after) for other in trainings if other.id != training.id),
                    path="/",
                    coordinators_path=f"/people/{training.trainee_id}/",
                )
