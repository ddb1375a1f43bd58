"""Hours and pay."""

from django.urls import URLPattern, path

from shop.views import attendance, bonuses, inspector, output, passing, pay_runs, piece_rates

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
    path("pay/piece-rates/<slug:key>/output/", output.piece_output, name="piece-output"),
    path("pay/piece-rates/<slug:key>/test/", output.piece_output_test, name="piece-output-test"),
    path("pay/piece-rates/<slug:key>/estimate/", output.piece_output_estimate, name="piece-output-estimate"),
    path("pay/piece-rates/<slug:key>/end/", output.piece_output_end, name="piece-output-end"),
    path("pay/piece-rates/<slug:key>/notice/", output.piece_notice, name="piece-notice"),
    path("pay/notices/<int:pk>/", output.output_notice, name="output-notice"),
    path("pay/notices/<int:pk>/<slug:paper>/", output.output_notice_paper, name="output-notice-paper"),
    path("pay/bonuses/", bonuses.bonuses, name="bonuses"),
    path("pay/bonuses/<int:pk>/take-back/", bonuses.bonus_take_back, name="bonus-take-back"),
]
