"""The written notice of rated output work on paper, with a line on which the hand says that it has it."""

from jobs.papers import Document, Signing, Words
from jobs.papers.content import Piece
from jobs.words import in_words
from shop.asked import Asked
from shop.days import day_in_words
from shop.models import OutputNotice
from shop.order_words import printed_in_words


def notice_paper(row: OutputNotice, here: Asked) -> Document:
    """Every sentence as it was given. Expects its hand and operation."""
    name, work = row.hand.shop_hand.name, in_words(row.mean.operation.name, here.words)
    title = f"Notice to {name}: {work.lower()}"
    about = (f"Given on {day_in_words(row.given_on)}, for the pay periods that begin after that day.",)
    pieces: tuple[Piece, ...] = (
        *(Words(sentence) for sentence in row.told),
        Words("National Minimum Wage Regulations 2015, regulations 41 to 43.", small=True),
        Signing("Received", "I was given this notice.", ("Name", "Day")),
    )
    return Document(title, about, title, here.shop.name, printed_in_words(here.today), pieces)
