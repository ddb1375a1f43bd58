"""Papers to print: what stands on one, in plain words, and what lays it out and writes it as PDF.

`jobs.papers.content` needs nothing but words and figures, so that what a paper says can be tested without one.
`jobs.papers.pdf` is imported only where a paper is asked for, since its library takes a while to load.
"""

from jobs.papers.content import (
    Across,
    Amount,
    Amounts,
    Box,
    Boxes,
    Cells,
    Column,
    Document,
    Item,
    Letterhead,
    Line,
    Part,
    Pictures,
    Signing,
    Standing,
    Table,
    Words,
)

__all__ = [
    "Across",
    "Amount",
    "Amounts",
    "Box",
    "Boxes",
    "Cells",
    "Column",
    "Document",
    "Item",
    "Letterhead",
    "Line",
    "Part",
    "Pictures",
    "Signing",
    "Standing",
    "Table",
    "Words",
]
