"""Shops as landed schemas held them, each a small database that every later version must bring up to date and read.

Once the tables have changed, keep another beside them, with what is read of it:

    python -m tests.landed.keep 2026-11-first
"""
