"""How the refusals about numbered bottles come about."""

from stewardship.treatments.services import containers, sharing
from tests.doors import Case, last_act
from tests.ground import fl_oz, lay_out
from tests.stewardship.treatments.bottles import came_back, line, shared, taken_out, used


def more_comes_back_than_went_out(cast):
    ground = lay_out(cast.coordinator)
    bottle = taken_out(ground, ground.batch()).id
    return last_act(lambda: came_back(ground, bottle, "16.1"))


def a_bottle_of_20_filled_with_16_comes_back_full(cast):
    ground = lay_out(cast.coordinator)
    bottle = taken_out(ground, ground.batch(), capacity=fl_oz("20")).id
    return last_act(lambda: came_back(ground, bottle, {"tap": "full"}))


def a_bottle_comes_back_before_it_went_out(cast):
    ground = lay_out(cast.coordinator)
    bottle = taken_out(ground, ground.batch()).id
    return last_act(lambda: came_back(ground, bottle, "6", back_at="2027-05-01T09:39:00-05:00"))


def a_bottle_comes_back_twice_with_two_figures(cast):
    ground = lay_out(cast.coordinator)
    bottle = used(ground, ground.batch())
    return last_act(lambda: came_back(ground, bottle, "5"))


def a_bottle_that_is_out_is_split(cast):
    ground = lay_out(cast.coordinator)
    session, bottle = ground.session(), taken_out(ground, ground.batch()).id
    return last_act(lambda: shared(ground, bottle, session, line(ground)))


def what_came_back_is_corrected_before_anything_did(cast):
    bottle = taken_out(ground := lay_out(cast.coordinator), ground.batch()).id
    return last_act(lambda: cast.coordinator.does("container", "amend", id=bottle, back=fl_oz("6"), reason="misread"))


def a_bottle_is_split_twice(cast):
    ground = lay_out(cast.coordinator)
    session, bottle = ground.session(), used(ground, ground.batch())
    shared(ground, bottle, session, line(ground))
    return last_act(lambda: shared(ground, bottle, session, line(ground)))


def a_line_says_more_than_its_bottle_gave(cast):
    ground = lay_out(cast.coordinator)
    session, batch = ground.session(), ground.batch()
    bottle = used(ground, batch)
    return last_act(lambda: ground.line(session, batch, "10.1", container=bottle))


def a_line_says_more_than_its_bottle_that_is_out_was_filled_with(cast):
    ground = lay_out(cast.coordinator)
    session, batch = ground.session(), ground.batch()
    bottle = taken_out(ground, batch).id
    return last_act(lambda: ground.line(session, batch, "16.1", container=bottle))


def a_line_is_corrected_to_more_than_its_bottle_gave(cast):
    ground = lay_out(cast.coordinator)
    session, batch = ground.session(), ground.batch()
    drawn = ground.line(session, batch, "10", container=used(ground, batch))
    return last_act(
        lambda: cast.coordinator.does("application", "amend", id=drawn.id, mix=fl_oz("10.1"), reason="misread")
    )


def the_filling_of_a_bottle_in_lines_is_corrected(cast):
    ground = lay_out(cast.coordinator)
    bottle = used(ground, ground.batch())
    shared(ground, bottle, ground.session(), line(ground))
    return last_act(
        lambda: cast.coordinator.does("container", "amend", id=bottle, filled=fl_oz("12"), reason="misread")
    )


def a_bottle_in_lines_is_voided(cast):
    ground = lay_out(cast.coordinator)
    bottle = used(ground, ground.batch())
    shared(ground, bottle, ground.session(), line(ground))
    return last_act(lambda: cast.coordinator.does("container", "void", id=bottle, reason="typed twice"))


def a_line_names_a_bottle_of_another_batch(cast):
    ground = lay_out(cast.coordinator)
    session, bottle, other = ground.session(), used(ground, ground.batch()), ground.batch()
    return last_act(lambda: ground.line(session, other, "5", container=bottle))


def one_line_has_a_share_and_one_only_stems(cast):
    ground = lay_out(cast.coordinator)
    session, bottle = ground.session(), used(ground, ground.batch())
    lines = [line(ground, share="2", stems=5), line(ground, stems=3)]
    return last_act(lambda: shared(ground, bottle, session, *lines))


def two_lines_have_nothing_to_split_by(cast):
    ground = lay_out(cast.coordinator)
    session, bottle = ground.session(), used(ground, ground.batch())
    return last_act(lambda: shared(ground, bottle, session, line(ground, stems=5), line(ground)))


def a_bottle_that_came_back_full_is_split(cast):
    ground = lay_out(cast.coordinator)
    session, bottle = ground.session(), used(ground, ground.batch(), back="16")
    return last_act(lambda: shared(ground, bottle, session, line(ground)))


def a_share_is_too_small_for_a_nanolitre(cast):
    ground = lay_out(cast.coordinator)
    session, bottle = ground.session(), used(ground, ground.batch())
    lines = [line(ground, share="100000"), line(ground, share="0.00000000001")]
    return last_act(lambda: shared(ground, bottle, session, *lines))


CASES = [
    Case(containers.MoreCameBack, more_comes_back_than_went_out),
    Case(containers.MoreCameBack, a_bottle_of_20_filled_with_16_comes_back_full),
    Case(containers.BackBeforeOut, a_bottle_comes_back_before_it_went_out),
    Case(containers.ContainerBack, a_bottle_comes_back_twice_with_two_figures),
    Case(containers.ContainerNotBack, a_bottle_that_is_out_is_split),
    Case(containers.ContainerNotBack, what_came_back_is_corrected_before_anything_did),
    Case(containers.ContainerShared, a_bottle_is_split_twice),
    Case(containers.ContainerShared, a_line_says_more_than_its_bottle_gave),
    Case(containers.ContainerShared, a_line_says_more_than_its_bottle_that_is_out_was_filled_with),
    Case(containers.ContainerShared, a_line_is_corrected_to_more_than_its_bottle_gave),
    Case(containers.ContainerInUse, the_filling_of_a_bottle_in_lines_is_corrected),
    Case(containers.ContainerInUse, a_bottle_in_lines_is_voided),
    Case(containers.OtherBatch, a_line_names_a_bottle_of_another_batch),
    Case(sharing.SharesMixed, one_line_has_a_share_and_one_only_stems),
    Case(sharing.SharesMixed, two_lines_have_nothing_to_split_by),
    Case(sharing.LineOfNothing, a_share_is_too_small_for_a_nanolitre),
    Case(sharing.NothingUsed, a_bottle_that_came_back_full_is_split),
]
