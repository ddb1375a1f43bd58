"""Hours and pay."""

from django.urls import URLPattern, path

from shop.views import attendance, bonuses, inspector, passing, pay_runs, piece_rates

urlpatterns: list[URLPattern] = [
    path("pay/hours/", attendance.attendance, name="attendance"),
    path("pay/hours/new/", attendance.attendance_new, name="attendance-new"),
    path("pay/hours/<int:pk>/", attendance.attendance_right, name="attendance-right"),
    path("pay/hours/<int:pk>/undo/", attendance.attendance_undo, name="attendance-undo"),
    path("pay/runs/", pay_runs.pay_runs, name="pay-runs"),
    path("pay/runs/close/", pay_runs.pay_close, name="pay-close"),
    path("pay/runs/<int:pk>/", pay_runs.pay_run, name="pay-run"),
    path("pay/runs/<int:pk>/file.csv", pay_runs.pay_run_csv, name="pay-run-csv"),
    path("pay/sheets/<int:pk>/", pay_runs.pay_sheet, name="pay-sheet"),
    path("pay/sheets/<int:pk>/<slug:paper>/", pay_runs.pay_sheet_paper, name="pay-sheet-paper"),
    path("pay/inspector/", inspector.inspector, name="inspector"),
    path("pay/inspector/file.zip", inspector.inspector_file, name="inspector-file"),
    path("pay/passing/", passing.passing, name="passing"),
    path("pay/piece-rates/<slug:key>/", piece_rates.piece_rate, name="piece-rate"),
    path("pay/bonuses/", bonuses.bonuses, name="bonuses"),
    path("pay/bonuses/<int:pk>/take-back/", bonuses.bonus_take_back, name="bonus-take-back"),
]
