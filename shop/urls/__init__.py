"""Every address of the shop, by the part of the day's work that it serves."""

from django.urls import include, path

from shop.urls import bench, books, door, orders, pay, quote_papers, quotes, settings, stores, times, trades

urlpatterns = [
    path(
        "",
        include(
            (
                [
                    *door.urlpatterns,
                    *orders.urlpatterns,
                    *quotes.urlpatterns,
                    *bench.urlpatterns,
                    *trades.urlpatterns,
                    *books.urlpatterns,
                    *quote_papers.urlpatterns,
                    *stores.urlpatterns,
                    *times.urlpatterns,
                    *pay.urlpatterns,
                    *settings.urlpatterns,
                ],
                "shop",
            )
        ),
    ),
]

handler500 = "shop.views.errors.server_error"
