"""Hours and pay."""

from django.urls import URLPattern, path

from shop.views import attendance, bonuses, passing

urlpatterns: list[URLPattern] = [
    path("pay/hours/", attendance.attendance, name="attendance"),
    path("pay/hours/new/", attendance.attendance_new, name="attendance-new"),
    path("pay/hours/<int:pk>/", attendance.attendance_right, name="attendance-right"),
    path("pay/hours/<int:pk>/undo/", attendance.attendance_undo, name="attendance-undo"),
    path("pay/passing/", passing.passing, name="passing"),
    path("pay/bonuses/", bonuses.bonuses, name="bonuses"),
    path("pay/bonuses/<int:pk>/take-back/", bonuses.bonus_take_back, name="bonus-take-back"),
]
