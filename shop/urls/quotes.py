"""Quotations: their papers, alterations, and what became of what was quoted."""

from django.urls import URLPattern, path

from shop.views import quote_paper

urlpatterns: list[URLPattern] = [
    path("quotes/<int:number>/paper/<slug:paper>/", quote_paper.quote_on_paper, name="quote-paper"),
]
