"""The order book, orders, wheels, make-ups and timber."""

from django.urls import URLPattern, path

from shop.views import makeups, order_book, order_changes, orders, patterns, sizes, timber, timber_list, wheels

urlpatterns: list[URLPattern] = [
    path("orders/", order_book.order_book, name="order-book"),
    path("orders/closed/", order_book.closed, name="orders-closed"),
    path("orders/new/", orders.order_new, name="order-new"),
    path("orders/<int:number>/", orders.order, name="order"),
    path("orders/<int:number>/state/", orders.order_state, name="order-state"),
    path("orders/<int:number>/drop/", orders.order_drop, name="order-drop"),
    path("orders/<int:number>/promise/", orders.order_promise, name="order-promise"),
    path("orders/<int:number>/holds/new/", orders.order_hold, name="order-hold"),
    path("orders/<int:number>/holds/<int:pk>/lift/", orders.hold_lift, name="hold-lift"),
    path("orders/<int:number>/details/", order_changes.order_details, name="order-details"),
    path("orders/<int:number>/add/", order_changes.order_add, name="order-add"),
    path("orders/<int:number>/move/", order_changes.order_move, name="order-move"),
    path("orders/<int:number>/move/<uuid:token>/undo/", order_changes.move_undo, name="move-undo"),
    path("orders/<int:number>/lots/<int:pk>/", order_changes.lot_makeup, name="lot"),
    path("orders/<int:number>/lots/<int:pk>/sizes/", sizes.lot_sizes, name="lot-sizes"),
    path("orders/<int:number>/lots/<int:pk>/sizes/<slug:paper>/", sizes.lot_sizes_paper, name="lot-sizes-paper"),
    path("orders/<int:number>/lots/<int:pk>/patterns/", patterns.lot_patterns, name="lot-patterns"),
    path(
        "orders/<int:number>/lots/<int:pk>/patterns/<slug:drawing>/<slug:form>/",
        patterns.lot_pattern,
        name="lot-pattern",
    ),
    path("orders/<int:number>/lots/<int:pk>/change/", order_changes.lot_change, name="lot-change"),
    path("orders/<int:number>/lots/<int:pk>/pieces/", order_changes.lot_pieces, name="lot-pieces"),
    path("orders/<int:number>/lots/<int:pk>/spares/", order_changes.lot_spares, name="lot-spares"),
    path("orders/<int:number>/wheels/<int:pk>/", wheels.wheel, name="wheel"),
    path("orders/<int:number>/wheels/<int:pk>/card/", wheels.wheel_card, name="wheel-card"),
    path("orders/<int:number>/wheels/<int:pk>/drop/", wheels.wheel_drop, name="wheel-drop"),
    path("orders/<int:number>/wheels/<int:pk>/found/", wheels.wheel_found, name="wheel-found"),
    path("orders/<int:number>/timber/", timber_list.order_timber, name="order-timber"),
    path("timber/", timber.timber, name="timber"),
    path("make-ups/", makeups.makeups, name="makeups"),
    path("make-ups/new/", makeups.makeup_new, name="makeup-new"),
    path("make-ups/<int:pk>/", makeups.makeup, name="makeup"),
    path("make-ups/<int:pk>/sizes/", sizes.makeup_sizes, name="makeup-sizes"),
    path("make-ups/<int:pk>/sizes/<slug:paper>/", sizes.makeup_sizes_paper, name="makeup-sizes-paper"),
    path("make-ups/<int:pk>/patterns/", patterns.makeup_patterns, name="makeup-patterns"),
    path("make-ups/<int:pk>/patterns/<slug:drawing>/<slug:form>/", patterns.makeup_pattern, name="makeup-pattern"),
    path("make-ups/<int:pk>/timber/", timber_list.makeup_timber, name="makeup-timber"),
    path("make-ups/<int:pk>/change/", makeups.makeup_change, name="makeup-change"),
    path("make-ups/<int:pk>/retire/", makeups.makeup_retire, name="makeup-retire"),
]
