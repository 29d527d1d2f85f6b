"""How the refusals about lots and stock movements come about."""

from stewardship.errors import NotPermitted
from stewardship.rules.shares import AmountNotPositive
from stewardship.treatments.services import lot_draws, lots, movements, stock
from tests.doors import Case, last_act
from tests.ground import fl_oz, lay_out, lb
from tests.stewardship.treatments.records import tank_mix

WHY = {"reason": "typed twice"}


def other_product(ground):
    return tank_mix(ground)["parts"][1]["product"]


def a_cost_is_given_without_its_currency(cast):
    ground = lay_out(cast.coordinator)
    return last_act(lambda: ground.lot(cost_cents=12_550))


def a_cost_is_taken_out_and_its_currency_left(cast):
    lot = lay_out(cast.coordinator).lot(cost_cents=12_550, currency="USD")
    return last_act(lambda: cast.coordinator.does("lot", "amend", id=lot, cost_cents=None, **WHY))


def a_lot_expired_before_it_was_bought(cast):
    ground = lay_out(cast.coordinator)
    return last_act(lambda: ground.lot(purchased_on="2027-03-01", expires_on="2026-12-31"))


def a_lot_with_movements_is_voided(cast):
    ground = lay_out(cast.coordinator)
    lot = ground.lot()
    ground.moves("receipt", lot, "64")
    return last_act(lambda: cast.coordinator.does("lot", "void", id=lot, **WHY))


def something_is_spilled_from_a_voided_lot(cast):
    ground = lay_out(cast.coordinator)
    lot = ground.lot()
    cast.coordinator.does("lot", "void", id=lot, **WHY)
    return last_act(lambda: ground.moves("spill", lot, "3"))


def a_lot_is_corrected_to_less_than_was_taken_out(cast):
    ground = lay_out(cast.coordinator)
    lot = ground.lot()
    ground.moves("spill", lot, "100")
    half = {"value": "0.5", "unit": "gal"}
    return last_act(lambda: cast.coordinator.does("lot", "amend", id=lot, received=half, **WHY))


def a_receipt_is_voided_though_it_was_taken_out(cast):
    ground = lay_out(cast.coordinator)
    lot = ground.lot()
    receipt = ground.moves("receipt", lot, "128")
    ground.moves("disposal", lot, "200")
    return last_act(lambda: cast.coordinator.does("stock_movement", "void", id=receipt.id, **WHY))


def a_count_differs_and_nobody_says_why(cast):
    ground = lay_out(cast.coordinator)
    lot = ground.lot()
    return last_act(lambda: ground.moves("count", lot, "125"))


def product_goes_to_the_lot_that_it_comes_from(cast):
    ground = lay_out(cast.coordinator)
    lot = ground.lot()
    return last_act(lambda: ground.moves("transfer", lot, "16", to_lot=lot))


def product_goes_to_a_lot_of_another_product(cast):
    ground = lay_out(cast.coordinator)
    lot, other = ground.lot(), ground.lot(product=other_product(ground))
    return last_act(lambda: ground.moves("transfer", lot, "16", to_lot=other))


def a_spill_goes_to_another_lot(cast):
    ground = lay_out(cast.coordinator)
    lot, other = ground.lot(), ground.lot()
    return last_act(lambda: ground.moves("spill", lot, "16", to_lot=other))


def nothing_is_received(cast):
    ground = lay_out(cast.coordinator)
    lot = ground.lot()
    return last_act(lambda: ground.moves("receipt", lot, "0"))


def flagged_count(ground):
    lot = ground.lot()
    ground.moves("spill", lot, "130", incident="A leak; soaked up.")
    return movements.StockMovement.objects.get(cause__lot=lot).id


def a_count_that_nobody_made_is_voided(cast):
    count = flagged_count(lay_out(cast.coordinator))
    return last_act(lambda: cast.coordinator.does("stock_movement", "void", id=count, **WHY))


