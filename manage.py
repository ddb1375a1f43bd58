#!/usr/bin/env python
"""The shop's commands: `python manage.py start` serves it, `help` lists the rest."""

import gc
import os
import sys

# Loading makes a great many objects that all stay: looked through every 700 for what is done with, they cost each
# command a tenth of its start. Fifty thousand are a few megabytes.
gc.set_threshold(50_000, 10, 10)

from django.core.exceptions import ImproperlyConfigured  # noqa: E402
from django.core.management import execute_from_command_line  # noqa: E402

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    # A shop with a certificate of its own is strict from the first setting on.
    if any(word.partition("=")[0] == "--cert" for word in sys.argv):
        os.environ["SHOP_HTTPS"] = "True"
    # What is made (database, backups, exports) holds customers, sessions and hashes: for this account alone.
    os.umask(0o077)
    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as error:
        sys.exit(f"Error: {error}")
