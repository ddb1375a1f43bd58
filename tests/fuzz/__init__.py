"""Odd and nearly right forms, posted to every address by every role: `python -m pytest tests/fuzz -n 0`."""