def a_count_that_nobody_made_is_reinstated(cast):
    ground = lay_out(cast.coordinator)
    count = movements.StockMovement.objects.get(id=flagged_count(ground))
    cast.coordinator.does("stock_movement", "void", id=count.cause_id, **WHY)
    return last_act(lambda: cast.coordinator.does("stock_movement", "reinstate", id=count.id, **WHY))


def a_volunteer_counts_the_stock(cast):
    ground = lay_out(cast.coordinator)
    lot = ground.lot()
    return last_act(lambda: ground.moves("count", lot, "128", cast.volunteer))


def a_batch_is_drawn_from_a_lot_of_another_product(cast):
    ground = lay_out(cast.coordinator)
    lot = ground.lot(product=other_product(ground))
    return last_act(lambda: ground.draws(lot))


def a_batch_is_drawn_from_a_voided_lot(cast):
    ground = lay_out(cast.coordinator)
    lot = ground.lot()
    cast.coordinator.does("lot", "void", id=lot, **WHY)
    return last_act(lambda: ground.draws(lot))


def a_batch_is_put_back_whose_lot_was_voided(cast):
    ground = lay_out(cast.coordinator)
    lot = ground.lot()
    batch = ground.draws(lot)
    cast.coordinator.does("batch", "void", id=batch, **WHY)
    cast.coordinator.does("lot", "void", id=lot, **WHY)
    return last_act(lambda: cast.coordinator.does("batch", "reinstate", id=batch, reason="it was real"))


def a_lot_that_a_batch_drew_on_is_voided(cast):
    ground = lay_out(cast.coordinator)
    lot = ground.lot()
    ground.draws(lot)
    return last_act(lambda: cast.coordinator.does("lot", "void", id=lot, **WHY))


def two_lots_are_named_and_one_does_not_say_how_much(cast):
    ground = lay_out(cast.coordinator)
    lots = ground.lot(), ground.lot()
    return last_act(lambda: ground.draws((lots[0], "10"), lots[1]))


def a_lot_stands_twice_in_a_part(cast):
    ground = lay_out(cast.coordinator)
    lot = ground.lot()
    return last_act(lambda: ground.draws((lot, "10"), (lot, "2.8")))


def a_powder_is_bought_by_volume(cast):
    ground = lay_out(cast.coordinator)
    powder = ground.powder()
    return last_act(lambda: ground.lot(product=powder))


def a_liquid_is_bought_by_weight(cast):
    ground = lay_out(cast.coordinator)
    return last_act(lambda: ground.lot(received_mass=lb("5")))


def five_pounds(ground):
    return ground.lot(product=ground.powder(), received_mass=lb("5"))


def a_lot_of_powder_is_corrected_by_volume(cast):
    lot = five_pounds(lay_out(cast.coordinator))
    return last_act(lambda: cast.coordinator.does("lot", "amend", id=lot, received=fl_oz("5"), **WHY))


def a_lot_of_a_liquid_is_corrected_by_weight(cast):
    lot = lay_out(cast.coordinator).lot()
    return last_act(lambda: cast.coordinator.does("lot", "amend", id=lot, received_mass=lb("5"), **WHY))


def a_powder_is_spilled_by_volume(cast):
    ground = lay_out(cast.coordinator)
    lot = five_pounds(ground)
    return last_act(lambda: ground.moves("spill", lot, "3"))


def a_liquid_is_counted_by_weight(cast):
    ground = lay_out(cast.coordinator)
    lot = ground.lot()
    return last_act(lambda: ground.moves("count", lot, mass=lb("8")))


def none_of_a_powder_is_disposed_of(cast):
    ground = lay_out(cast.coordinator)
    lot = five_pounds(ground)
    return last_act(lambda: ground.moves("disposal", lot, mass=lb("0")))


