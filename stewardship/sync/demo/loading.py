"""The demo is loaded: its group founded, its people's mutations played in the order of time."""

from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import UUID

from stewardship.accounts.capabilities import Actor
from stewardship.accounts.joining import verify
from stewardship.accounts.models import Group, Member, Person
from stewardship.accounts.queries import actor_of
from stewardship.accounts.services.groups import found_group
from stewardship.sync.demo import DEMO_ACCOUNTS, DEMO_PASSWORD
from stewardship.sync.demo.beginnings import tell_credentials, tell_people, tell_permissions, tell_places, tell_seasons
from stewardship.sync.demo.days import tell_day
from stewardship.sync.demo.keeping import tell_ages, tell_sheets
from stewardship.sync.demo.papers import tell_papers
from stewardship.sync.demo.plans import tell_plans
from stewardship.sync.demo.stock import tell_stock
from stewardship.sync.demo.story import FOLDER, GROUP_ID, Event, Story, Values, id_of, read
from stewardship.sync.models import Mutation
from stewardship.sync.playing import play
from stewardship.sync.reference import load_reference


class DemoNotTaken(Exception):
    """A mutation of the demo did not end as its files say."""


@dataclass(frozen=True)
class Loaded:
    """What became of the demo: mutations by outcome, played now; how many had been played before."""

    outcomes: dict[str, int]
    known: int


def load_demo() -> Loaded:
    """Load the demo, or what is missing of it. Raises DemoNotTaken."""
    scenario = read("scenario.json")
    story = Story(scenario["group"]["time_zone"], scenario["people"], _found(scenario))
    load_reference(GROUP_ID, at=story.moment(scenario["group"]["founded"]))
    tell(story, scenario)
    outcomes, known = _play(story, {each["key"]: each["code"] for each in scenario["held"]})
    _let_in()
    return Loaded(dict(outcomes), known)


def tell(story: Story, scenario: Values) -> None:
    """Tell the whole story from the files."""
    founder, founded = scenario["people"][0]["key"], scenario["group"]["founded"]
    features = read("places.geojson")["features"]
    tell_people(story, scenario["people"])
    kept = read("keeping.json")
    tell_ages(story, scenario["people"], kept, founded)
    tell_places(story, features, founder, founded)
    tell_sheets(story, kept, founder, founded)
    tell_papers(story, read("papers.json"))
    tell_permissions(story, scenario["permissions"])
    tell_credentials(story, scenario["credentials"])
    stock = read("stock.json")
    tell_stock(story, stock)
    for path in sorted(Path(FOLDER / "days").glob("*.json")):
        for day in read(f"days/{path.name}"):
            tell_day(story, day, stock)
    tell_plans(story, read("plans.json"))
    places = [each["properties"]["key"] for each in features if each["properties"]["type"] == "property"]
    tell_seasons(story, scenario["seasons"], places)


def _found(scenario: Values) -> dict[str, UUID]:
    """Found the group unless it stands; return the member's id of each person's key."""
    told, founder = scenario["group"], scenario["people"][0]
    if not Group.objects.filter(id=GROUP_ID).exists():
        person = Person.objects.filter(email=founder["email"]).first()
        person = person or Person.objects.create_user(email=founder["email"])
        at = Story(told["time_zone"], [], {}).moment(told["founded"])
        found_group(
            founder=person, display_name=founder["name"], name=told["name"], time_zone=told["time_zone"], at=at,
            group_id=GROUP_ID,
        )  # fmt: skip
    first = Member.objects.get(group_id=GROUP_ID, person__email=founder["email"])
    return {person["key"]: id_of("member", person["key"]) for person in scenario["people"]} | {founder["key"]: first.id}


def _play(story: Story, held: dict[str, str]) -> tuple[Counter[str], int]:
    known = set(Mutation.objects.filter(group_id=GROUP_ID).values_list("mid", flat=True))
    outcomes: Counter[str] = Counter()
    actors: dict[str, Actor] = {}
    for events in story.pushes():
        fresh = [event for event in events if event.sent.mid not in known]
        if not fresh:
            continue
        by = fresh[0].by
        actors[by] = actors.get(by) or actor_of(Member.objects.get(id=story.member_ids[by]))
        results = play([event.sent for event in fresh], actor=actors[by], at=fresh[0].at)
        for event, result in zip(fresh, results, strict=True):
            _check(event, result, held)
            outcomes[result["outcome"]] += 1
    return outcomes, len(story.events) - outcomes.total()


def _check(event: Event, result: dict[str, Any], held: dict[str, str]) -> None:
    """Refuse an outcome that the files do not say: every mutation is applied but those that are to be held."""
    wanted = ("held", held[event.key]) if event.key in held else ("applied", None)
    if (result["outcome"], result.get("code")) != wanted:
        sent = event.sent
        raise DemoNotTaken(f"{event.at:%Y-%m-%d %H:%M} {event.by}: {sent.type} {sent.op} {event.key}: {result}")


def _let_in() -> None:
    """Give the demo's accounts their password, once: who changes it keeps the new one."""
    for person in Person.objects.filter(email__in=DEMO_ACCOUNTS):
        if not person.has_usable_password():
            person.set_password(DEMO_PASSWORD)
            person.save(update_fields=["password"])
            verify(person, person.email or "")  # invented, as its owner is
