"""Files and names against the standards that they follow; their examples are quoted from memory."""

import pytest
from django.http import QueryDict

from shop.csv_safe import csv_lines
from timing.facts import FactRefused
from timing.posted import read_moment, read_token


def test_a_file_is_written_as_rfc_4180_shows() -> None:
    # RFC 4180, section 2: lines end with CRLF, the last too here (rules 1 and 2), a header line (3), cells with line
    # ends, quotes or commas in quotes (6), and a quote within doubled (7). The rows are its own examples.
    rows = [["aaa", "b\r\nbb", "ccc"], ["zzz", "yyy", "xxx"], ["aaa", 'b"bb', "c,cc"]]
    text = "".join(csv_lines(["field_name", "field_name", "field_name"], rows))
    assert text == ('field_name,field_name,field_name\r\naaa,"b\r\nbb",ccc\r\nzzz,yyy,xxx\r\naaa,"b""bb","c,cc"\r\n')


@pytest.mark.parametrize("text", ["=1+2", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"])
def test_what_a_spreadsheet_would_work_out_is_kept_as_text(text: str) -> None:
    # OWASP, CSV Injection: cells that begin with =, +, -, @, tab or carriage return; prepend a single quote.
    line = "".join(csv_lines(["what"], [[text]])).removeprefix("what\r\n")
    assert line.lstrip('"').startswith("'")


def test_a_token_is_a_uuid_of_the_standard() -> None:
    # RFC 9562, section 4, the example of the text form, whose letters may be capitals on input.
    text = "f81d4fae-7dec-11d0-a765-00a0c91e6bf6"
    for written in (text, text.upper()):
        assert str(read_token(QueryDict(f"token={written}"))) == text
    with pytest.raises(FactRefused):
        read_token(QueryDict(f"token={text[:-1]}"))


def test_moments_of_the_standard_name_one_instant() -> None:
    # RFC 3339, 5.8: 1996-12-19T16:39:57-08:00 is 1996-12-20T00:39:57Z.
    written = QueryDict("a=1996-12-19T16:39:57-08:00&b=1996-12-20T00:39:57Z")
    assert read_moment(written, "a") == read_moment(written, "b")
