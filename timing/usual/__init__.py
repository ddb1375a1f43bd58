"""The shop's usual times: what its facts taught, kept between pages.

`read.py` turns facts into timings, `saved.py` fits them and keeps the fit, `to_come.py` turns make-ups into lines of
work. A page asks `the_usual()` and never fits; `work_out()` fits, when somebody asks or after a stretch of quiet.
"""

from timing.usual.read import ReadTimings, known_operations, read_timings
from timing.usual.saved import Usual, is_out_of_date, the_usual, work_out
from timing.usual.to_come import WorkLine, as_lines, work_of

__all__ = [
    "ReadTimings",
    "Usual",
    "WorkLine",
    "as_lines",
    "is_out_of_date",
    "known_operations",
    "read_timings",
    "the_usual",
    "work_of",
    "work_out",
]
