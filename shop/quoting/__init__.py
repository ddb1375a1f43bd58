"""Quotations: from make-ups and counts to a price, and what becomes of it.

`pricing.py` are the sums. `reckoning.py` gathers what they are made from: hours by the usual times at what an hour
costs (`hours.py`), `timber.py`, `iron.py`. `actions.py` is what is done with a quotation; what it rested on when it was
sent is kept by `frozen.py`, and that it is what the person saw by `shown.py`. An alteration of an order is a quotation
too: `alterations.py` writes it, `taken_off.py` are the sums of what is not spent on what it replaces, `altering.py`
does it to the order.
"""
