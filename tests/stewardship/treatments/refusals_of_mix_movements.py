"""How the refusals about what became of a mix come about."""

from stewardship.rules.mixes.compositions import ContentsUnknown
from stewardship.rules.shares import AmountNotPositive
from stewardship.treatments.services import mix_movements, stock, top_ups
from tests.doors import Case, last_act
from tests.ground import fl_oz, lay_out
from tests.stewardship.treatments.records import tank_mix


def moved(cast, scene):
    """Let a movement be of what ``scene`` returns for the ground: what, ounces, lot, and beside them values."""
    ground = lay_out(cast.coordinator)
    what, ounces, values = scene(ground)
    return last_act(lambda: ground.moves(what, values.pop("lot", None), ounces, **values))


def a_mix_is_counted(cast):
    return moved(cast, lambda ground: ("count", "5", {"batch": str(ground.batch())}))


def a_mix_is_disposed_of_from_a_lot(cast):
    return moved(cast, lambda ground: ("disposal", "5", {"batch": str(ground.batch()), "lot": ground.lot()}))


def nothing_of_a_mix_is_spilled(cast):
    return moved(cast, lambda ground: ("spill", "0", {"batch": str(ground.batch())}))


def a_diluted_mix_goes_back(cast):
    return moved(cast, lambda ground: ("return", "5", {"batch": str(ground.batch()), "lot": ground.lot()}))


def it_goes_back_into_a_lot_of_another_product(cast):
    def scene(ground):
        part = {"product": tank_mix(ground)["parts"][1]["product"], "volume": fl_oz("10")}
        batch = ground.batch(carrier="none", mix=fl_oz("10"), parts=[part])
        return "return", "5", {"batch": str(batch), "lot": ground.lot()}

    return moved(cast, scene)


def a_found_bottle_goes_back(cast):
    return moved(cast, lambda g: ("return", "5", {"leftover": str(g.leftover(None, "5")), "lot": g.lot()}))


def a_leftover_of_another_batch_is_disposed_of(cast):
    def scene(ground):
        return "disposal", "5", {"batch": str(ground.batch()), "leftover": str(ground.leftover(ground.batch(), "5"))}

    return moved(cast, scene)


CASES = [
    Case(mix_movements.NotOfAMix, a_mix_is_counted),
    Case(mix_movements.NotOfAMix, a_mix_is_disposed_of_from_a_lot),
    Case(mix_movements.ReturnDiluted, a_diluted_mix_goes_back),
    Case(stock.LotOfOtherProduct, it_goes_back_into_a_lot_of_another_product),
    Case(AmountNotPositive, nothing_of_a_mix_is_spilled),
    Case(ContentsUnknown, a_found_bottle_goes_back),
    Case(top_ups.LeftoverOfAnotherBatch, a_leftover_of_another_batch_is_disposed_of),
]
