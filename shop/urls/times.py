"""Usual times and pace."""

from django.urls import URLPattern, path

from shop.views import pace, times

urlpatterns: list[URLPattern] = [
    path("times/", times.times, name="times"),
    path("times/all/work-out/", times.work_out, name="times-work-out"),
    path("times/<slug:key>/", times.operation_times, name="operation-times"),
    path("times/<slug:key>/book-time/", times.book_time, name="book-time"),
    path("times/timing/<int:pk>/", times.verdict, name="timing-verdict"),
    path("make-ups/<int:pk>/pace/", pace.makeup_pace, name="makeup-pace"),
    path("orders/<int:number>/lots/<int:pk>/pace/", pace.lot_pace, name="lot-pace"),
]
