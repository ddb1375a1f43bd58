"""The shop's usual times: what its facts taught, kept between pages.

`read.py` turns facts into timings, `saved.py` fits them and keeps the fit, `to_come.py` turns make-ups into lines of
work, `one.py` reads the timings of one operation and keeps what a person says of them. A page asks `the_usual()` and
never fits; `work_out()` fits, when somebody asks or after a stretch of quiet.
"""

from timing.usual.one import Newest, newest_timings, say_of
from timing.usual.read import ReadTimings, Timing, known_operations, read_timings
from timing.usual.saved import RestsOn, Stray, Usual, is_kept, is_out_of_date, the_usual, work_out
from timing.usual.to_come import WorkLine, as_lines, work_of

__all__ = [
    "Newest",
    "ReadTimings",
    "RestsOn",
    "Stray",
    "Timing",
    "Usual",
    "WorkLine",
    "as_lines",
    "is_kept",
    "is_out_of_date",
    "known_operations",
    "newest_timings",
    "read_timings",
    "say_of",
    "the_usual",
    "work_of",
    "work_out",
]