def a_powder_is_drawn_from_its_lot_by_volume(cast):
    ground = lay_out(cast.coordinator)
    powder = ground.powder()
    lot = ground.lot(product=powder, received_mass=lb("5"))
    part = {"product": str(powder), "mass": lb("1"), "lots": [{"lot": str(lot), "volume": fl_oz("1")}]}
    return last_act(lambda: ground.batch(carrier="water", parts=[part]))


def packets_are_drawn_from_a_lot_and_nobody_says_their_weight(cast):
    ground = lay_out(cast.coordinator)
    powder = ground.powder()
    lot = ground.lot(product=powder, received_mass=lb("5"))
    part = {"product": str(powder), "pieces": 2, "lots": [{"lot": str(lot)}]}
    return last_act(lambda: ground.batch(carrier="water", parts=[part]))


def a_liquid_is_drawn_from_its_lot_by_weight(cast):
    ground = lay_out(cast.coordinator)
    lots = [{"lot": str(ground.lot()), "mass": lb("1")}]
    part = {"product": str(ground.product), "volume": fl_oz("12.8"), "lots": lots}
    return last_act(lambda: ground.batch(parts=[part]))


CASES = [
    Case(stock.ProductIsDry, a_powder_is_bought_by_volume),
    Case(stock.ProductIsLiquid, a_liquid_is_bought_by_weight),
    Case(stock.ProductIsDry, a_lot_of_powder_is_corrected_by_volume),
    Case(stock.ProductIsLiquid, a_lot_of_a_liquid_is_corrected_by_weight),
    Case(stock.ProductIsDry, a_powder_is_spilled_by_volume),
    Case(stock.ProductIsLiquid, a_liquid_is_counted_by_weight),
    Case(AmountNotPositive, none_of_a_powder_is_disposed_of),
    Case(stock.ProductIsDry, a_powder_is_drawn_from_its_lot_by_volume),
    Case(stock.ProductIsLiquid, a_liquid_is_drawn_from_its_lot_by_weight),
    Case(lot_draws.LotVolumeMissing, packets_are_drawn_from_a_lot_and_nobody_says_their_weight),
    Case(stock.LotOfOtherProduct, a_batch_is_drawn_from_a_lot_of_another_product),
    Case(stock.LotVoided, a_batch_is_drawn_from_a_voided_lot),
    Case(stock.LotVoided, a_batch_is_put_back_whose_lot_was_voided),
    Case(lots.LotInUse, a_lot_that_a_batch_drew_on_is_voided),
    Case(lot_draws.LotVolumeMissing, two_lots_are_named_and_one_does_not_say_how_much),
    Case(lot_draws.LotTwice, a_lot_stands_twice_in_a_part),
    Case(lots.CostWithoutCurrency, a_cost_is_given_without_its_currency),
    Case(lots.CostWithoutCurrency, a_cost_is_taken_out_and_its_currency_left),
    Case(lots.ExpiredWhenBought, a_lot_expired_before_it_was_bought),
    Case(lots.LotInUse, a_lot_with_movements_is_voided),
    Case(stock.LotVoided, something_is_spilled_from_a_voided_lot),
    Case(stock.LotWouldBeOverdrawn, a_lot_is_corrected_to_less_than_was_taken_out),
    Case(stock.LotWouldBeOverdrawn, a_receipt_is_voided_though_it_was_taken_out),
    Case(movements.CountNeedsReason, a_count_differs_and_nobody_says_why),
    Case(movements.LotToItself, product_goes_to_the_lot_that_it_comes_from),
    Case(stock.LotOfOtherProduct, product_goes_to_a_lot_of_another_product),
    Case(movements.NotTransferred, a_spill_goes_to_another_lot),
    Case(AmountNotPositive, nothing_is_received),
    Case(movements.CountNotMade, a_count_that_nobody_made_is_voided),
    Case(movements.CountNotMade, a_count_that_nobody_made_is_reinstated),
    Case(NotPermitted, a_volunteer_counts_the_stock),
]
