"""Files that a page gives out, to be kept or printed: papers among them."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import get_args
from urllib.parse import urlencode

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.http import content_disposition_header

from jobs.papers import Document
from jobs.patterns.tiles import PAPER_NAMES, Paper

# What Windows takes in no name of a file.
_NOT_IN_NAMES = re.compile(r'[\x00-\x1f\x7f\\/:*?"<>|]+')


@dataclass(frozen=True, slots=True)
class FileLink:
    url: str
    words: str


def as_file(content: bytes, *, kind: str, name: str) -> HttpResponse:
    """An answer that a browser keeps under this name, or nearly."""
    response = HttpResponse(content, content_type=kind)
    plain = " ".join(_NOT_IN_NAMES.sub(" ", name).split())
    response["Content-Disposition"] = content_disposition_header(as_attachment=True, filename=plain)
    return response


def paper_links(name: str, *args: object, asked: Mapping[str, str]) -> list[FileLink]:
    """An address for each size of paper, which carries along what was asked."""
    query = f"?{urlencode(asked)}" if asked else ""
    papers: Sequence[Paper] = get_args(Paper)
    return [
        FileLink(reverse(f"shop:{name}", args=[*args, paper]) + query, f"PDF on {PAPER_NAMES[paper]}")
        for paper in papers
    ]


def as_paper(document: Document, paper: str, *, name: str) -> HttpResponse:
    """A document on that size of paper; 404 where there is no such size.

    What writes it takes a while to load, so that only who asks waits for it.
    """
    size = next((each for each in PAPER_NAMES if each == paper), None)
    if size is None:
        raise Http404("There is no such paper.")
    from jobs.papers.pdf import write_document

    content = write_document(document, paper=size)
    return as_file(content, kind="application/pdf", name=f"{name}, {PAPER_NAMES[size]}.pdf")


def kept(request: HttpRequest, form: forms.Form, *others: str) -> dict[str, str]:
    """What a paper's address carries along of what the page was asked; of what could not be read, nothing."""
    names = {*form.fields, *others}
    return {} if form.errors else {name: str(text) for name, text in request.GET.items() if text and name in names}


def refused(form: forms.Form) -> HttpResponse:
    """What is wrong with a question, where a file can't say it."""
    wrongs = [
        f"{form[name].label}: {error}" if name in form.fields else str(error)
        for name, errors in form.errors.items()
        for error in errors
    ]
    return HttpResponse("; ".join(wrongs), status=422, content_type="text/plain; charset=utf-8")
