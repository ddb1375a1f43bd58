"""The stores: the rack, what is bought for it, and what orders take from it."""

from django.urls import URLPattern, path

from shop.views import stores

urlpatterns: list[URLPattern] = [
    path("stores/", stores.stores, name="stores"),
    path("stores/<int:pk>/", stores.material_stock, name="material-stock"),
    path("stores/<int:pk>/bought/", stores.purchase_new, name="purchase-new"),
    path("stores/<int:pk>/count/", stores.stock_count, name="stock-count"),
    path("stores/<int:pk>/offcuts/", stores.material_offcuts, name="material-offcuts"),
    path("stores/purchases/<int:pk>/take-back/", stores.purchase_take_back, name="purchase-take-back"),
    path("stores/counts/<int:pk>/take-back/", stores.count_take_back, name="count-take-back"),
    path("orders/<int:number>/from-rack/", stores.from_rack, name="from-rack"),
    path("orders/<int:number>/issue-these/", stores.issue_plan, name="issue-plan"),
    path("materials/<int:pk>/back/", stores.back_to_rack, name="back-to-rack"),
]
