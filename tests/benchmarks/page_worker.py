"""Answers, for each path on its input, the seconds that the page took; one process for one database."""

import sys
import time

import django

if __name__ == "__main__":
    django.setup()
    from django.test import Client

    from shop.models import Hand

    client = Client()
    client.force_login(Hand.objects.filter(role="owner")[0].user)
    for path in sys.stdin:
        begun = time.perf_counter()
        response = client.get(path.strip())
        content = b"".join(response.streaming_content) if response.streaming else response.content
        print(time.perf_counter() - begun, response.status_code, len(content), flush=True)
