"""The shop's settings with less care for its database: to show that the check of power cuts sees what is lost then."""

import os

from shop import checks
from shop.settings import *  # noqa: F403

CARELESS = ("OFF", "NORMAL").index(os.environ["CARELESS"])
OPTIONS = DATABASES["default"]["OPTIONS"]  # noqa: F405
OPTIONS["init_command"] = f"{OPTIONS['init_command']} PRAGMA synchronous={CARELESS};"
# The shop itself will not start so.
checks.FULL = CARELESS
