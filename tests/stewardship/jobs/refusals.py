"""Why no mutation meets the refusals about jobs: they are told of a job's run, not of what somebody sent."""

from stewardship.jobs import services

CASES = []
NOT_BY_A_VERB = {
    services.UnknownKind: "a worker meets it",
    services.WorkerLost: "the next tick meets it",
    services.InternalError: "a worker meets it",
}
