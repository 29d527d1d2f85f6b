"""How the refusals about work days come about."""

from stewardship.errors import AlreadyVoided, ReasonMissing
from stewardship.workdays.reasons import DayNotApproved
from stewardship.workdays.services import (
    approved_tasks,
    attendances,
    briefings,
    emergency_sheets,
    incidents,
    planning,
    postings,
    postponing,
    series,
    sign_ups,
    work_days,
)
from stewardship.workdays.states import DayWasAttended
from tests.doors import Case, last_act
from tests.planning import Plan, at, task

OUT = {"out_at": at("12:00"), "how_known": "measured"}


def opened(cast, **values):
    plan = Plan(cast.coordinator, **values)
    plan.does("open")
    return plan


def attended(cast, **values):
    plan = opened(cast)
    return plan, plan.comes(cast.volunteer, **values)


def who_left_before_they_came(cast):
    plan = opened(cast)
    return last_act(lambda: plan.comes(cast.volunteer, "13:00", **OUT))


def who_is_there_comes_again(cast):
    plan, _ = attended(cast)
    return last_act(lambda: plan.comes(cast.volunteer, "9:30"))


def who_left_leaves_at_another_time(cast):
    _, came = attended(cast, **OUT)
    values = OUT | {"out_at": at("12:15")}
    return last_act(lambda: cast.volunteer.does("attendance", "check_out", id=came.id, **values))


def who_was_there_comes_for_part_of_it_again(cast):
    plan, _ = attended(cast, **OUT)
    return last_act(lambda: plan.comes(cast.volunteer, "11:00", out_at=at("13:00"), how_known="measured"))


def how_a_time_is_known_is_taken_away(cast):
    _, came = attended(cast, **OUT)
    return last_act(lambda: cast.volunteer.does("attendance", "amend", id=came.id, reason="x", how_known=None))


def an_attendance_is_corrected_without_a_reason(cast):
    _, came = attended(cast)
    return last_act(lambda: cast.volunteer.does("attendance", "amend", id=came.id, in_at=at("9:15")))


def a_voided_attendance_is_ended(cast):
    _, came = attended(cast)
    cast.volunteer.does("attendance", "void", id=came.id, reason="wrong day")
    return last_act(lambda: cast.volunteer.does("attendance", "check_out", id=came.id, **OUT))


def a_duty_of_another_day_is_taken(cast):
    plan, elsewhere = opened(cast), Plan(cast.coordinator).duty("cutter")
    return last_act(lambda: plan.takes(cast.volunteer, elsewhere))


def a_dropped_duty_is_taken(cast):
    plan = opened(cast)
    duty = plan.duty("cutter")
    cast.coordinator.does("duty", "amend", id=duty, wanted=0)
    return last_act(lambda: plan.takes(cast.volunteer, duty))


def a_duty_is_taken_after_sign_up_closed(cast):
    plan = opened(cast)
    duty = plan.duty("cutter")
    plan.does("amend", sign_up_closes_at=at("9:00", "2027-05-01"))
    return last_act(lambda: plan.takes(cast.volunteer, duty))


def the_weather_is_decided_on_after_the_day_began(cast):
    return planned_anew(cast, weather_decision_at=at("9:01"))


def sign_up_closes_after_the_day(cast):
    return planned_anew(cast, sign_up_closes_at=at("12:31"))


def a_task_of_another_property_is_planned(cast):
    theirs = task(cast.coordinator, Plan(cast.coordinator))
    return planned_anew(cast, task=str(theirs))


def a_day_without_a_task_is_opened_where_the_group_wants_one(cast):
    cast.coordinator.does("group", "amend", id=cast.group.id, wants_approved_tasks=True)
    plan = Plan(cast.coordinator)
    return last_act(lambda: plan.does("open"))


def a_task_is_approved_by_nobody(cast):
    plan = Plan(cast.coordinator)
    return last_act(lambda: task(cast.coordinator, plan, approved_by=""))


def a_task_ends_before_it_begins(cast):
    plan = Plan(cast.coordinator)
    return last_act(lambda: task(cast.coordinator, plan, from_on="2027-06-01", to_on="2027-05-31"))


def a_second_duty_of_the_day_is_taken(cast):
    plan = opened(cast)
    plan.takes(cast.volunteer, plan.duty("cutter"))
    second = plan.duty("hauler")
    return last_act(lambda: plan.takes(cast.volunteer, second))


def who_left_the_group_is_signed_up(cast):
    plan = opened(cast)
    told = {"work_day": plan.id, "duty": plan.duty("cutter"), "member": cast.former.member.id}
    return last_act(lambda: cast.coordinator.does("sign_up", "create", **told))


def a_day_starts_on_another_date(cast):
    values = {"starts_at": at("9:00", "2027-07-02"), "ends_at": at("12:00", "2027-07-02")}
    return planned_anew(cast, **values)


