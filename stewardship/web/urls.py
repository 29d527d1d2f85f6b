"""Where the pages stand."""

from django.urls import path

from stewardship.web.views import balances, batches, bottles, days, groups, homes, mixes, reports, sessions, stock, uses

DAY = "work-days/<uuid:day_id>/"

urlpatterns = [
    path("", homes.home, name="home"),
    path("groups/", groups.groups, name="groups"),
    path("work-days/", days.work_days, name="work_days"),
    path("work-days/new/", days.new_work_day, name="new_work_day"),
    path(DAY, days.work_day, name="work_day"),
    path(f"{DAY}duty/", days.add_duty, name="add_duty"),
    path(f"{DAY}sign-up/", days.sign_up, name="sign_up"),
    path(f"{DAY}sign-ups/<uuid:sign_up_id>/withdraw/", days.withdraw, name="withdraw"),
    path(f"{DAY}check-in/", days.check_in, name="check_in"),
    path(f"{DAY}attendances/<uuid:attendance_id>/check-out/", days.check_out, name="check_out"),
    path(f"{DAY}<slug:act>/", days.move, name="move"),
    path("mix/", mixes.mix, name="mix"),
    path("mix/card/", mixes.mix_card, name="mix_card"),
    path("batches/", batches.batches, name="batches"),
    path("batches/<uuid:batch_id>/", batches.batch, name="batch"),
    path("batches/<uuid:batch_id>/measure/", batches.measure, name="measure_batch"),
    path("batches/<uuid:batch_id>/close/", batches.close, name="close_batch"),
    path("batches/<uuid:batch_id>/tag/", batches.batch_tag, name="batch_tag"),
    path("leftovers/<uuid:leftover_id>/tag/", batches.leftover_tag, name="leftover_tag"),
    path("stock/", stock.stock_kept, name="stock"),
    path("stock/<uuid:lot_id>/", stock.lot, name="lot"),
    path("bottles/", bottles.bottles, name="bottles"),
    path("bottles/out/", bottles.take_out, name="take_out"),
    path("bottles/<uuid:bottle_id>/", bottles.bottle, name="bottle"),
    path("bottles/<uuid:bottle_id>/back/", bottles.bring_back, name="bring_back"),
    path("bottles/<uuid:bottle_id>/lines/", bottles.split, name="split_bottle"),
    path("record-use/", uses.record_use, name="record_use"),
    path("sessions/<uuid:session_id>/", sessions.session, name="session"),
    path("sessions/<uuid:session_id>/end/", sessions.end_session, name="end_session"),
    path("sessions/<uuid:session_id>/complete/", sessions.complete, name="complete_record"),
    path("sessions/<uuid:session_id>/<slug:act>/", sessions.sign, name="sign"),
    path("record-hand-work/", uses.record_hand_work, name="record_hand_work"),
    path("hand-work/<uuid:line_id>/", uses.hand_work, name="hand_work"),
    path("balances/", balances.reconciliation, name="reconciliation"),
    path("balances/look-again/", balances.reconcile, name="reconcile"),
    path("reports/", reports.reports, name="reports"),
    path("reports/ask/<uuid:property_id>/<uuid:season_id>/", reports.ask, name="ask_for_report"),
    path("reports/<uuid:report_id>/", reports.report, name="report"),
    path("reports/<uuid:report_id>/progress/", reports.progress, name="report_progress"),
    path("yearly-use/", reports.yearly, name="yearly"),
    path("yearly-use/<uuid:active_id>/<uuid:property_id>/<slug:season>/", reports.lines, name="use_lines"),
]
