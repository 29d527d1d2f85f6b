"""What the demo's group keeps beside the work: how old people are, a guardian's consent, emergency sheets, signs."""

from datetime import datetime

from stewardship.sync.demo.story import Story, Values, id_of, reference

CONSENT = "guardian-consent"


def tell_ages(story: Story, people: list[Values], kept: Values, founded: str) -> None:
    """Tell of each person who joins whether they are 18 or over, and let the guardians of the others sign."""
    founder = people[0]["key"]
    story.says(founder, story.moment(founded), "consent_text", CONSENT, **kept["consent_text"])
    for person in people:
        key, joined = person["key"], person.get("joined", founded)
        age = {"under_18": True} if person.get("youth") else {"adult_from": joined[:10]}
        told = {"member": story.member(key)}
        story.says(founder, story.moment(joined), "personal_details", key, **told, **age)
        if guardian := kept["guardians"].get(key):
            told |= {"text": str(id_of("consent_text", CONSENT)), "given_on": joined[:10], "how": "signed_sheet"}
            story.says(founder, story.moment(joined), "consent", key, **told, **guardian)
        for number, contact in enumerate(kept["contacts"].get(key, ()), start=1):
            mine = {"member": story.member(key), "place": number} | contact
            story.says(founder, story.moment(joined), "emergency_contact", f"{key}/{number}", **mine)


def tell_sheets(story: Story, kept: Values, by: str, at: str) -> None:
    """Write the emergency sheet of each property."""
    for place, sheet in kept["emergency_sheets"].items():
        story.says(by, story.moment(at), "emergency_sheet", place, property=str(id_of("property", place)), **sheet)


def tell_kept(story: Story, day: Values, ended: datetime) -> None:
    """Tell that nothing went wrong, and on a day with more to tell: the briefing, its signatures, weather and signs."""
    leader, key = day["leader"], day["key"]
    story.does(leader, ended, "work_day", "answer", key, had_incident=False)
    if "briefing" in day:
        _tell_briefing(story, day, ended)
    for number, sign in enumerate(day.get("signs", ()), start=1):
        _tell_sign(story, day, sign, f"{key}/{number}", ended)


def _tell_briefing(story: Story, day: Values, ended: datetime) -> None:
    said, leader, key = day["briefing"], day["leader"], day["key"]
    held_at = story.moment(said["at"], day["on"])
    story.says(
        leader, ended, "briefing", key,
        work_day=str(id_of("work_day", key)), held_at=held_at, led_by=story.member(leader), words=said["words"],
        topics=[reference("practice", topic) for topic in said["topics"]], emergency_plan_read=True,
    )  # fmt: skip
    for who, in_text, *_ in day["came"]:
        signed = {"briefing": str(id_of("briefing", key)), "member": story.member(who)}
        at = max(held_at, story.moment(in_text, day["on"]))
        story.says(
            leader, ended, "briefing_signature", f"{key}/{who}", signed_at=at, sheet="Clipboard of the day", **signed
        )


def _tell_sign(story: Story, day: Values, sign: Values, key: str, ended: datetime) -> None:
    story.says(
        day["leader"], ended, "posting", key,
        property=str(id_of("property", day["property"])),
        work_day=str(id_of("work_day", day["key"])),
        text=sign["text"],
        put_up_at=story.moment(sign["up"], day["on"]),
        put_up_by=story.member(sign["by"]),
        due_down_at=story.moment(sign["due"]),
    )  # fmt: skip
    if down := sign.get("down"):
        story.does(sign["by"], story.moment(down), "posting", "take_down", key, taken_down_at=story.moment(down))
