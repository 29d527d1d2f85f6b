"""What the board's reviewer may do with a token: read what is reported, change nothing that was recorded."""

from tests.api.asking import get, post
from tests.api.scene import Scene
from tests.database import everything


def test_a_boards_token_records_no_session_and_reads_the_season_report(cast):
    scene = Scene(cast.coordinator)
    report, fields = scene.id("season_report"), scene.fields("session", "create")
    get(cast.reviewer, "members")  # from here on the device was seen lately
    before = everything()

    refused = post(cast.reviewer, "sessions", fields)

    assert (refused.status_code, refused.json()["code"]) == (403, "not_permitted")
    assert everything() == before
    assert get(cast.reviewer, f"season-reports/{report}").status_code == 200
