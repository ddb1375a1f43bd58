"""Hours and pay."""

from django.urls import URLPattern, path

from shop.views import attendance

urlpatterns: list[URLPattern] = [
    path("pay/hours/", attendance.attendance, name="attendance"),
    path("pay/hours/new/", attendance.attendance_new, name="attendance-new"),
    path("pay/hours/<int:pk>/", attendance.attendance_right, name="attendance-right"),
    path("pay/hours/<int:pk>/undo/", attendance.attendance_undo, name="attendance-undo"),
]
