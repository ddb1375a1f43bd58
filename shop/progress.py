"""How far a command is, on one line of a terminal that is written over; nothing where it goes into a file."""

import time

from django.core.management.base import OutputWrapper

EVERY_SECONDS = 0.2
WIDTH = 30


class Progress:
    """A bar for work that is counted, and a word for work that is not. `end` before anything else is written."""

    def __init__(self, stream: OutputWrapper, what: str) -> None:
        self._stream, self._what = stream, what
        self._shows = stream.isatty()
        self._next = 0.0
        self._length = 0

    def tick(self, done: int, whole: int) -> None:
        """Show that so much of the whole is done, at most a few times a second."""
        if self._shows and time.monotonic() >= self._next:
            self._next = time.monotonic() + EVERY_SECONDS
            # Where lines end otherwise than is counted, more may be done than there were.
            full = WIDTH * min(done, whole) // max(whole, 1)
            self._show(f"{self._what} [{'#' * full}{'.' * (WIDTH - full)}] {done:,} of {whole:,}")

    def say(self, word: str) -> None:
        if self._shows:
            self._show(word)

    def end(self) -> None:
        """Clear the line away."""
        if self._length:
            self._show("")
            self._stream.write("\r", str, ending="")
            self._length = 0

    def _show(self, text: str) -> None:
        # Not in the colour of an error.
        self._stream.write(f"\r{text.ljust(self._length)}", str, ending="")
        self._stream.flush()
        self._length = len(text)
