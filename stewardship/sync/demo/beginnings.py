"""What stands before the first day of the demo: people, places, credentials and seasons; and the reports asked for."""

from stewardship.sync.demo.story import Story, Values, id_of, reference


def tell_people(story: Story, people: list[Values]) -> None:
    """Let the founder, who is the first of them, take the others into the group."""
    founder, *others = people
    for person in others:
        told = {"display_name": person["name"], "role": person["role"], "email": person.get("email")}
        story.says(founder["key"], story.moment(person["joined"]), "member", person["key"], **told)


def tell_credentials(story: Story, credentials: list[Values]) -> None:
    """Enter the credentials; a card that came later is entered when it came."""
    for card in credentials:
        values = {name: value for name, value in card.items() if name not in ("key", "by", "at", "holder", "arrived")}
        if "type" in values:
            values["type"] = str(id_of("credential_type", values["type"]))
        by, at = card["by"], story.moment(card["at"])
        story.says(by, at, "credential", card["key"], holder=story.member(card["holder"]), **values)
        if arrived := card.get("arrived"):
            told = {"received_on": arrived["on"], "reason": arrived["reason"]}
            story.does(by, story.moment(arrived["at"]), "credential", "amend", card["key"], **told)


def tell_places(story: Story, features: list[Values], by: str, at: str) -> None:
    """Enter properties and their units with their boundaries; a property stands before its units."""
    for feature in features:
        said = feature["properties"]
        told = {"name": said["name"], "note": said.get("note"), "boundary": feature["geometry"]}
        if said["type"] == "unit":
            place = said["key"].partition("/")[0]
            story.says(by, story.moment(at), "unit", said["key"], **told, property=str(id_of("property", place)))
        else:
            story.says(by, story.moment(at), "property", said["key"], **told, address=said["address"])


def tell_permissions(story: Story, papers: list[Values]) -> None:
    """Enter permissions, permits and registrations, each for the property or product that it names by its key."""
    for paper in papers:
        told = {name: value for name, value in paper.items() if name not in ("key", "by", "at", "type")}
        if "property" in told:
            told["property"] = str(id_of("property", told["property"]))
        if "product" in told:
            told["product"] = reference("product", told["product"])
        story.says(paper["by"], story.moment(paper["at"]), paper["type"], paper["key"], **told)


def tell_seasons(story: Story, seasons: list[Values], properties: list[str]) -> None:
    """Lay out the seasons, and ask for the report of each property when a season is over."""
    for season in seasons:
        dates = {"first_on": season["first_on"], "last_on": season["last_on"]}
        by, at = season["laid_out"]
        story.says(by, story.moment(at), "season", season["key"], name=season["name"], **dates)
        by, at = season["asked_for"]
        for place in properties:
            wanted = {"property": str(id_of("property", place)), "season": str(id_of("season", season["key"]))}
            story.says(by, story.moment(at), "season_report", f"{place}/{season['key']}", **wanted)
