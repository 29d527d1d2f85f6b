"""Where each resource stands under /api/v1/."""

from django.urls import URLPattern, path

from api.approved_tasks import ApprovedTasks
from api.area_years import AreaYears
from api.attachments import OneAttachment
from api.attendances import Attendances
from api.batches import BatchBalance, BatchTag, LackingBatches, LeftoverTag
from api.calendar_feeds import CalendarFeeds, EndCalendarFeed, RenewCalendarFeed, WorkDaysCalendar
from api.catalog import ActiveIngredients, Limits, Products, Registrations, RuleProfiles, SpeciesRecords
from api.containers import Containers
from api.coverage import WorkDaysCoverage
from api.credential_types import CredentialTypes
from api.credentials import Coverage, Credentials
from api.credits import CreditLedger, Credits
from api.days_kept import CloseOut, DayWeather, IncidentClocks
from api.devices import Devices, OneDevice, RevokeDevice
from api.duties import Duties
from api.groups import Groups
from api.invitations import Invitations
from api.jobs import OneJob
from api.me import Me
from api.members import Members
from api.mixes import PlanMix
from api.notification_settings import NotificationSettingsRecords
from api.on_the_day import (
    Briefings,
    BriefingSignatures,
    DetailsOfIncidents,
    EmergencySheets,
    Incidents,
    Postings,
    Practices,
    WeatherReadings,
)
from api.papers_of_land import LandPermissions, NeighbourNotices, Permits
from api.people import Consents, ConsentTexts, Details, EmergencyContacts
from api.planned_mixes import PlannedMixes
from api.properties import Properties
from api.reconciliations import LatestReconciliation, Reconciliations
from api.records import GroupRecords
from api.reports import SeasonReports, Seasons
from api.schema import Docs, Document
from api.sensitive_areas import SensitiveAreas
from api.sign_ups import SignUps
from api.stock import LotLedger, Lots, Stock, StockMovements
from api.sync import HelloEndpoint, PullEndpoint, PushEndpoint, RescueEndpoint
from api.to_settle import EntriesToSettle
from api.trainings import Roster, Trainings
from api.treatments import Applications, Batches, Contractors, Leftovers, Rinses, Sessions, WorkLines
from api.units import Units
from api.use import UseSummary
from api.verdicts import ApplicationVerdicts, Verdicts
from api.verifications import LatestVerification, Verifications
from api.work_day_series import SeriesOfWorkDays
from api.work_days import WorkDays

RECORDS: tuple[type[GroupRecords], ...] = (
    Groups,
    Members,
    NotificationSettingsRecords,
    Details,
    EmergencyContacts,
    ConsentTexts,
    Consents,
    Invitations,
    Properties,
    Units,
    SensitiveAreas,
    LandPermissions,
    Permits,
    NeighbourNotices,
    SpeciesRecords,
    ActiveIngredients,
    Products,
    Registrations,
    Limits,
    RuleProfiles,
    CredentialTypes,
    Credentials,
    ApprovedTasks,
    SeriesOfWorkDays,
    Trainings,
    Credits,
    WorkDays,
    Duties,
    SignUps,
    Attendances,
    Practices,
    EmergencySheets,
    Briefings,
    BriefingSignatures,
    WeatherReadings,
    Postings,
    Incidents,
    DetailsOfIncidents,
    Lots,
    StockMovements,
    Batches,
    Leftovers,
    Rinses,
    Contractors,
    Containers,
    Sessions,
    Applications,
    WorkLines,
    PlannedMixes,
    Seasons,
    SeasonReports,
    EntriesToSettle,
)

urlpatterns: list[URLPattern] = [
    path("schema", Document.as_view(), name="schema"),
    path("docs", Docs.as_view(), name="docs"),
    path("me", Me.as_view(), name="me"),
    path("devices", Devices.as_view(), name="devices"),
    path("devices/<str:id>", OneDevice.as_view(), name="devices-one"),
    path("devices/<str:id>/revoke", RevokeDevice.as_view(), name="devices-revoke"),
    path("groups/<str:group>/sync/hello", HelloEndpoint.as_view(), name="sync-hello"),
    path("groups/<str:group>/sync/rescue", RescueEndpoint.as_view(), name="sync-rescue"),
    path("groups/<str:group>/sync/push", PushEndpoint.as_view(), name="sync-push"),
    path("groups/<str:group>/sync/pull", PullEndpoint.as_view(), name="sync-pull"),
    path("groups/<str:group>/attachments/<str:sha256>", OneAttachment.as_view(), name="attachments-one"),
    path("groups/<str:group>/trainings/roster", Roster.as_view(), name="trainings-roster"),
    path("groups/<str:group>/credits/ledger", CreditLedger.as_view(), name="credits-ledger"),
    path("groups/<str:group>/credentials/coverage", Coverage.as_view(), name="credentials-coverage"),
    path("groups/<str:group>/calendar-feeds", CalendarFeeds.as_view(), name="calendar-feeds"),
    path("groups/<str:group>/calendar-feeds/<str:id>/renew", RenewCalendarFeed.as_view(), name="calendar-feeds-renew"),
    path("groups/<str:group>/calendar-feeds/<str:id>/end", EndCalendarFeed.as_view(), name="calendar-feeds-end"),
    path("groups/<str:group>/work-days.ics", WorkDaysCalendar.as_view(), name="work-days-ics"),
    path("groups/<str:group>/work-days/coverage", WorkDaysCoverage.as_view(), name="work-days-coverage"),
    path("groups/<str:group>/batches/<str:id>/balance", BatchBalance.as_view(), name="batches-balance"),
    path("groups/<str:group>/batches/<str:id>/tag", BatchTag.as_view(), name="batches-tag"),
    path("groups/<str:group>/leftovers/<str:id>/lacking", LackingBatches.as_view(), name="leftovers-lacking"),
    path("groups/<str:group>/leftovers/<str:id>/tag", LeftoverTag.as_view(), name="leftovers-tag"),
    path("groups/<str:group>/jobs/<str:id>", OneJob.as_view(), name="jobs"),
    path("groups/<str:group>/mixes/plan", PlanMix.as_view(), name="mixes-plan"),
    path("groups/<str:group>/stock", Stock.as_view(), name="stock"),
    path("groups/<str:group>/lots/<str:id>/ledger", LotLedger.as_view(), name="lots-ledger"),
    path("groups/<str:group>/reconciliations", Reconciliations.as_view(), name="reconciliations"),
    path("groups/<str:group>/reconciliations/latest", LatestReconciliation.as_view(), name="reconciliations-latest"),
    path("groups/<str:group>/verifications", Verifications.as_view(), name="verifications"),
    path("groups/<str:group>/verifications/latest", LatestVerification.as_view(), name="verifications-latest"),
    path("groups/<str:group>/units/<str:id>/area-years", AreaYears.as_view(), name="units-area-years"),
    path("groups/<str:group>/use/summary", UseSummary.as_view(), name="use-summary"),
    path("groups/<str:group>/work-days/<str:id>/close-out", CloseOut.as_view(), name="work-days-close_out"),
    path("groups/<str:group>/work-days/<str:id>/weather", DayWeather.as_view(), name="work-days-weather"),
    path("groups/<str:group>/incident-clocks", IncidentClocks.as_view(), name="incident-clocks"),
    path("groups/<str:group>/verdicts", Verdicts.as_view(), name="verdicts"),
    path(
        "groups/<str:group>/applications/<str:id>/verdicts", ApplicationVerdicts.as_view(), name="applications-verdicts"
    ),
    *(route for records in RECORDS for route in records.urls()),
]
