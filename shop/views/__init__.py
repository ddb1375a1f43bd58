"""What each page does: read the request, call one named action or query, answer."""
