"""Who may come in: sessions, the checks before each request, and the headers after it."""