def a_day_ends_before_it_starts(cast):
    return planned_anew(cast, starts_at=at("12:30"), ends_at=at("9:00"))


def a_day_ends_two_days_later(cast):
    return planned_anew(cast, ends_at=at("0:00", "2027-07-03"))


def planned_anew(cast, **values):
    plan = Plan(cast.coordinator)
    return last_act(lambda: plan.does("amend", **values))


def a_unit_of_another_property_is_planned_for(cast):
    plan = Plan(cast.coordinator)
    other = cast.coordinator.does("property", "create", name="Otter Marsh").record.id
    unit = cast.coordinator.does("unit", "create", property=other, name="East").record.id
    return last_act(lambda: plan.does("amend", units=[str(unit)]))


def a_day_is_stopped_before_anybody_came(cast):
    plan = Plan(cast.coordinator).staffed(cast.volunteer)
    plan.does("confirm")
    plan.comes(cast.volunteer)
    return last_act(lambda: plan.does("stop", stopped_at=at("8:59"), reason="rain"))


def an_attended_day_is_cancelled(cast):
    plan, _ = attended(cast)
    return last_act(lambda: plan.does("cancel", reason="storm"))


def a_series_ends_before_it_begins(cast):
    plan = Plan(cast.coordinator)
    told = {"title": "Saturdays", "rule": "FREQ=WEEKLY", "first_on": "2027-06-05", "starts": "09:00", "minutes": 60}
    made = cast.coordinator.does("work_day_series", "create", property=plan.property, **told).record
    ends = {"last_on": "2027-06-04", "reason": "x"}
    return last_act(lambda: cast.coordinator.does("work_day_series", "end", id=made.id, **ends))


def an_attended_day_is_postponed(cast):
    plan, _ = attended(cast)
    return last_act(lambda: plan.does("postpone", on_date="2027-07-08", reason="storm"))


def a_day_is_postponed_to_its_own_date(cast):
    plan = opened(cast)
    return last_act(lambda: plan.does("postpone", on_date="2027-07-01", reason="storm"))


def a_day_is_postponed_into_the_past(cast):
    plan = opened(cast)
    return last_act(lambda: plan.does("postpone", on_date="2027-04-30", reason="storm"))


def an_open_day_is_postponed_beyond_the_season_of_its_task(cast):
    plan = Plan(cast.coordinator)
    plan.does("amend", task=str(task(cast.coordinator, plan)))
    plan.does("open")
    return last_act(lambda: plan.does("postpone", on_date="2027-11-01", reason="storm"))


def a_day_that_nobody_came_to_is_finished(cast):
    plan = opened(cast)
    return last_act(lambda: plan.does("finish"))


def briefed(cast, someone=None, **values):
    plan = opened(cast)
    told = {"work_day": plan.id, "held_at": at("9:05")} | values
    return plan, (someone or cast.coordinator).does("briefing", "create", **told).record.id


def a_topic_is_none(cast):
    told = {"what": "emergency_number", "title": "Poison centre", "value": "555 0100", "source": "A card in the shed"}
    number = cast.coordinator.does("practice", "create", **told).record.id
    plan = opened(cast)
    values = {"work_day": plan.id, "held_at": at("9:05"), "topics": [str(number)]}
    return last_act(lambda: cast.volunteer.does("briefing", "create", **values))


def a_briefing_is_signed_twice(cast):
    _, briefing = briefed(cast)
    cast.volunteer.does("briefing_signature", "create", briefing=briefing, signed_at=at("9:10"))
    return last_act(
        lambda: cast.volunteer.does("briefing_signature", "create", briefing=briefing, signed_at=at("9:20"))
    )


def a_briefing_is_signed_before_it_was_held(cast):
    _, briefing = briefed(cast)
    return last_act(
        lambda: cast.volunteer.does("briefing_signature", "create", briefing=briefing, signed_at=at("9:00"))
    )


def a_property_gets_a_second_emergency_sheet(cast):
    told = {"property": Plan(cast.coordinator).property, "address": "14 Fen Road", "hospital": "County Hospital"}
    cast.coordinator.does("emergency_sheet", "create", **told)
    return last_act(lambda: cast.coordinator.does("emergency_sheet", "create", **told))


def sign(cast, plan, **values):
    told = {"property": plan.property, "work_day": plan.id, "text": "Keep off", "put_up_at": at("9:00")}
    return cast.volunteer.does("posting", "create", **told | values).record.id


def a_sign_of_a_day_stands_on_another_property(cast):
    plan, elsewhere = opened(cast), opened(cast)
    return last_act(lambda: sign(cast, plan, property=elsewhere.property))


def a_sign_comes_down_before_it_went_up(cast):
    id = sign(cast, opened(cast))
    return last_act(lambda: cast.volunteer.does("posting", "take_down", id=id, taken_down_at=at("8:00")))


