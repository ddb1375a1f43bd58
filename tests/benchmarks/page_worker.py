"""Answers, for each request on its input, the processor's seconds that it took; one process for one database.

What else the machine does counts not at all so, and what the database reads does: SQLite works in this process.

A request is a path to get; or a path and, after a space, the fields of a form to post. A form is given its token and
its moments here: `{token}`, `{began}` and `{now}`.
"""

import sys
import time
from datetime import UTC, datetime, timedelta
from urllib.parse import parse_qsl
from uuid import uuid4

import django

if __name__ == "__main__":
    django.setup()
    from django.test import Client

    from shop.models import Hand

    client = Client(headers={"HX-Request": "true"})
    reader = Client()
    user = Hand.objects.filter(role="owner")[0].user
    client.force_login(user)
    reader.force_login(user)
    for line in sys.stdin:
        path, _, fields = line.strip().partition(" ")
        now = datetime.now(UTC)
        named = {"token": str(uuid4()), "now": now.isoformat(), "began": (now - timedelta(seconds=11)).isoformat()}
        form = {name: text.format(**named) for name, text in parse_qsl(fields)}
        begun = time.process_time()
        response = client.post(path, form) if form else reader.get(path)
        content = b"".join(response.streaming_content) if response.streaming else response.content
        print(time.process_time() - begun, response.status_code, len(content), flush=True)
