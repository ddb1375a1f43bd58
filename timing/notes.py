"""What stands beside facts in a person's own words: the only part of a fact that may change, and only so that it names
somebody no more. Its token is not told again by then: what is told for it would be other content."""

from timing.models import Move, Stretch, Tally


def rewrite_note(stretch_id: int, note: str) -> None:
    """Put another note to a stretch. Call it inside a write."""
    Stretch.objects.filter(pk=stretch_id).update(note=note)


def rewrite_reason(move_id: int, reason: str) -> None:
    """Put another reason to a move. Call it inside a write."""
    Move.objects.filter(pk=move_id).update(reason=reason)


def rewrite_old_book(tally_id: int, **texts: str) -> None:
    """Put another order or wheel to a tally from an old book: `old_order`, `old_wheel`. Call it inside a write."""
    Tally.objects.filter(pk=tally_id).update(
        **{name: texts[name] for name in ("old_order", "old_wheel") if name in texts}
    )
