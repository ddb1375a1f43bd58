"""The smith's list, and those of other trades."""

from django.urls import URLPattern, path

from shop.views import as_made, cutting, iron, trades

urlpatterns: list[URLPattern] = [
    path("smith/", trades.smith, name="smith"),
    path("smith/hot-day/", iron.hot_day, name="hot-day"),
    path("smith/hot-day/<slug:paper>/", iron.hot_day_on_paper, name="hot-day-paper"),
    path("orders/<int:number>/iron/", iron.order_iron, name="order-iron"),
    path("orders/<int:number>/iron/<slug:paper>/", iron.order_iron_on_paper, name="order-iron-paper"),
    path("orders/<int:number>/cutting/", cutting.order_cutting, name="order-cutting"),
    path("trades/<slug:trade>/", trades.trade, name="trade"),
    path("trades/piece/<int:pk>/", trades.piece, name="trade-piece"),
    path("trades/piece/<int:pk>/sent/", trades.piece_send, name="trade-send"),
    path("trades/piece/<int:pk>/made/", trades.piece_made, name="trade-made"),
    path("trades/trip/<int:pk>/back/", trades.trip_back, name="trade-back"),
    path("trades/made/<int:pk>/undo/", trades.made_undo, name="trade-undo"),
    path("orders/<int:number>/wheels/<int:pk>/as-made/", as_made.as_made, name="as-made"),
]
