"""What the demo has planned beyond its days: tasks that were approved, and days that come back."""

from stewardship.sync.demo.story import Story, Values, id_of, reference


def tell_plans(story: Story, plans: Values) -> None:
    """Enter the approved tasks and the series, each as its files say it."""
    for task in plans["approved_tasks"]:
        _tell(story, "approved_task", task, _places(task))
    for series in plans["series"]:
        plan = series["plan"] | _places(series["plan"] | {"property": series["property"]})
        del plan["property"]
        _tell(story, "work_day_series", series, {"property": _property(series), "plan": plan})


def _tell(story: Story, type: str, told: Values, values: Values) -> None:
    kept = {name: value for name, value in told.items() if name not in ("key", "by", "at")}
    story.says(told["by"], story.moment(told["at"]), type, told["key"], **kept | values)


def _places(told: Values) -> Values:
    units = [str(id_of("unit", f"{told['property']}/{unit}")) for unit in told.get("units", ())]
    species = [reference("species", key) for key in told.get("species", ())]
    return {"property": _property(told), "units": units, "species": species}


def _property(told: Values) -> str:
    return str(id_of("property", told["property"]))
