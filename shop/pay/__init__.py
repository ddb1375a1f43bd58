"""Pay by the piece and by the hour, and what the law of a country asks of it: sums alone, no database.

They follow the rules named in them as of their dates. They are no legal advice, and tax and stoppages are not in them.
"""