def a_sign_comes_down_twice(cast):
    id = sign(cast, opened(cast))
    cast.volunteer.does("posting", "take_down", id=id, taken_down_at=at("12:00"))
    return last_act(lambda: cast.volunteer.does("posting", "take_down", id=id, taken_down_at=at("13:00")))


def incident(cast, plan, **values):
    told = {"property": plan.property, "work_day": plan.id, "what": "spill", "happened_at": at("10:00")}
    return cast.volunteer.does("incident", "create", **told | {"words": "A cup tipped over."} | values).record.id


def somebody_is_told_before_it_happened(cast):
    id = incident(cast, opened(cast))
    values = {"whom": "the county", "told_at": at("9:00"), "how": "by telephone"}
    return last_act(lambda: cast.volunteer.does("incident", "notify", id=id, **values))


def an_incident_is_answered_twice(cast):
    id, values = incident(cast, opened(cast)), {"answered_at": at("12:00"), "answer": "dug out"}
    cast.coordinator.does("incident", "answer", id=id, **values)
    return last_act(lambda: cast.coordinator.does("incident", "answer", id=id, **values))


def nothing_went_wrong_where_something_is_told(cast):
    plan = opened(cast)
    incident(cast, plan)
    return last_act(lambda: plan.answers(had_incident=False))


def a_volunteer_makes_himself_the_leader(cast):
    plan = opened(cast)
    lead = plan.duty("leader")
    return last_act(lambda: plan.takes(cast.volunteer, lead))


CASES = [
    Case(sign_ups.LeaderIsNamed, a_volunteer_makes_himself_the_leader),
    Case(briefings.NotATopic, a_topic_is_none),
    Case(briefings.SignedAlready, a_briefing_is_signed_twice),
    Case(briefings.SignedBeforeBriefing, a_briefing_is_signed_before_it_was_held),
    Case(emergency_sheets.SheetKnown, a_property_gets_a_second_emergency_sheet),
    Case(postings.DayElsewhere, a_sign_of_a_day_stands_on_another_property),
    Case(postings.DownBeforeUp, a_sign_comes_down_before_it_went_up),
    Case(postings.DownAlready, a_sign_comes_down_twice),
    Case(incidents.BeforeItHappened, somebody_is_told_before_it_happened),
    Case(incidents.AnsweredAlready, an_incident_is_answered_twice),
    Case(incidents.IncidentIsTold, nothing_went_wrong_where_something_is_told),
    Case(attendances.OutBeforeIn, who_left_before_they_came),
    Case(attendances.AlreadyIn, who_is_there_comes_again),
    Case(attendances.AlreadyOut, who_left_leaves_at_another_time),
    Case(attendances.AttendanceOverlaps, who_was_there_comes_for_part_of_it_again),
    Case(attendances.HowKnownMissing, how_a_time_is_known_is_taken_away),
    Case(ReasonMissing, an_attendance_is_corrected_without_a_reason),
    Case(AlreadyVoided, a_voided_attendance_is_ended),
    Case(sign_ups.DutyElsewhere, a_duty_of_another_day_is_taken),
    Case(sign_ups.DutyDropped, a_dropped_duty_is_taken),
    Case(sign_ups.SignUpClosed, a_duty_is_taken_after_sign_up_closed),
    Case(sign_ups.AlreadySignedUp, a_second_duty_of_the_day_is_taken),
    Case(sign_ups.MemberLeft, who_left_the_group_is_signed_up),
    Case(planning.DateMismatch, a_day_starts_on_another_date),
    Case(planning.EndsBeforeBegin, a_day_ends_before_it_starts),
    Case(planning.WorkDayTooLong, a_day_ends_two_days_later),
    Case(planning.DecisionTooLate, the_weather_is_decided_on_after_the_day_began),
    Case(planning.SignUpClosesTooLate, sign_up_closes_after_the_day),
    Case(planning.TaskElsewhere, a_task_of_another_property_is_planned),
    Case(DayNotApproved, a_day_without_a_task_is_opened_where_the_group_wants_one),
    Case(approved_tasks.ApproverMissing, a_task_is_approved_by_nobody),
    Case(approved_tasks.TaskEndsBeforeItBegins, a_task_ends_before_it_begins),
    Case(planning.UnitElsewhere, a_unit_of_another_property_is_planned_for),
    Case(work_days.StoppedBeforeBegun, a_day_is_stopped_before_anybody_came),
    Case(DayWasAttended, an_attended_day_is_cancelled),
    Case(DayWasAttended, an_attended_day_is_postponed),
    Case(series.SeriesEndsBeforeItBegins, a_series_ends_before_it_begins),
    Case(postponing.NotPostponed, a_day_is_postponed_to_its_own_date),
    Case(postponing.PostponedIntoThePast, a_day_is_postponed_into_the_past),
    Case(DayNotApproved, an_open_day_is_postponed_beyond_the_season_of_its_task),
    Case(work_days.NobodyCame, a_day_that_nobody_came_to_is_finished),
]
