"""Quotations: their papers, alterations, and what became of what was quoted."""

from django.urls import URLPattern, path

from shop.views import alterations, quote_outcome, quote_paper

urlpatterns: list[URLPattern] = [
    path("quotes/held/", quote_outcome.quotes_held, name="quotes-held"),
    path("orders/<int:number>/outcome/", quote_outcome.outcome, name="outcome"),
    path("quotes/<int:number>/paper/<slug:paper>/", quote_paper.quote_on_paper, name="quote-paper"),
    path("quotes/<int:number>/take-out/", alterations.quote_take_out, name="quote-take-out"),
    path("orders/<int:number>/alterations/", alterations.alterations, name="alterations"),
    path("orders/<int:number>/alterations/add/", alterations.alteration_add, name="alteration-add"),
    path("orders/<int:number>/alterations/lots/<int:pk>/", alterations.alteration_change, name="alteration-change"),
]
