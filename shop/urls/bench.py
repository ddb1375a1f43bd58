"""The bench: who is at work, what is ready, and the facts."""

from django.urls import URLPattern, path

from shop.views import (
    bench_clock,
    bench_facts,
    bench_here,
    bench_job,
    bench_jobs,
    bench_kept,
    bench_mine,
    bench_more,
    bench_pay,
    bench_spoiled,
    bench_told,
    bench_who,
)

urlpatterns: list[URLPattern] = [
    path("bench/", bench_who.who, name="bench"),
    path("bench/come-in/<int:pk>/", bench_who.come_in, name="bench-come-in"),
    path("bench/leave/", bench_clock.leave, name="bench-leave"),
    path("bench/jobs/", bench_jobs.jobs, name="bench-jobs"),
    path("bench/start/", bench_clock.start, name="bench-start"),
    path("bench/pause/", bench_clock.pause, name="bench-pause"),
    path("bench/go-on/", bench_clock.start_again, name="bench-go-on"),
    path("bench/job/", bench_job.job, name="bench-job"),
    path("bench/job/number/", bench_more.number, name="bench-number"),
    path("bench/job/spoiled/", bench_spoiled.spoiled, name="bench-spoiled"),
    path("bench/job/helpers/", bench_more.helpers, name="bench-helpers"),
    path("bench/fact/", bench_facts.post_fact, name="bench-fact"),
    path("bench/undo/", bench_facts.post_undo, name="bench-undo"),
    path("bench/kept/", bench_kept.kept, name="bench-kept"),
    path("bench/worker.js", bench_kept.worker, name="bench-worker"),
    path("bench/here/", bench_here.here, name="bench-here"),
    path("bench/here/tell/", bench_here.tell, name="bench-here-tell"),
    path("bench/pay/", bench_pay.pay, name="bench-pay"),
    path("bench/pay/<int:pk>/", bench_pay.pay_sheet, name="bench-pay-sheet"),
    path("bench/pay/told/", bench_told.told, name="bench-told"),
    path("bench/pay/told/<int:pk>/", bench_told.notice, name="bench-notice"),
    path("bench/pay/told/<int:pk>/<str:paper>/", bench_told.notice_on_paper, name="bench-notice-paper"),
    path("bench/mine/", bench_mine.mine, name="bench-mine"),
    path("bench/mine/<uuid:token>/", bench_mine.correct_own, name="bench-correct"),
    path("bench/mine/<uuid:token>/dispute/", bench_mine.dispute_own, name="bench-dispute"),
]
