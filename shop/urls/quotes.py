"""Quotations, from an idea of wheels to an accepted order."""

from django.urls import URLPattern, path

from shop.views import quote_drafts, quote_what_if, quotes

urlpatterns: list[URLPattern] = [
    path("quotes/", quotes.quotes, name="quotes"),
    path("quotes/new/", quotes.quote_new, name="quote-new"),
    path("quotes/<int:number>/", quotes.quote, name="quote"),
    path("quotes/<int:number>/price/", quote_drafts.quote_price, name="quote-price"),
    path("quotes/<int:number>/figures/", quote_drafts.quote_figures, name="quote-figures"),
    path("quotes/<int:number>/wheels/", quote_drafts.quote_wheels, name="quote-wheels"),
    path("quotes/<int:number>/terms/", quote_drafts.quote_terms, name="quote-terms"),
    path("quotes/<int:number>/beside/", quote_drafts.quote_items, name="quote-items"),
    path("quotes/<int:number>/what-if/", quote_what_if.quote_what_if, name="quote-what-if"),
    path("quotes/<int:number>/send/", quotes.quote_send, name="quote-send"),
    path("quotes/<int:number>/accept/", quotes.quote_accept, name="quote-accept"),
    path("quotes/<int:number>/refuse/", quotes.quote_refuse, name="quote-refuse"),
    path("quotes/<int:number>/revise/", quotes.quote_revise, name="quote-revise"),
    path("quotes/<int:number>/give-up/", quotes.quote_give_up, name="quote-give-up"),
]
