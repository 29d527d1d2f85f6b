"""What the demo's group bought, and what went in and out of it without being mixed."""

from stewardship.sync.demo.story import Story, Values, id_of, quantity, reference

NOT_SENT = ("key", "product", "by", "at", "received", "drawn", "what", "lot", "volume", "happened")


def tell_stock(story: Story, stock: Values) -> None:
    """Enter the lots when they were bought, and each movement when somebody told of it."""
    for lot in stock["lots"]:
        product, received = reference("product", lot["product"]), quantity(lot["received"])
        at = story.moment(lot["at"])
        story.says(lot["by"], at, "lot", lot["key"], product=product, received=received, **_more(lot))
    for moved in stock["movements"]:
        story.says(
            moved["by"], story.moment(moved["at"]), "stock_movement", moved["key"],
            what=moved["what"],
            lot=str(id_of("lot", moved["lot"])),
            volume=quantity(moved["volume"]),
            happened_at=story.moment(moved["happened"]),
            by=story.member(moved["by"]),
            **_more(moved),
        )  # fmt: skip


def lots_of(stock: Values, product: str, on: str) -> list[Values]:
    """Return the lot of this product that is drawn on at this date, as a part of a batch names it."""
    drawn = [lot for lot in stock["lots"] if lot["product"] == product and lot["drawn"][0] <= on <= lot["drawn"][1]]
    return [{"lot": str(id_of("lot", lot["key"]))} for lot in drawn]


def _more(values: Values) -> Values:
    return {name: value for name, value in values.items() if name not in NOT_SENT}
