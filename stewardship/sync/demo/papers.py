"""The papers of the demo's people: a kind of licence with credits, courses, trainings and their signatures."""

from stewardship.sync.demo.story import Story, Values, id_of, reference

LED = ("key", "by", "at")
"""What stands beside the fields: the key, who said it and when."""


def tell_papers(story: Story, papers: Values) -> None:
    """Enter kinds of credentials, credits and trainings; who was trained signs by phone where a time is given."""
    for kind in papers["credential_types"]:
        _says(story, "credential_type", kind, {})
    for credit in papers["credits"]:
        named = {"member": story.member(credit["member"]), "type": str(id_of("credential_type", credit["type"]))}
        _says(story, "credit", credit, named)
    for training in papers["trainings"]:
        _tell_training(story, training)


def _says(story: Story, type: str, told: Values, named: Values) -> None:
    kept = {name: value for name, value in told.items() if name not in LED}
    story.says(told["by"], story.moment(told["at"]), type, told["key"], **kept | named)


def _tell_training(story: Story, training: Values) -> None:
    """Enter a training of each person."""
    kept = {name: value for name, value in training.items() if name not in ("trainees", "sign")}
    kept |= {
        "type": reference("credential_type", training["type"]),
        "products": [reference("product", key) for key in training["products"]],
        "properties": [str(id_of("property", key)) for key in training["properties"]],
    }
    if trainer := training.get("trainer"):
        kept["trainer"] = story.member(trainer)
    for person in training["trainees"]:
        key = f"{training['key']}/{person}"
        _says(story, "training", kept | {"key": key}, {"trainee": story.member(person)})
        if "sign" in training:
            story.does(person, story.moment(training["sign"]), "training", "sign", key)
