"""Verbs of work days, duties, sign-ups and attendance."""

from stewardship.accounts.models import Consent, ConsentText, PersonalDetails
from stewardship.catalog.models import Species
from stewardship.credentials.models import Credential
from stewardship.journal.fields import Target
from stewardship.places.models import Unit
from stewardship.sync.verbs.verb import Ahead, Verb, Verbs, enter_and_amend
from stewardship.treatments.models import PlannedMix
from stewardship.treatments.services import planned_mixes
from stewardship.treatments.services.limits import LOOKED_AT
from stewardship.workdays import fields, land
from stewardship.workdays.approval import tasks_of_days
from stewardship.workdays.models import ApprovedTask, Attendance, Duty, Practice, SignUp, WorkDay, WorkDaySeries
from stewardship.workdays.readiness import LOOKED_AT as READY
from stewardship.workdays.readiness import OF_PEOPLE
from stewardship.workdays.services import approved_tasks, attendances, duties, series, sign_ups, work_days
from stewardship.workdays.services.series_days import duties_of_series, properties_of_series, sign_ups_of_series

PLAN, SIGN_UP, RECORD = "manage_work_days", "sign_up", "record_work"
DAY = {"work_day_id": WorkDay}
SIGN_UPS, DUTIES, ATTENDANCES = ((model, "work_day_id") for model in (SignUp, Duty, Attendance))
ITS_PLANS = (PlannedMix, "work_day_id")
CREDENTIALS = (Credential, "holder_id")
DETAILS, CONSENTS = (PersonalDetails, "member_id"), (Consent, "member_id")
LED = {".work_day_id": (SIGN_UPS, DUTIES)}
"""For what a leader of the day may do."""
OF_A_SERIES = {"id": (WorkDay, "series_id")}
SERIES = (properties_of_series, duties_of_series, sign_ups_of_series, *READY)

VERBS: Verbs = {
    **enter_and_amend(
        ApprovedTask,
        PLAN,
        (fields.NewApprovedTask, approved_tasks.add_approved_task),
        (fields.AmendApprovedTask, approved_tasks.amend_approved_task),
    ),
    ("approved_task", "withdraw"): Verb(ApprovedTask, Target, approved_tasks.withdraw_approved_task, PLAN, reason=True),
    ("approved_task", "reinstate"): Verb(ApprovedTask, Target, approved_tasks.reinstate_approved_task, PLAN),
    ("work_day_series", "create"): Verb(
        WorkDaySeries, fields.NewWorkDaySeries, series.add_series, PLAN, surveys=(tasks_of_days,)
    ),
    ("work_day_series", "amend"): Verb(
        WorkDaySeries, fields.AmendWorkDaySeries, series.amend_series, PLAN, gathers=OF_A_SERIES, surveys=SERIES
    ),
    ("work_day_series", "extend"): Verb(
        WorkDaySeries, Target, series.extend_series, PLAN, gathers=OF_A_SERIES, surveys=SERIES
    ),
    ("work_day_series", "end"): Verb(
        WorkDaySeries,
        fields.EndWorkDaySeries,
        series.end_series,
        PLAN,
        reason=True,
        gathers=OF_A_SERIES,
        surveys=SERIES,
    ),
    ("work_day", "create"): Verb(WorkDay, fields.NewWorkDay, work_days.add_work_day, PLAN),
    ("work_day", "amend"): Verb(
        WorkDay,
        fields.AmendWorkDay,
        work_days.amend_work_day,
        PLAN,
        gathers={"id": SIGN_UPS},
        lists={"id": DUTIES},
        surveys=READY,
        whole=land.LOOKED_AT,
    ),
    ("work_day", "open"): Verb(WorkDay, Target, work_days.open_work_day, PLAN, surveys=(tasks_of_days,)),
    ("work_day", "confirm"): Verb(
        WorkDay,
        Target,
        planned_mixes.confirm_work_day,
        PLAN,
        lists={"id": (SIGN_UPS, DUTIES, ITS_PLANS)},
        ahead={
            "id": (
                Ahead(PlannedMix, "work_day_id", "unit_id", Unit),
                Ahead(PlannedMix, "work_day_id", "species_id", Species, lock=False),
            )
        },
        whole=LOOKED_AT,
        surveys=READY,
    ),
    ("work_day", "stop"): Verb(
        WorkDay, fields.StopWorkDay, work_days.stop_work_day, PLAN, reason=True, lists={"id": ATTENDANCES}
    ),
    ("work_day", "finish"): Verb(WorkDay, Target, work_days.finish_work_day, PLAN, lists={"id": ATTENDANCES}),
    ("work_day", "postpone"): Verb(
        WorkDay,
        fields.PostponeWorkDay,
        planned_mixes.postpone_work_day,
        PLAN,
        reason=True,
        gathers={"id": SIGN_UPS},
        lists={"id": (DUTIES, ATTENDANCES, ITS_PLANS)},
        carried=(ITS_PLANS,),
        surveys=READY,
    ),
    ("work_day", "cancel"): Verb(
        WorkDay,
        fields.CancelWorkDay,
        planned_mixes.cancel_work_day,
        PLAN,
        reason=True,
        lists={"id": (ATTENDANCES, SIGN_UPS, ITS_PLANS)},
        carried=(ITS_PLANS,),
    ),
    ("duty", "create"): Verb(Duty, fields.NewDuty, duties.add_duty, PLAN, whole=(Practice,)),
    ("duty", "amend"): Verb(
        Duty,
        fields.AmendDuty,
        duties.amend_duty,
        PLAN,
        ahead={"id": Ahead(Duty, "id", "work_day_id", WorkDay)},
        gathers={".work_day_id": SIGN_UPS},
        lists={".work_day_id": DUTIES},
        surveys=OF_PEOPLE,
    ),
    ("sign_up", "create"): Verb(
        SignUp,
        fields.NewSignUp,
        sign_ups.sign_up,
        SIGN_UP,
        gathers={"work_day": SIGN_UPS},
        lists={"work_day": DUTIES, "member": (CREDENTIALS, DETAILS, CONSENTS)},
        whole=(ConsentText,),
        surveys=OF_PEOPLE,
    ),
    ("sign_up", "withdraw"): Verb(
        SignUp,
        Target,
        sign_ups.withdraw,
        SIGN_UP,
        ahead={"id": Ahead(SignUp, "id", "work_day_id", WorkDay)},
        gathers={".work_day_id": SIGN_UPS},
        lists={".work_day_id": DUTIES},
        surveys=OF_PEOPLE,
    ),
    ("attendance", "create"): Verb(
        Attendance,
        fields.NewAttendance,
        attendances.check_in,
        RECORD,
        lists={"work_day": (ATTENDANCES, SIGN_UPS, DUTIES), "member": (CREDENTIALS, DETAILS, CONSENTS)},
        whole=(ConsentText, Practice),
    ),
    ("attendance", "check_out"): Verb(
        Attendance, fields.CheckOut, attendances.check_out, RECORD, behind=DAY, lists=LED
    ),
    ("attendance", "settle"): Verb(Attendance, fields.Settle, attendances.settle, RECORD, behind=DAY, lists=LED),
    ("attendance", "admit"): Verb(Attendance, fields.Admit, attendances.admit, RECORD, behind=DAY, lists=LED),
    ("attendance", "amend"): Verb(
        Attendance, fields.AmendAttendance, attendances.amend_attendance, RECORD, own=True, reason=True, behind=DAY
    ),
    ("attendance", "void"): Verb(
        Attendance, Target, attendances.void_attendance, RECORD, own=True, reason=True, behind=DAY
    ),
}
