"""The example shop: an invented wheel shop with 14 months of work, to look round in.

Everything in it is made up: the place, the people, the customers, the times and the prices.
"""

from shop.example.loading import ExampleRefused, Loaded, load_example
from shop.example.people import SHOP_NAME, SIGN_IN, SignIn

__all__ = ["SHOP_NAME", "SIGN_IN", "ExampleRefused", "Loaded", "SignIn", "load_example"]
