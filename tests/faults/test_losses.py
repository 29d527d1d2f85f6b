"""Of ten answers three get lost and of ten requests three come twice: nothing is lost, nothing done twice."""

import resource
import time
from random import Random

import pytest

from tests.cast import with_device
from tests.client.transport import InProcess
from tests.faults.acts import lay_scene
from tests.faults.checks import findings
from tests.faults.crew import Heard, Phone, outcomes, tell
from tests.simulation.network import LOSSY, Network

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("mutations", "phones", "most"), [(200, 2, 20), pytest.param(100_000, 4, 200, marks=pytest.mark.heavy)]
)
def test_what_is_sent_through_a_lossy_network_is_done_once(coordinator, mutations, phones, most):
    """Invariants I4 and I5: pushes of one and more, of what is made, corrected, voided and put back."""
    began, random = time.monotonic(), Random(mutations)
    scene, network = lay_scene(coordinator), Network(InProcess(), random, faults=LOSSY)
    people = [with_device(coordinator.member, f"phone {number}") for number in range(phones)]
    crew = [Phone(who, Heard(network), Random(number), pause_s=0) for number, who in enumerate(people)]
    for phone in crew:
        phone.begin(*scene)
    while sum(len(phone.heard.acknowledged) for phone in crew) < mutations:
        random.choice(crew).hand_in(1, most)
    for phone in crew:
        phone.finish()
        phone.catch_up()

    found = findings(crew)
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss >> 10
    tell(crew, network=network.seen, seconds=round(time.monotonic() - began), peak_mb=peak_mb)
    assert found == []
    assert {"applied", "held"} <= outcomes(crew).keys()
    assert set(network.seen) == set(LOSSY)
